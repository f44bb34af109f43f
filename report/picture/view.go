package picture

import (
	"math"

	"github.com/paulmach/orb"
)

// view maps millimeters to canvas points, the same scale both ways. A turned one shows the table a quarter turn
// clockwise: Y runs to the right and X down.
type view struct {
	scale  float64 // points per mm
	dx, dy float64
	bound  orb.Bound // mm
	turned bool
}

// turnGain is how much larger a plan must become to be turned, so that sheets that are nearly square are not.
const turnGain = 1.25

// newView fills a box with a rectangle of the table.
func newView(b orb.Bound, into box, turned bool) view {
	v := view{scale: fitScale(b, into, turned), bound: b, turned: turned}
	middle := v.at(b.Center())
	v.dx, v.dy = (into.x0+into.x1)/2-middle.x, (into.y0+into.y1)/2-middle.y
	return v
}

// planView fills a box with a rectangle of the table, turned where that shows a tall sheet larger.
func planView(b orb.Bound, into box) view {
	return newView(b, into, fitScale(b, into, true) > turnGain*fitScale(b, into, false))
}

func fitScale(b orb.Bound, into box, turned bool) float64 {
	w, h := b.Max[0]-b.Min[0], b.Max[1]-b.Min[1]
	if turned {
		w, h = h, w
	}
	return math.Min((into.x1-into.x0)/w, (into.y1-into.y0)/h)
}

func (v view) at(p orb.Point) spot {
	if v.turned {
		p = orb.Point{p[1], -p[0]}
	}
	return spot{v.dx + float64(v.scale*p[0]), v.dy + float64(v.scale*p[1])}
}

// extent is the box that a rectangle of the table covers.
func (v view) extent(b orb.Bound) box {
	p, q := v.at(b.Min), v.at(b.Max)
	return box{math.Min(p.x, q.x), math.Min(p.y, q.y), math.Max(p.x, q.x), math.Max(p.y, q.y)}
}

func (v view) box() box { return v.extent(v.bound) }

// rings maps an outline; details below a third of a point are left out.
func (v view) rings(m orb.MultiPolygon) [][]spot {
	var out [][]spot
	for _, ring := range tidyRings(m, 0.33/v.scale) {
		s := make([]spot, 0, len(ring))
		for _, p := range ring[:len(ring)-1] {
			s = append(s, v.at(p))
		}
		out = append(out, s)
	}
	return out
}
