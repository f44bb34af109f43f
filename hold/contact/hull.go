package contact

import (
	"cmp"
	"math"
	"slices"

	"github.com/paulmach/orb"
)

const (
	// maxCorners bounds the corners of the hull, so that a check of the stock costs no more than one of a square.
	// Corners are only left out, so the hull shrinks and the tip margin with it, by at most 0.5 % for a disc (1 -
	// cos(pi/32)).
	maxCorners = 32
	// Beyond manyPoints (outlines) or a quarter as many elements only the outermost point of each of directions is kept
	// before the hull is made: for a disc another 0.03 % (half of 1 - cos(pi/128)) less, for a polygon with no more
	// corners than that as a rule nothing.
	manyPoints = 2048
	directions = 128
)

// Hull gives the corners of the convex hull of some places, counter-clockwise, at most 32 of them; fewer than three
// when all lie on a line.
func Hull(pts []orb.Point) []orb.Point { return hull(slices.Clone(pts)) }

// within is the part of a convex polygon inside another, both counter-clockwise; all of it where that has no area.
// Source: I. Sutherland, G. Hodgman, Comm. ACM 17 (1974) 32-42.
func within(polygon, bounds []orb.Point) []orb.Point {
	if len(bounds) < 3 {
		return polygon
	}
	polygon = cornersApart(polygon)
	var spare []orb.Point
	for i := range bounds {
		edge := axisThrough(bounds[i], bounds[(i+1)%len(bounds)])
		if !slices.ContainsFunc(polygon, func(p orb.Point) bool { return edge.inside(p[0], p[1]) < 0 }) {
			continue
		}
		kept := spare[:0]
		for k, p := range polygon {
			q := polygon[(k+1)%len(polygon)]
			a, b := edge.inside(p[0], p[1]), edge.inside(q[0], q[1])
			if a >= 0 {
				kept = append(kept, p)
			}
			if (a < 0) != (b < 0) {
				f := a / (a - b)
				kept = append(kept, orb.Point{p[0] + (q[0]-p[0])*f, p[1] + (q[1]-p[1])*f})
			}
		}
		polygon, spare = cornersApart(kept), polygon
	}
	return hull(polygon)
}

// cornersApart leaves out corners that count as the one before.
func cornersApart(polygon []orb.Point) []orb.Point {
	same := func(p, q orb.Point) bool { return hypot(p[0]-q[0], p[1]-q[1]) <= sameCornerMM }
	polygon = slices.CompactFunc(polygon, same)
	if n := len(polygon); n > 1 && same(polygon[0], polygon[n-1]) {
		polygon = polygon[:n-1]
	}
	return polygon
}

// sameCornerMM is how near two corners of a cut polygon lie that count as one: shorter edges have no sure direction.
const sameCornerMM = 1e-6

// hull gives the corners of the convex hull of pts, counter-clockwise, at most maxCorners; fewer than three when pts
// lie on a line. It reorders pts. Source: monotone chain, A. M. Andrew, Inf. Process. Lett. 9 (1979) 216-219.
func hull(pts []orb.Point) []orb.Point {
	if len(pts) > manyPoints {
		pts = outermost(pts)
	}
	slices.SortFunc(pts, func(p, q orb.Point) int {
		if p[0] != q[0] {
			return cmp.Compare(p[0], q[0])
		}
		return cmp.Compare(p[1], q[1])
	})
	if len(pts) < 3 {
		return pts
	}
	chain := make([]orb.Point, 0, 2*len(pts))
	for pass := 0; pass < 2; pass++ {
		base := len(chain)
		for k := range pts {
			p := pts[k]
			if pass == 1 {
				p = pts[len(pts)-1-k]
			}
			for len(chain) >= base+2 && turn(chain[len(chain)-2], chain[len(chain)-1], p) <= 0 {
				chain = chain[:len(chain)-1]
			}
			chain = append(chain, p)
		}
		chain = chain[:len(chain)-1]
	}
	for len(chain) > maxCorners {
		least, at := math.Inf(1), 0
		for i := range chain {
			if t := turn(chain[(i+len(chain)-1)%len(chain)], chain[i], chain[(i+1)%len(chain)]); t < least {
				least, at = t, i
			}
		}
		chain = append(chain[:at], chain[at+1:]...)
	}
	return chain
}

