package picture

import "math"

// labelRoom is the room for labels on a picture, Y up: no label covers another one or a mark, and no leader line
// crosses a label or another leader.
type labelRoom struct {
	frame   box
	taken   []box // labels and marks
	labels  []box
	leaders [][2]spot
}

// maxLeader is the longest way from a label to what it names.
const maxLeader = 45.0

// Room about a label, beside and below the text.
const (
	labelPadX = 2.0
	labelPadY = 2.5
)

// labelBox is the box of a text that is width wide and size high, with the left end of its base line at a spot.
func labelBox(at spot, width, size float64) box {
	return box{at.x - labelPadX, at.y - labelPadY, at.x + width + labelPadX, at.y + size}
}

func (b box) textStart() spot { return spot{b.x0 + labelPadX, b.y0 + labelPadY} }

func (b box) meets(o box) bool { return b.x0 < o.x1 && o.x0 < b.x1 && b.y0 < o.y1 && o.y0 < b.y1 }

// nearest is the point of a box next to a spot.
func (b box) nearest(s spot) spot {
	return spot{math.Max(b.x0, math.Min(s.x, b.x1)), math.Max(b.y0, math.Min(s.y, b.y1))}
}

func (r *labelRoom) covered(b box) bool {
	for _, o := range r.taken {
		if b.meets(o) {
			return true
		}
	}
	return r.crossesLeader(b)
}

func (r *labelRoom) crossesLeader(b box) bool {
	for _, l := range r.leaders {
		if lineMeetsBox(l, b) {
			return true
		}
	}
	return false
}

func (r *labelRoom) keep(b box) {
	r.taken, r.labels = append(r.taken, b), append(r.labels, b)
}

// near finds a place for a label near a spot, at least away from it, and keeps it. Where the label does not touch what
// it names, leader is the line between them.
func (r *labelRoom) near(s spot, away, width, size float64) (label box, leader [2]spot, led, ok bool) {
	for _, ring := range []float64{1, 2.2, 3.6} {
		d := away * ring
		if d > maxLeader {
			break
		}
		for _, c := range []struct{ x, y, align float64 }{{d, -size / 3, 0}, {-d, -size / 3, -1}, {0, d, -0.5},
			{0, -d - size*0.7, -0.5}, {d, d, 0}, {-d, d, -1}, {d, -d - size*0.7, 0}, {-d, -d - size*0.7, -1}} {
			b := labelBox(spot{s.x + c.x + c.align*width, s.y + c.y}, width, size)
			if b.x0 < r.frame.x0 || b.x1 > r.frame.x1 || b.y0 < r.frame.y0 || b.y1 > r.frame.y1 || r.covered(b) {
				continue
			}
			leader, led = [2]spot{s, b.nearest(s)}, ring > 1 || away > 8
			if led && !r.free(leader) {
				continue
			}
			if led {
				r.leaders = append(r.leaders, leader)
			}
			r.keep(b)
			return b, leader, led, true
		}
	}
	return box{}, leader, false, false
}

// free tells whether a leader crosses no label and no other leader.
func (r *labelRoom) free(leader [2]spot) bool {
	for _, b := range r.labels {
		if lineMeetsBox(leader, b) {
			return false
		}
	}
	for _, l := range r.leaders {
		if linesCross(leader, l) {
			return false
		}
	}
	return true
}

// linesCross tells whether two lines have a point in common that lies inside both.
func linesCross(a, b [2]spot) bool {
	side := func(l [2]spot, p spot) float64 {
		return float64((l[1].x-l[0].x)*(p.y-l[0].y)) - float64((l[1].y-l[0].y)*(p.x-l[0].x))
	}
	return side(a, b[0])*side(a, b[1]) < 0 && side(b, a[0])*side(b, a[1]) < 0
}

func lineMeetsBox(l [2]spot, b box) bool {
	inside := func(s spot) bool { return s.x > b.x0 && s.x < b.x1 && s.y > b.y0 && s.y < b.y1 }
	if inside(l[0]) || inside(l[1]) {
		return true
	}
	c := b.corners()
	for i := range c {
		if linesCross(l, [2]spot{c[i], c[(i+1)%len(c)]}) {
			return true
		}
	}
	return false
}
