package parse

import "math"

// Bounds at corners under cutter radius compensation.
const (
	// A corner whose two offset ends lie closer than this (mm) is none.
	smoothMM = 0.002
	// Concave corners up to this angle (rad) are rounding of a tangent joint (from memory of the published
	// interpreter).
	tangentRad = 0.01
)

// track is an offset path in XY: a line from p to q, or an arc about c.
type track struct {
	arc      bool
	p, q, c  [2]float64
	r        float64
	sense    float64 // +1 counter-clockwise, -1 clockwise
	sweep    float64 // rad, positive
	curve    float64 // curvature of the programmed path, 1/mm, positive to the left
	startDir [2]float64
	endDir   [2]float64
}

// offsetTrack gives the path that runs beside a segment at distance d on its left (negative: right). It fails for an
// arc whose radius the offset uses up.
func offsetTrack(from axes, s segment, d float64) (t track, ok bool) {
	if s.kind != Arc {
		dx, dy := s.end[0]-from[0], s.end[1]-from[1]
		l := math.Hypot(dx, dy)
		t.startDir = [2]float64{dx / l, dy / l}
		t.endDir = t.startDir
		nx, ny := -t.startDir[1]*d, t.startDir[0]*d
		t.p = [2]float64{from[0] + nx, from[1] + ny}
		t.q = [2]float64{s.end[0] + nx, s.end[1] + ny}
		return t, true
	}
	t.arc, t.sense, t.sweep = true, math.Copysign(1, s.turn), math.Abs(s.turn)
	t.c = [2]float64{s.centre[0], s.centre[1]}
	place := func(a axes) (at, dir [2]float64, r float64, ok bool) {
		x, y := a[0]-t.c[0], a[1]-t.c[1]
		old := math.Hypot(x, y)
		r = old - d*t.sense
		at = [2]float64{t.c[0] + x*r/old, t.c[1] + y*r/old}
		dir = [2]float64{-t.sense * y / old, t.sense * x / old}
		return at, dir, r, r > samePlaceMM
	}
	t.curve = t.sense / math.Hypot(from[0]-t.c[0], from[1]-t.c[1])
	var okEnd bool
	t.p, t.startDir, t.r, ok = place(from)
	t.q, t.endDir, _, okEnd = place(s.end)
	return t, ok && okEnd
}

// angleTo gives how far (rad, from 0 to a full turn) along an arc the direction of x lies.
func (t *track) angleTo(x [2]float64) float64 {
	pu, pv := t.p[0]-t.c[0], t.p[1]-t.c[1]
	xu, xv := x[0]-t.c[0], x[1]-t.c[1]
	a := t.sense * math.Atan2(float64(pu*xv)-float64(pv*xu), float64(pu*xu)+float64(pv*xv))
	if a < -1e-9 {
		a += 2 * math.Pi
	}
	return max(a, 0)
}

// holds tells whether a point of the track's line or circle lies on the track itself.
func (t *track) holds(x [2]float64) bool {
	const slack = 1e-6 // mm
	if t.arc {
		return t.angleTo(x) <= t.sweep+slack/t.r
	}
	dx, dy := t.q[0]-t.p[0], t.q[1]-t.p[1]
	l := math.Hypot(dx, dy)
	along := ((x[0]-t.p[0])*dx + (x[1]-t.p[1])*dy) / l
	return along >= -slack && along <= l+slack
}

// trackOf gives the track of a move that was made.
func trackOf(mv *Move) track {
	t := track{p: [2]float64{mv.Start.X, mv.Start.Y}, q: [2]float64{mv.End.X, mv.End.Y}}
	if mv.Kind == Arc {
		t.arc, t.sense, t.sweep = true, math.Copysign(1, mv.TurnRad), math.Abs(mv.TurnRad)
		t.c = [2]float64{mv.Centre.X, mv.Centre.Y}
		t.r = math.Hypot(t.p[0]-t.c[0], t.p[1]-t.c[1])
	}
	return t
}

// meet gives the point common to two tracks that is nearest to near.
func meet(a, b *track, near [2]float64) (best [2]float64, ok bool) {
	var points [2][2]float64
	n := 0
	switch {
	case !a.arc && !b.arc:
		points, n = lineLine(a, b)
	case a.arc && b.arc:
		points, n = circleCircle(a, b)
	case a.arc:
		points, n = lineCircle(b, a)
	default:
		points, n = lineCircle(a, b)
	}
	least := math.Inf(1)
	for _, x := range points[:n] {
		if d := math.Hypot(x[0]-near[0], x[1]-near[1]); d < least && a.holds(x) && b.holds(x) {
			best, least, ok = x, d, true
		}
	}
	return best, ok
}

func lineLine(a, b *track) (x [2][2]float64, n int) {
	ax, ay := a.q[0]-a.p[0], a.q[1]-a.p[1]
	bx, by := b.q[0]-b.p[0], b.q[1]-b.p[1]
	det := float64(ax*by) - float64(ay*bx)
	if det == 0 {
		return x, 0
	}
	t := ((b.p[0]-a.p[0])*by - (b.p[1]-a.p[1])*bx) / det
	x[0] = [2]float64{a.p[0] + t*ax, a.p[1] + t*ay}
	return x, 1
}

