package contact

import (
	"math"

	"github.com/paulmach/orb"
)

// rectangle gives n x m elements over a x b mm centered on the origin, with pressure in Pa as a function of place.
func rectangle(a, b float64, n, m int, pressure func(x, y float64) float64) []Element {
	var ps []Element
	da, db := a/float64(n), b/float64(m)
	for j := 0; j < m; j++ {
		for i := 0; i < n; i++ {
			x, y := -a/2+(float64(i)+0.5)*da, -b/2+(float64(j)+0.5)*db
			ps = append(ps, Element{X: x, Y: y, AreaMM2: da * db, PressurePa: pressure(x, y)})
		}
	}
	return ps
}

func even(pa float64) func(x, y float64) float64 { return func(_, _ float64) float64 { return pa } }

func box(a, b float64) []orb.Point {
	return []orb.Point{{-a / 2, -b / 2}, {a / 2, -b / 2}, {a / 2, b / 2}, {-a / 2, b / 2}}
}

// ring gives elements between two radii that have the exact areas and centroids of ring sectors, of about equal size.
func ring(inner, outer float64, rings int, pa float64) []Element {
	var ps []Element
	dr := (outer - inner) / float64(rings)
	for k := 0; k < rings; k++ {
		r0, r1 := inner+float64(k)*dr, inner+float64(k+1)*dr
		n := int(math.Max(3, math.Round(math.Pi*(r0+r1)/dr)))
		half := math.Pi / float64(n)
		mid := 2.0 / 3 * (r1*r1*r1 - r0*r0*r0) / (r1*r1 - r0*r0) * math.Sin(half) / half
		for i := 0; i < n; i++ {
			s, c := math.Sincos(half * (2*float64(i) + 1))
			ps = append(ps, Element{X: mid * c, Y: mid * s, AreaMM2: half * (r1*r1 - r0*r0), PressurePa: pa})
		}
	}
	return ps
}

// lineOf is the margin of the straight line between full slip and full twist.
func lineOf(s *Support, l Load) float64 {
	var k cheapChecks
	s.cheapChecks(&k, &l)
	return k.line.margin()
}
