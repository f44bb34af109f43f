package raster

import (
	"math"
	"testing"

	"github.com/paulmach/orb"
	"github.com/paulmach/orb/planar"
	"pgregory.net/rapid"
)

// Each cell is in or out as its center is, against the library's own test of a point, one by one. Coordinates are no
// multiples of a cell, so that no center lies on a side.
func TestFillAgainstPointsInPolygon(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		g := Grid{OriginX: -3, OriginY: 2, CellMM: rapid.Float64Range(0.31, 3).Draw(t, "cell"), NX: 30, NY: 25}
		var p orb.Polygon
		for range rapid.IntRange(1, 2).Draw(t, "rings") {
			var ring orb.Ring
			for range rapid.IntRange(3, 8).Draw(t, "corners") {
				ring = append(ring, orb.Point{rapid.Float64Range(-20, 60).Draw(t, "x"),
					rapid.Float64Range(-20, 60).Draw(t, "y")})
			}
			p = append(p, append(ring, ring[0]))
		}
		rows := g.Fill(p)
		for iy := range g.NY {
			in := make([]bool, g.NX)
			last := int32(-1)
			for _, s := range rows[iy] {
				if s.From < last || s.From >= s.To || int(s.To) > g.NX {
					t.Fatalf("row %d: %v", iy, rows[iy])
				}
				for last = s.From; last < s.To; last++ {
					in[last] = true
				}
			}
			for ix := range in {
				at := orb.Point{g.OriginX + (float64(ix)+0.5)*g.CellMM, g.OriginY + (float64(iy)+0.5)*g.CellMM}
				odd := false // even-odd: in an odd number of rings, each of which may cross itself
				for _, ring := range p {
					odd = odd != planar.RingContains(ring, at)
				}
				if in[ix] != odd && distance(p, at) > 1e-9 {
					t.Fatalf("cell %d, %d at %v: %v", ix, iy, at, in[ix])
				}
			}
		}
	})
}

func distance(p orb.Polygon, at orb.Point) float64 {
	least := math.Inf(1)
	for _, ring := range p {
		least = min(least, planar.DistanceFrom(orb.LineString(ring), at))
	}
	return least
}