func lineCircle(l, c *track) (x [2][2]float64, n int) {
	dx, dy := l.q[0]-l.p[0], l.q[1]-l.p[1]
	d := math.Hypot(dx, dy)
	if d == 0 {
		return x, 0
	}
	dx, dy = dx/d, dy/d
	fx, fy := c.c[0]-l.p[0], c.c[1]-l.p[1]
	foot := fx*dx + fy*dy
	h2 := c.r*c.r - (fx*dy-fy*dx)*(fx*dy-fy*dx)
	if h2 < 0 {
		return x, 0
	}
	h := math.Sqrt(h2)
	for i, t := range [...]float64{foot - h, foot + h} {
		x[i] = [2]float64{l.p[0] + t*dx, l.p[1] + t*dy}
	}
	return x, 2
}

func circleCircle(a, b *track) (x [2][2]float64, n int) {
	dx, dy := b.c[0]-a.c[0], b.c[1]-a.c[1]
	d := math.Hypot(dx, dy)
	if d == 0 {
		return x, 0
	}
	along := (d*d + a.r*a.r - b.r*b.r) / (2 * d)
	h2 := a.r*a.r - along*along
	if h2 < 0 {
		return x, 0
	}
	h := math.Sqrt(h2)
	dx, dy = dx/d, dy/d
	for i, s := range [...]float64{h, -h} {
		x[i] = [2]float64{a.c[0] + along*dx - s*dy, a.c[1] + along*dy + s*dx}
	}
	return x, 2
}

// corner takes the tool from the end of the last offset move to the start of the next track. It reports whether the
// start of that track was cut off, the tool then standing where the two tracks meet.
func (it *interp) corner(b *block, s segment, next *track, at axes) (cut bool) {
	c := &it.comp
	cross := float64(c.dir[0]*next.startDir[1]) - float64(c.dir[1]*next.startDir[0])
	dot := float64(c.dir[0]*next.startDir[0]) + float64(c.dir[1]*next.startDir[1])
	angle := math.Atan2(cross, dot)
	inward := angle * c.side
	if math.Pi-math.Abs(angle) < 1e-9 {
		// Straight back: the curvatures tell whether the tool stands in the wedge between the two paths or goes
		// round its tip. The same line back and forth has a tip.
		inward = -math.Pi
		if (c.curve+next.curve)*c.side < -1e-12 {
			inward = math.Pi
		}
		angle = inward * c.side
	}
	switch {
	case c.r*math.Abs(angle) <= smoothMM:
		return false
	case inward < 0:
		start := Point{next.p[0], next.p[1], it.at.tip[2]}
		it.emit(b, Move{Kind: Arc, End: start, Centre: Point{at[0], at[1], it.at.tip[2]}, TurnRad: angle,
			FeedMMMin: it.cornerFeed(s, next)})
		return false
	}
	if it.say.strict && inward > tangentRad {
		it.say.unread(b.first, "a concave corner under cutter radius compensation is an error in the published "+
			"standard; round the corner in the program")
	} else if inward > tangentRad {
		it.say.reading(lenCompConcave, b.first, "a concave corner under cutter radius compensation; the tool turns "+
			"where the two offset paths meet, as on most controls")
	}
	if c.last >= 0 {
		move := it.p.Moves.At(c.last)
		last := trackOf(&move)
		if x, ok := meet(&last, next, [2]float64{at[0], at[1]}); ok {
			it.cutLast(&last, x)
			return true
		}
	}
	if inward > tangentRad {
		it.say.unread(b.first, "the tool's radius of %s does not fit into the corner before this move; the tool is "+
			"taken straight across, use a smaller tool", it.modal.length(c.r))
	}
	it.emit(b, Move{Kind: Feed, End: Point{next.p[0], next.p[1], it.at.tip[2]}, FeedMMMin: it.cornerFeed(s, next)})
	return false
}

// cutLast ends the last offset move, and whatever was done at its end, at x.
func (it *interp) cutLast(t *track, x [2]float64) {
	moves := &it.p.Moves
	mv := moves.At(it.comp.last)
	if t.arc {
		a := t.angleTo(x)
		for a+2*math.Pi <= t.sweep+1e-9 { // in the last of several turns
			a += 2 * math.Pi
		}
		mv.TurnRad = t.sense * a
	}
	mv.End.X, mv.End.Y = x[0], x[1]
	it.measure(&mv)
	moves.set(it.comp.last, &mv)
	for i := it.comp.last + 1; i < moves.Len(); i++ {
		m := moves.At(i)
		m.Start.X, m.Start.Y, m.End.X, m.End.Y = x[0], x[1], x[0], x[1]
		moves.set(i, &m)
	}
	it.at.tip[0], it.at.tip[1] = x[0], x[1]
}

// cornerFeed gives the feed round a corner: that of the move behind it; 0 leaves it to the feed mode.
func (it *interp) cornerFeed(s segment, next *track) float64 {
	switch {
	case s.kind == Rapid:
		return it.rapid
	case it.modal.feedMode == inverseTime:
		l := math.Hypot(next.q[0]-next.p[0], next.q[1]-next.p[1])
		if next.arc {
			l = next.r * next.sweep
		}
		return it.modal.feed * l
	}
	return 0
}
