package joins

import (
	"math"

	"github.com/paulmach/orb"

	"staydown/parse"
	"staydown/sweep/internal/raster"
)

// A join between the round ends of two cuts is narrow in its middle only. Its width at a distance y from there is
// w + y^2/R, and bent between two held bodies its moment is F y.
//
// Edgewise the stress 6 F y / (h (w + y^2/R)^2) is highest where y^2 = w R/3. That is the stress of a bar of even width
// w and length (9/8) sqrt(w R/3). Upright the stress 6 F y / ((w + y^2/R) h^2) is highest where y^2 = w R, as in a bar
// of length sqrt(w R), or, where that lies beyond the wall, at y = R: a length of 2 w R/(w + R).
//
// Source: strength of materials, beam of varying width, worked by hand; the circle as a parabola is on the safe side.

// bendsMM are the lengths of bars of even width that bend edgewise and upright as a join does: +Inf where its ends do
// not flare out on all four sides as round ends do, at the end of the program.
func (l *band) bendsMM(way []leg, wholeMM float64) (edgewise, upright float64) {
	first, last := &way[0], &way[len(way)-1]
	r := min(l.spokes[first.spoke].reachMM, l.spokes[last.spoke].reachMM)
	for _, end := range [2]struct {
		g        *leg
		alongMM  float64
		outwards float64
	}{{first, 0, -1}, {last, last.longMM, 1}} {
		if !l.flares(end.g, end.alongMM, end.outwards, r) {
			return math.Inf(1), math.Inf(1)
		}
	}
	upright = 2 * wholeMM * r / (wholeMM + r)
	if wholeMM < r {
		upright = math.Sqrt(wholeMM * r)
	}
	return 9.0 / 8 * math.Sqrt(wholeMM*r/3), upright
}

// A round end has fallen back by 0.134 R at half a radius to the side of its tip.
const (
	flareSide = 0.5
	flareBack = 0.12
)

// flares tells whether the edge of a join falls back on both sides of it, as a round end does.
func (l *band) flares(g *leg, alongMM, outwards, r float64) bool {
	edge := g.place(alongMM)
	long := math.Hypot(g.to[0]-g.from[0], g.to[1]-g.from[1])
	if long == 0 {
		return false
	}
	dx, dy := outwards*(g.to[0]-g.from[0])/long, outwards*(g.to[1]-g.from[1])/long
	high := g.areaMM2 / g.longMM
	for _, side := range [2]float64{-flareSide * r, flareSide * r} {
		p := orb.Point{edge[0] + flareBack*r*dx - side*dy, edge[1] + flareBack*r*dy + side*dx}
		if l.v.leftExactly(p) < high-raster.ThroughMM {
			return false
		}
	}
	return true
}

// leftExactly is the height at the end of the program, as the paths of the tools have it.
func (v *heightField) leftExactly(p orb.Point) float64 {
	h := v.uncut(p)
	v.eachStroke(orb.Bound{Min: p, Max: p}, func(g *stroke, _ parse.Point) { h = min(h, g.over(p[0], p[1], 1)) })
	return h
}
