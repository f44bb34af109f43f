package parse

import "math"

// axes gives the coordinates of a point along the two axes of the plane, in the order in which the angle grows, and
// along its normal.
func (p Plane) axes(q Point) (a, b, n float64) {
	u, v, w := p.inPlane()
	c := q.axes()
	return c[u], c[v], c[w]
}

// point is the inverse of axes.
func (p Plane) point(a, b, n float64) Point {
	u, v, w := p.inPlane()
	var c axes
	c[u], c[v], c[w] = a, b, n
	return c.point()
}

// At gives the place of the tool tip after a fraction of the move; Start up to 0 and End from 1 on. An arc whose ends
// differ in radius goes from one to the other in proportion to the angle, so that it ends where the program says.
func (m *Move) At(f float64) Point {
	switch {
	case f <= 0 || m.Kind == Dwell:
		return m.Start
	case f >= 1:
		return m.End
	case m.Kind != Arc:
		return Point{
			X: m.Start.X + float64(f*(m.End.X-m.Start.X)),
			Y: m.Start.Y + float64(f*(m.End.Y-m.Start.Y)),
			Z: m.Start.Z + float64(f*(m.End.Z-m.Start.Z)),
		}
	}
	sa, sb, sn := m.Plane.axes(m.Start)
	ca, cb, _ := m.Plane.axes(m.Centre)
	ea, eb, en := m.Plane.axes(m.End)
	r0, r1 := math.Hypot(sa-ca, sb-cb), math.Hypot(ea-ca, eb-cb)
	r := r0 + float64(f*(r1-r0))
	sin, cos := math.Sincos(math.Atan2(sb-cb, sa-ca) + float64(f*m.TurnRad))
	return m.Plane.point(ca+float64(r*cos), cb+float64(r*sin), sn+float64(f*(en-sn)))
}

// Tangent is the derivative of At after a fraction of the move, mm for all of it: the direction of feed, with the
// length of the path where the radius of an arc does not change. 0 for a dwell.
func (m *Move) Tangent(f float64) Point {
	switch m.Kind {
	case Dwell:
		return Point{}
	case Rapid, Feed:
		return Point{X: m.End.X - m.Start.X, Y: m.End.Y - m.Start.Y, Z: m.End.Z - m.Start.Z}
	}
	sa, sb, sn := m.Plane.axes(m.Start)
	ea, eb, en := m.Plane.axes(m.End)
	ca, cb, _ := m.Plane.axes(m.Centre)
	r0, r1 := math.Hypot(sa-ca, sb-cb), math.Hypot(ea-ca, eb-cb)
	r := r0 + f*(r1-r0)
	sin, cos := math.Sincos(math.Atan2(sb-cb, sa-ca) + f*m.TurnRad)
	return m.Plane.point(-r*sin*m.TurnRad+(r1-r0)*cos, r*cos*m.TurnRad+(r1-r0)*sin, en-sn)
}

// uprightMM is the way sideways up to which a move counts as going straight up or down.
const uprightMM = 1e-9

// Heading gives the direction of feed seen from above, of unit length, after a fraction of the move; ok is false where
// the tool does not go sideways.
func (m *Move) Heading(f float64) (x, y float64, ok bool) {
	t := m.Tangent(f)
	flat := math.Hypot(t.X, t.Y)
	if flat < uprightMM {
		return 0, 0, false
	}
	return t.X / flat, t.Y / flat, true
}

// Upright tells whether the tool goes straight up or down, or stands.
func (m *Move) Upright() bool {
	return m.Kind != Arc && math.Hypot(m.End.X-m.Start.X, m.End.Y-m.Start.Y) < uprightMM
}

// pathLength gives the length (mm) of a move: straight, or along a helix of the mean of the radii at both ends.
func pathLength(m *Move) float64 {
	switch m.Kind {
	case Dwell:
		return 0
	case Arc:
		start, end, n := m.radii()
		return math.Hypot((start+end)/2*m.TurnRad, n)
	}
	dx, dy, dz := m.End.X-m.Start.X, m.End.Y-m.Start.Y, m.End.Z-m.Start.Z
	return math.Sqrt(float64(dx*dx) + float64(dy*dy) + float64(dz*dz))
}

