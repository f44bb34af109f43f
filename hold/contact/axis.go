package contact

import (
	"math"
	"slices"

	"github.com/paulmach/orb"
)

// axis is a line that the piece can turn up about: every point of its face is on the inner side or on the line.
type axis struct {
	nx, ny float64 // outward unit normal
	off    float64 // the line is n.x = off, mm
	resist float64 // moment of hold, weight and webs about it, N mm
	from   orb.Point
	to     orb.Point

	nearness float64 // 1 over the distance of the pressure center from it, 1/mm; +Inf when that is on it or beyond
}

// inside is the distance of a point from the axis, positive on the piece's side, mm.
func (a axis) inside(x, y float64) float64 { return a.off - (a.nx*x + a.ny*y) }

// axes gives the lines that have to be looked at for tipping.
//
// A piece turns up with z = a + b x + c y >= 0 on its face. What resists is the sum of hold times z, linear, and of web
// strength times |z|. Its least per work of the load lies at an extreme ray of the cone of those z, cut up by z = 0 at
// each web: at an edge of the hull, or at a line through two webs, or through a web and a corner, that leaves the whole
// face on one side. Without webs these are the edges alone. With pressure and weight as one resultant at the pressure
// center, the pressure's first moment about a line is that resultant times the center's distance. Without a face and
// with fewer than three webs out of line there is nothing to look at: nil.
func axes(corners []orb.Point, webs []hinge, normalN, cx, cy float64) []axis {
	if len(corners) == 0 {
		places := make([]orb.Point, len(webs))
		for i, w := range webs {
			places[i] = orb.Point{w.x, w.y}
		}
		if len(hull(places)) < 3 {
			return nil // webs in one line hold nothing upright about that line
		}
	}
	lines := make([]axis, 0, len(corners))
	for i := range corners {
		lines = append(lines, axisThrough(corners[i], corners[(i+1)%len(corners)]))
	}
	var room [32]axis
	if more := addWebAxes(room[:0], corners, outside(lines, webs)); len(more) > 0 {
		lines = slices.Concat(lines, more) // no larger than it is: many bodies are kept
	}
	for i := range lines {
		l := &lines[i]
		in := l.inside(cx, cy)
		l.resist = normalN * in
		l.nearness = 1 / max(in, 0)
		for _, w := range webs {
			l.resist += w.force * math.Abs(l.inside(w.x, w.y))
		}
	}
	return lines
}

// axisThrough gives the axis with the inner side to the left of the way from p to q.
func axisThrough(p, q orb.Point) axis {
	dx, dy := q[0]-p[0], q[1]-p[1]
	d := hypot(dx, dy)
	nx, ny := dy/d, -dx/d
	return axis{nx: nx, ny: ny, off: nx*p[0] + ny*p[1], from: p, to: q}
}

// outside gives the webs that stand beyond an edge; all when there are no edges.
func outside(edges []axis, webs []hinge) []orb.Point {
	var out []orb.Point
	for _, w := range webs {
		beyond := len(edges) == 0
		for _, e := range edges {
			beyond = beyond || e.inside(w.x, w.y) < 0
		}
		if beyond {
			out = append(out, orb.Point{w.x, w.y})
		}
	}
	return out
}

// addWebAxes adds the lines through a web and another web or a corner that leave all corners on their inner side.
func addWebAxes(lines []axis, corners, webs []orb.Point) []axis {
	try := func(p, q orb.Point) {
		if p == q {
			return
		}
		a := axisThrough(p, q)
		for _, c := range corners {
			// A corner on the line, as it is for a tangent, may come out a rounding error outside.
			if a.inside(c[0], c[1]) < -1e-9*(math.Abs(a.off)+math.Abs(c[0])+math.Abs(c[1])) {
				return
			}
		}
		lines = append(lines, a)
	}
	for i, w := range webs {
		for _, c := range corners {
			try(w, c)
			try(c, w)
		}
		for _, v := range webs[i+1:] {
			try(w, v)
			try(v, w)
		}
	}
	return lines
}
