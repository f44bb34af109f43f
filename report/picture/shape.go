package picture

import (
	"math"

	"github.com/paulmach/orb"
	"github.com/paulmach/orb/planar"
	"github.com/paulmach/orb/simplify"

	"staydown/hold/result"
)

// planBound is the rectangle that a plan has to show: stock, zones, pieces, clamps, fixtures and the table, in mm.
// Without any it is a unit square.
func planBound(r *result.Result) orb.Bound {
	b := orb.Bound{Min: orb.Point{math.Inf(1), math.Inf(1)}, Max: orb.Point{math.Inf(-1), math.Inf(-1)}}
	add := func(ring orb.Ring) {
		for _, p := range ring {
			if Finite(p[0]) && Finite(p[1]) {
				b = b.Extend(p)
			}
		}
	}
	for _, p := range r.Job.StockOutline {
		for _, ring := range p {
			add(ring)
		}
	}
	for _, z := range r.Job.Zones {
		for _, ring := range z.Area {
			add(ring)
		}
	}
	for _, o := range obstacles(r) {
		add(o.Footprint)
	}
	add(r.Job.Table)
	for _, piece := range r.Pieces {
		for _, p := range piece.Outline {
			for _, ring := range p {
				add(ring)
			}
		}
	}
	if !(b.Min[0] < b.Max[0]) || !(b.Min[1] < b.Max[1]) {
		return orb.Bound{Max: orb.Point{1, 1}}
	}
	return b
}

// IsStock tells the stock from the pieces cut from it, of which some are not freed but hang on joins.
func IsStock(p result.Piece) bool { return p.ID == 1 }

// obstacles are clamps and fixtures.
func obstacles(r *result.Result) []result.ObstacleFacts {
	return append(r.Job.Clamps[:len(r.Job.Clamps):len(r.Job.Clamps)], r.Job.Fixtures...)
}

func Finite(v float64) bool { return !math.IsNaN(v) && math.Abs(v) < 1e9 }

// tidyRings prepares an outline for drawing: outer rings counter-clockwise, holes clockwise, so that either fill rule
// gives the same picture, and vertices dropped that move the line by no more than tolerance (Douglas and Peucker,
// "Algorithms for the reduction of the number of points required to represent a digitized line", Cartographica 10(2),
// 1973). A ring that would collapse keeps its points.
func tidyRings(m orb.MultiPolygon, tolerance float64) []orb.Ring {
	var out []orb.Ring
	for _, p := range m {
		for i, ring := range p {
			if len(ring) < 4 || !ringFinite(ring) {
				continue
			}
			s := ring.Clone()
			if thin := simplify.DouglasPeucker(tolerance).Ring(ring.Clone()); len(thin) >= 4 && planar.Area(thin) != 0 {
				s = thin
			}
			want := orb.CCW
			if i > 0 {
				want = orb.CW
			}
			if s.Orientation() != want {
				s.Reverse()
			}
			out = append(out, s)
		}
	}
	return out
}

func ringFinite(r orb.Ring) bool {
	for _, p := range r {
		if !Finite(p[0]) || !Finite(p[1]) {
			return false
		}
	}
	return true
}

// grooveLines gives the middle lines of a zone's grooves, both ways, in mm, cut to its area. They lie on multiples of
// the pitch from the lower left corner of the area, half a pitch in.
func grooveLines(z result.ZoneFacts) [][2]spot {
	if !(z.GroovePitchMM > 0) || len(z.Area) == 0 {
		return nil
	}
	b := z.Area.Bound()
	if (b.Max[0]-b.Min[0])/z.GroovePitchMM > maxHatchLines || (b.Max[1]-b.Min[1])/z.GroovePitchMM > maxHatchLines {
		return nil
	}
	var out [][2]spot
	shifted := make([][]spot, 0, len(z.Area))
	ox, oy := b.Min[0]+z.GroovePitchMM/2, b.Min[1]+z.GroovePitchMM/2
	for _, ring := range z.Area {
		if !ringFinite(ring) {
			return nil
		}
		var s []spot
		for _, p := range ring {
			s = append(s, spot{p[0] - ox, p[1] - oy})
		}
		shifted = append(shifted, s)
	}
	for _, angle := range []float64{0, math.Pi / 2} {
		for _, l := range hatchLines(angle, z.GroovePitchMM, shifted) {
			out = append(out, [2]spot{{l[0].x + ox, l[0].y + oy}, {l[1].x + ox, l[1].y + oy}})
		}
	}
	return out
}

// labelPoint is a place on a piece for its number: the centroid where that lies on the piece, else, for rings and
// hooks, the middle of the longest level line through the piece at the centroid's height.
func labelPoint(p result.Piece) (orb.Point, bool) {
	if !Finite(p.Centroid[0]) || !Finite(p.Centroid[1]) {
		return orb.Point{}, false
	}
	if planar.MultiPolygonContains(Wound(p.Outline), p.Centroid) {
		return p.Centroid, true
	}
	var rings [][]spot
	for _, ring := range tidyRings(p.Outline, 0) {
		var s []spot
		for _, q := range ring[:len(ring)-1] {
			s = append(s, spot{q[0], q[1] - p.Centroid[1]})
		}
		rings = append(rings, s)
	}
	b := p.Outline.Bound()
	best, at := 0.0, p.Centroid
	// One scan line: multiples of a gap larger than the piece meet it only at height 0.
	for _, l := range hatchLines(0, 2*(b.Max[1]-b.Min[1])+1, rings) {
		if length := l[1].x - l[0].x; length > best {
			best, at = length, orb.Point{(l[0].x + l[1].x) / 2, p.Centroid[1]}
		}
	}
	return at, true
}

// Wound copies an outline with its rings wound the way RFC 7946 asks for; rings that are no rings are left out.
func Wound(m orb.MultiPolygon) orb.MultiPolygon {
	var out orb.MultiPolygon
	for _, p := range m {
		var q orb.Polygon
		for i, ring := range p {
			if len(ring) < 4 || !ringFinite(ring) || !ring.Closed() {
				if i == 0 {
					break
				}
				continue
			}
			s := ring.Clone()
			if want := map[bool]orb.Orientation{true: orb.CCW, false: orb.CW}[i == 0]; s.Orientation() != want {
				s.Reverse()
			}
			q = append(q, s)
		}
		if len(q) > 0 {
			out = append(out, q)
		}
	}
	return out
}
