package parse

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// anyMove draws a move whose arc, if it is one, has both ends on its circle.
func anyMove(t *rapid.T) *Move {
	length := func(name string) float64 { return rapid.Float64Range(-100, 100).Draw(t, name) }
	m := &Move{
		Kind:  Kind(rapid.IntRange(int(Rapid), int(Arc)).Draw(t, "kind")),
		Plane: Plane(rapid.IntRange(0, 2).Draw(t, "plane")),
		Start: Point{X: length("x"), Y: length("y"), Z: length("z")},
	}
	if m.Kind != Arc {
		m.End = Point{X: length("to x"), Y: length("to y"), Z: length("to z")}
		return m
	}
	a, b, n := m.Plane.Axes(m.Start)
	r, from := rapid.Float64Range(0.1, 50).Draw(t, "radius"), rapid.Float64Range(-math.Pi, math.Pi).Draw(t, "from")
	m.TurnRad = rapid.Float64Range(-8, 8).Draw(t, "turn")
	m.Centre = m.Plane.Point(a-r*math.Cos(from), b-r*math.Sin(from), n)
	ca, cb, _ := m.Plane.Axes(m.Centre)
	m.End = m.Plane.Point(ca+r*math.Cos(from+m.TurnRad), cb+r*math.Sin(from+m.TurnRad), n+length("climb"))
	return m
}

func apart(p, q Point) float64 { return math.Hypot(math.Hypot(p.X-q.X, p.Y-q.Y), p.Z-q.Z) }

func TestAxesAndPointAreInverse(t *testing.T) {
	for plane := range Plane(3) {
		p := Point{X: 1, Y: 2, Z: 3}
		if got := plane.Point(plane.Axes(p)); got != p {
			t.Errorf("plane %d: %v", plane, got)
		}
	}
}

// A move runs from its start to its end at an even pace; an arc stays on its circle. The lowest place of the tip is
// that of the lowest of many places on the way.
func TestPlacesOnAMove(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := anyMove(t)
		if m.At(-1) != m.Start || m.At(0) != m.Start || m.At(1) != m.End || m.At(2) != m.End {
			t.Fatalf("ends %v, %v", m.At(0), m.At(1))
		}
		const n = 2000
		low, step := math.Min(m.Start.Z, m.End.Z), 0.0
		for k := range n {
			p, q := m.At(float64(k)/n), m.At(float64(k+1)/n)
			d := apart(p, q)
			if step == 0 {
				step = d
			}
			if math.Abs(d-step) > 1e-6 {
				t.Fatalf("steps of %g and %g mm", step, d)
			}
			if m.Kind == Arc {
				a, b := m.fromCentre(q)
				a0, b0 := m.fromCentre(m.Start)
				if math.Abs(math.Hypot(a, b)-math.Hypot(a0, b0)) > 1e-6 {
					t.Fatalf("%g mm from the centre, the start %g", math.Hypot(a, b), math.Hypot(a0, b0))
				}
			}
			low = math.Min(low, q.Z)
		}
		if got := m.LowestZ(); got > low+1e-9 || got < low-step {
			t.Fatalf("lowest at Z %g, on the way %g", got, low)
		}
	})
}

// A post's rounding leaves an arc with another radius at its end than at its start. By hand, in the ZX plane about X0
// Z0, from X-10 through the bottom to X10.5: the radius grows in proportion to the angle (Move.At) and is 10.25 at the
// bottom. The lowest Z is not above that, nor below the larger radius.
func TestLowestZOfAnArcOutOfRound(t *testing.T) {
	for _, c := range []struct{ from, to, turn float64 }{{-10, 10.5, -math.Pi}, {-10.5, 10, -math.Pi},
		{10, -10.5, math.Pi}} {
		m := &Move{Kind: Arc, Plane: PlaneZX, Start: Point{X: c.from}, End: Point{X: c.to}, TurnRad: c.turn}
		if z := m.At(0.5).Z; math.Abs(z+10.25) > 1e-9 {
			t.Fatalf("%+v: the middle lies at Z%g, by hand -10.25", c, z)
		}
		if z := m.LowestZ(); z > -10.25 || z < -10.5-1e-9 {
			t.Errorf("%+v: lowest at Z%g, want -10.25 to -10.5", c, z)
		}
	}
}