// RadiusMM is the radius of an arc, the larger one where those of its ends differ; 0 for other moves.
func (m *Move) RadiusMM() float64 {
	if m.Kind != Arc {
		return 0
	}
	start, end, _ := m.radii()
	return math.Max(start, end)
}

// radii gives the radii of an arc at both ends and the way along its normal.
func (m *Move) radii() (start, end, normal float64) {
	sa, sb, sn := m.Plane.axes(m.Start)
	ca, cb, _ := m.Plane.axes(m.Centre)
	ea, eb, en := m.Plane.axes(m.End)
	return math.Hypot(sa-ca, sb-cb), math.Hypot(ea-ca, eb-cb), en - sn
}

// Chords is the number of equal straight pieces that stay within awayMM of the path: awayMM = r (1 - cos(turn/2)) for
// each. 1 for a straight move.
func (m *Move) Chords(awayMM float64) int {
	if m.Kind != Arc {
		return 1
	}
	r := m.RadiusMM()
	if r <= awayMM {
		return max(1, int(math.Ceil(math.Abs(m.TurnRad)/(math.Pi/4))))
	}
	n := math.Ceil(math.Abs(m.TurnRad) / (2 * math.Acos(1-awayMM/r)))
	return int(math.Max(1, math.Min(n, maxChords)))
}

// maxChords bounds the pieces of one arc.
const maxChords = 1<<20 + 1

// Bounds gives the corners of the box round the path of the tool tip, the bulge of an arc included. Of an arc whose
// ends differ in radius the larger one counts.
func (m *Move) Bounds() (low, high Point) {
	s, e := m.Start, m.End
	low = Point{X: math.Min(s.X, e.X), Y: math.Min(s.Y, e.Y), Z: math.Min(s.Z, e.Z)}
	high = Point{X: math.Max(s.X, e.X), Y: math.Max(s.Y, e.Y), Z: math.Max(s.Z, e.Z)}
	if m.Kind != Arc {
		return low, high
	}
	l, h, c, r := low.axes(), high.axes(), m.Centre.axes(), m.RadiusMM()
	u, v, _ := m.Plane.inPlane()
	startA, startB := m.fromCentre(m.Start)
	from := math.Atan2(startB, startA)
	if m.passes(from, 0) {
		h[u] = math.Max(h[u], c[u]+r)
	}
	if m.passes(from, math.Pi/2) {
		h[v] = math.Max(h[v], c[v]+r)
	}
	if m.passes(from, math.Pi) {
		l[u] = math.Min(l[u], c[u]-r)
	}
	if m.passes(from, -math.Pi/2) {
		l[v] = math.Min(l[v], c[v]-r)
	}
	return l.point(), h.point()
}

// LowestZ is the lowest Z of the tool tip on the move, mm: that of Bounds. An arc out of the XY plane may dip below
// both of its ends.
func (m *Move) LowestZ() float64 {
	if m.Kind == Arc && m.Plane != PlaneXY {
		low, _ := m.Bounds()
		return low.Z
	}
	return math.Min(m.Start.Z, m.End.Z)
}

// passes tells whether an arc that starts at one angle of its circle passes another, its start included.
func (m *Move) passes(from, angle float64) bool {
	ahead := angle - from
	if m.TurnRad < 0 {
		ahead = -ahead
	}
	return math.Mod(ahead+2*math.Pi, 2*math.Pi) <= math.Abs(m.TurnRad)
}

// fromCentre gives a point in the plane of an arc, from its center.
func (m *Move) fromCentre(p Point) (a, b float64) {
	a, b, _ = m.Plane.axes(p)
	centreA, centreB, _ := m.Plane.axes(m.Centre)
	return a - centreA, b - centreB
}
