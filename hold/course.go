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
	d := parse.Point{X: m.End.X - m.Start.X, Y: m.End.Y - m.Start.Y, Z: m.End.Z - m.Start.Z}
	p := place{at: parse.Point{X: m.Start.X + f*d.X, Y: m.Start.Y + f*d.Y, Z: m.Start.Z + f*d.Z}}
	tangent := d
	if m.Kind == parse.Arc {
		p.at, tangent = alongArc(m, f)
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

// alongArc gives the place and the tangent (of any length) at fraction f of an arc or helix.
func alongArc(m *parse.Move, f float64) (at, tangent parse.Point) {
	// a and b span the plane with a x b along its normal; c goes along the normal.
	pick := func(p parse.Point) (a, b, c float64) {
		switch m.Plane {
		case parse.PlaneZX:
			return p.Z, p.X, p.Y
		case parse.PlaneYZ:
			return p.Y, p.Z, p.X
		default:
			return p.X, p.Y, p.Z
		}
	}
	put := func(a, b, c float64) parse.Point {
		switch m.Plane {
		case parse.PlaneZX:
			return parse.Point{X: b, Y: c, Z: a}
		case parse.PlaneYZ:
			return parse.Point{X: c, Y: a, Z: b}
		default:
			return parse.Point{X: a, Y: b, Z: c}
		}
	}
	sa, sb, sc := pick(m.Start)
	ea, eb, ec := pick(m.End)
	ca, cb, _ := pick(m.Centre)
	r0, r1 := math.Hypot(sa-ca, sb-cb), math.Hypot(ea-ca, eb-cb)
	r := r0 + f*(r1-r0) // an arc within its out-of-round tolerance ends where the program says
	angle := math.Atan2(sb-cb, sa-ca) + f*m.TurnRad
	sin, cos := math.Sincos(angle)
	at = put(ca+r*cos, cb+r*sin, sc+f*(ec-sc))
	tangent = put(-r*sin*m.TurnRad+(r1-r0)*cos, r*cos*m.TurnRad+(r1-r0)*sin, ec-sc)
	return at, tangent
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
