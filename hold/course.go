package hold

import (
	"math"

	"staydown/parse"
)

// maxTurnRad bounds how far the feed direction may turn between two places at which a step is checked.
const maxTurnRad = math.Pi / 12

// place is the tool tip at a fraction of a move, with the direction of feed there.
type place struct {
	at         parse.Point
	cosF, sinF float64 // of the feed direction seen from above; (1, 0) when the tool only goes up or down
	rampRad    float64 // slope below the horizontal, positive down
}

// along gives the place of the tool tip at fraction f of the move.
func along(m *parse.Move, f float64) place {
	p := place{at: m.At(f)}
	tangent := parse.Point{X: m.End.X - m.Start.X, Y: m.End.Y - m.Start.Y, Z: m.End.Z - m.Start.Z}
	if m.Kind == parse.Arc {
		tangent = tangentOf(m, f)
	}
	p.cosF, p.sinF = 1, 0
	flat := math.Hypot(tangent.X, tangent.Y)
	if flat > 0 {
		p.cosF, p.sinF = tangent.X/flat, tangent.Y/flat
	}
	if flat > 0 || tangent.Z != 0 {
		p.rampRad = math.Atan2(-tangent.Z, flat)
	}
	return p
}

// tangentOf gives the tangent, of any length, at fraction f of an arc or helix.
func tangentOf(m *parse.Move, f float64) parse.Point {
	sa, sb, sn := m.Plane.Axes(m.Start)
	ea, eb, en := m.Plane.Axes(m.End)
	ca, cb, _ := m.Plane.Axes(m.Centre)
	r0, r1 := math.Hypot(sa-ca, sb-cb), math.Hypot(ea-ca, eb-cb)
	r := r0 + f*(r1-r0) // see Move.At
	sin, cos := math.Sincos(math.Atan2(sb-cb, sa-ca) + f*m.TurnRad)
	return m.Plane.Point(-r*sin*m.TurnRad+(r1-r0)*cos, r*cos*m.TurnRad+(r1-r0)*sin, en-sn)
}

// places samples the stretch of a move from fraction a to b: both ends, and enough between that the feed never
// turns by more than maxTurnRad from one to the next.
func places(m *parse.Move, a, b float64) []place {
	n := 1
	if m.Kind == parse.Arc && b > a {
		n = max(1, int(math.Ceil(math.Abs(m.TurnRad)*(b-a)/maxTurnRad)))
	}
	if b <= a {
		return []place{along(m, b)}
	}
	out := make([]place, 0, n+1)
	for i := 0; i <= n; i++ {
		out = append(out, along(m, a+(b-a)*float64(i)/float64(n)))
	}
	return out
}
