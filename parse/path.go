package parse

import "math"

// Axes gives the coordinates of a point along the two axes of the plane, in the order in which the angle grows, and
// along its normal.
func (p Plane) Axes(q Point) (a, b, n float64) {
	u, v, w := p.inPlane()
	c := q.axes()
	return c[u], c[v], c[w]
}

// Point is the inverse of Axes.
func (p Plane) Point(a, b, n float64) Point {
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
	sa, sb, sn := m.Plane.Axes(m.Start)
	ca, cb, _ := m.Plane.Axes(m.Centre)
	ea, eb, en := m.Plane.Axes(m.End)
	r0, r1 := math.Hypot(sa-ca, sb-cb), math.Hypot(ea-ca, eb-cb)
	r := r0 + float64(f*(r1-r0))
	sin, cos := math.Sincos(math.Atan2(sb-cb, sa-ca) + float64(f*m.TurnRad))
	return m.Plane.Point(ca+float64(r*cos), cb+float64(r*sin), sn+float64(f*(en-sn)))
}

// LowestZ is the lowest Z of the tool tip on the move, mm. An arc out of the XY plane may dip below both of its ends;
// where they differ in radius the larger one counts.
func (m *Move) LowestZ() float64 {
	z := math.Min(m.Start.Z, m.End.Z)
	if m.Kind == Arc && m.Plane != PlaneXY && m.turnsThrough(Point{Z: -1}) {
		startA, startB := m.fromCentre(m.Start)
		endA, endB := m.fromCentre(m.End)
		z = math.Min(z, m.Centre.Z-math.Max(math.Hypot(startA, startB), math.Hypot(endA, endB)))
	}
	return z
}

// turnsThrough tells whether an arc passes the point of its circle that lies in a direction from the centre, its start
// included.
func (m *Move) turnsThrough(direction Point) bool {
	a, b, _ := m.Plane.Axes(direction)
	startA, startB := m.fromCentre(m.Start)
	ahead := math.Atan2(b, a) - math.Atan2(startB, startA)
	if m.TurnRad < 0 {
		ahead = -ahead
	}
	return math.Mod(ahead+2*math.Pi, 2*math.Pi) <= math.Abs(m.TurnRad)
}

// fromCentre gives a point in the plane of an arc, from its centre.
func (m *Move) fromCentre(p Point) (a, b float64) {
	a, b, _ = m.Plane.Axes(p)
	centreA, centreB, _ := m.Plane.Axes(m.Centre)
	return a - centreA, b - centreB
}