// turn is twice the area of the triangle, positive when it runs counter-clockwise.
func turn(a, b, c orb.Point) float64 {
	return (b[0]-a[0])*(c[1]-a[1]) - (b[1]-a[1])*(c[0]-a[0])
}

// outermost keeps the points farthest out in evenly spread directions.
func outermost(pts []orb.Point) []orb.Point {
	out := make([]orb.Point, directions)
	for k := range out {
		dx, dy := wayOf(k, directions)
		best := math.Inf(-1)
		for _, p := range pts {
			if d := dx*p[0] + dy*p[1]; d > best {
				best, out[k] = d, p
			}
		}
	}
	return out
}

// corners gives the corners of squares that have the elements' areas, of many elements only those that are farthest
// out. Corners that are surely none of the hull are left out: most are, and sorting them is what costs.
func corners(elements []Element) []orb.Point {
	squares := make([]square, 0, len(elements))
	for _, p := range elements {
		if p.AreaMM2 > 0 {
			squares = append(squares, square{p.X, p.Y, math.Sqrt(p.AreaMM2) / 2})
		}
	}
	edges := innerPolygon(squares)
	squares = slices.DeleteFunc(squares, func(q square) bool { return wellInside(&q, edges) })
	if len(squares) > 0 && len(elements) > manyPoints/4 {
		squares = outermostSquares(squares)
	}
	pts := make([]orb.Point, 0, 4*len(squares))
	for _, q := range squares {
		for _, way := range [4][2]float64{{-1, -1}, {1, -1}, {1, 1}, {-1, 1}} {
			if p := q.corner(way[0], way[1]); !wellInside(&square{x: p[0], y: p[1]}, edges) {
				pts = append(pts, p)
			}
		}
	}
	return pts
}

// square stands for an element: its center and half its side, mm.
type square struct{ x, y, half float64 }

// reach tells how far the square reaches in a direction.
func (q *square) reach(dx, dy float64) float64 {
	return dx*q.x + dy*q.y + q.half*(math.Abs(dx)+math.Abs(dy))
}

// corner is the corner that reaches farthest.
func (q *square) corner(dx, dy float64) orb.Point {
	return orb.Point{q.x + math.Copysign(q.half, dx), q.y + math.Copysign(q.half, dy)}
}

// wayOf gives evenly spread directions, none of them along an axis.
func wayOf(k, of int) (dx, dy float64) {
	dy, dx = math.Sincos(2 * math.Pi * (float64(k) + 0.5) / float64(of))
	return dx, dy
}

// innerWays is the number of directions that within looks into. More leave out more squares and cost more for each.
const innerWays = 16

// innerPolygon gives the edges of the polygon of the points farthest out in a few directions; nothing of few squares.
func innerPolygon(squares []square) []axis {
	if len(squares) <= innerWays {
		return nil
	}
	var points [innerWays]orb.Point
	for k := range points {
		dx, dy := wayOf(k, innerWays)
		points[k] = squares[farthest(squares, dx, dy)].corner(dx, dy)
	}
	edges := make([]axis, 0, innerWays)
	for k, p := range points {
		if q := points[(k+1)%innerWays]; p != q {
			edges = append(edges, axisThrough(p, q))
		}
	}
	return edges
}

// farthest finds the square that reaches farthest in a direction.
func farthest(squares []square, dx, dy float64) (at int) {
	best := math.Inf(-1)
	for i := range squares {
		if d := squares[i].reach(dx, dy); d > best {
			best, at = d, i
		}
	}
	return at
}

// wellInside tells whether a square lies inside of all edges by more than rounding errors amount to: then no corner of
// it is one of the hull, and it is farthest out in no direction. Of no edges nothing lies inside.
func wellInside(q *square, edges []axis) bool {
	for i := range edges {
		e := &edges[i]
		if r := q.reach(e.nx, e.ny); !(r < e.off-rounding*(math.Abs(e.off)+math.Abs(q.x)+math.Abs(q.y)+q.half)) {
			return false
		}
	}
	return len(edges) > 0
}

// outermostSquares keeps, for every one of the directions, the square that reaches farthest.
func outermostSquares(squares []square) []square {
	out := make([]square, directions)
	for k := range out {
		dx, dy := wayOf(k, directions)
		out[k] = squares[farthest(squares, dx, dy)]
	}
	return out
}
