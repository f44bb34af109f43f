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
	a, b, n := m.Plane.axes(m.Start)
	r, from := rapid.Float64Range(0.1, 50).Draw(t, "radius"), rapid.Float64Range(-math.Pi, math.Pi).Draw(t, "from")
	m.TurnRad = rapid.Float64Range(-8, 8).Draw(t, "turn")
	m.Centre = m.Plane.point(a-r*math.Cos(from), b-r*math.Sin(from), n)
	ca, cb, _ := m.Plane.axes(m.Centre)
	m.End = m.Plane.point(ca+r*math.Cos(from+m.TurnRad), cb+r*math.Sin(from+m.TurnRad), n+length("climb"))
	return m
}

func apart(p, q Point) float64 { return math.Hypot(math.Hypot(p.X-q.X, p.Y-q.Y), p.Z-q.Z) }

func TestAxesAndPointAreInverse(t *testing.T) {
	for plane := range Plane(3) {
		p := Point{X: 1, Y: 2, Z: 3}
		if got := plane.point(plane.axes(p)); got != p {
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

// The tangent is what the way over a short part of the move tends to (difference quotient, both sides of a place), and
// on an arc about an axis it stands at right angles to the radius (closed form).
func TestTangentIsTheLimitOfWays(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m, f := anyMove(t), rapid.Float64Range(0.01, 0.99).Draw(t, "f")
		const part = 1e-5
		p, q, tangent := m.At(f-part), m.At(f+part), m.Tangent(f)
		// The error of the quotient is that of a sine: part squared times the third derivative, at most 50 x 8^3.
		want := Point{X: (q.X - p.X) / (2 * part), Y: (q.Y - p.Y) / (2 * part), Z: (q.Z - p.Z) / (2 * part)}
		if off := apart(tangent, want); off > 1e-5 {
			t.Fatalf("tangent %v, way %v", tangent, want)
		}
		x, y, ok := m.Heading(f)
		if flat := math.Hypot(want.X, want.Y); flat > 1 && (!ok || math.Hypot(x-want.X/flat, y-want.Y/flat) > 1e-4) {
			t.Fatalf("heading %g, %g of %v", x, y, want)
		}
		if m.Kind == Arc {
			a, b := m.fromCentre(m.At(f))
			ta, tb, _ := m.Plane.axes(tangent)
			if dot := a*ta + b*tb; math.Abs(dot) > 1e-6 {
				t.Fatalf("tangent %v not square to the radius: %g", tangent, dot)
			}
		}
	})
}

// A move straight up or down has no heading, nor has a dwell; one a thousandth of a millimeter aside has.
func TestUprightMovesHaveNoHeading(t *testing.T) {
	for _, c := range []struct {
		name    string
		move    Move
		upright bool
	}{
		{"down", Move{Kind: Feed, End: Point{Z: -5}}, true},
		{"dwell", Move{Kind: Dwell}, true},
		{"a little aside", Move{Kind: Feed, End: Point{X: 0.001, Z: -5}}, false},
		{"full circle", Move{Kind: Arc, Start: Point{X: 3}, End: Point{X: 3}, TurnRad: 2 * math.Pi}, false},
	} {
		if _, _, ok := c.move.Heading(0); ok == c.upright || c.move.Upright() != c.upright {
			t.Errorf("%s: heading %v, upright %v", c.name, ok, c.move.Upright())
		}
	}
}

// The box of a move holds every place of it and touches some of them on each side: against dense sampling of the
// parametric form (NIST RS274NGC v3, 3.5.3: the axis of the plane goes linearly with the angle).
func TestBoundsOfMoves(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := anyMove(t)
		low, high := m.Bounds()
		if low.Z != m.LowestZ() {
			t.Fatalf("box from Z %g, lowest Z %g", low.Z, m.LowestZ())
		}
		inf := math.Inf(1)
		least, most := axes{inf, inf, inf}, axes{-inf, -inf, -inf}
		const n = 5000
		for i := range n + 1 {
			for k, v := range m.At(float64(i) / n).axes() {
				least[k], most[k] = math.Min(least[k], v), math.Max(most[k], v)
			}
		}
		// A sample misses the outermost point by at most r (1 - cos(half a step)).
		reach := m.RadiusMM()*math.Pow(8.0/n, 2) + 1e-9
		for k := range least {
			if gap := least[k] - low.axes()[k]; gap < -1e-9 || gap > reach {
				t.Fatalf("low side of axis %d: gap %g", k, gap)
			}
			if gap := high.axes()[k] - most[k]; gap < -1e-9 || gap > reach {
				t.Fatalf("high side of axis %d: gap %g", k, gap)
			}
		}
	})
}

// The middle of a chord is the place of it that is farthest from the arc.
func TestChordsStayNearTheArc(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m, away := anyMove(t), rapid.Float64Range(0.005, 60).Draw(t, "away")
		n := m.Chords(away)
		for i := range n {
			p, q, at := m.At(float64(i)/float64(n)), m.At(float64(i+1)/float64(n)), m.At((float64(i)+0.5)/float64(n))
			if off := apart(at, Point{X: (p.X + q.X) / 2, Y: (p.Y + q.Y) / 2, Z: (p.Z + q.Z) / 2}); off > away*1.0001 {
				t.Fatalf("chord %d of %d is %g mm off, at most %g", i, n, off, away)
			}
		}
		if m.Kind != Arc && n != 1 {
			t.Fatalf("%d chords of a straight move", n)
		}
	})
}
