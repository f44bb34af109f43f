package contact

import (
	"fmt"
	"math"
	"testing"
)

// sumTolerance is what the sum over a grid may be off from a closed form.
const sumTolerance = 0.005

func support(t testing.TB, b Body) *Support {
	t.Helper()
	s, err := NewSupport(b)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func near(t testing.TB, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance*math.Abs(want)) {
		t.Errorf("%s: got %.6g, want %.6g within %g", what, got, want, tolerance)
	}
}

func TestPureMomentOfEvenPressure(t *testing.T) {
	rect := func(a, b float64) Body { return Body{Elements: rectangle(a, b, 24, 24, even(50e3)), Friction: 0.3} }
	for _, c := range []struct {
		name   string
		body   Body
		rBar   float64
		source string
	}{
		{"disc", Body{Elements: ring(0, 40, 12, 50e3), Friction: 0.3}, 2.0 / 3 * 40, "2R/3, disc brake with even " +
			"pressure"},
		{"annulus 1:2", Body{Elements: ring(20, 40, 6, 50e3), Friction: 0.3}, 0.777778 * 40,
			"2/3 (Ro^3-Ri^3)/(Ro^2-Ri^2)"},
		{"square", rect(1, 1), 0.382598, "mean distance from a square's centre, closed form"},
		{"100 x 50", rect(100, 50), 29.66167, "closed form, checked by double quadrature"},
		{"100 x 10", rect(100, 10), 25.31915, "closed form, checked by double quadrature"},
		{"60 x 20", rect(60, 20), 16.46293, "closed form, checked by double quadrature"},
		{"60 x 20, gathered", Body{Elements: rectangle(60, 20, 90, 60, even(50e3)), Friction: 0.3}, 16.46293, "same"},
		{"disc, gathered", Body{Elements: ring(0, 40, 40, 50e3), Friction: 0.3}, 2.0 / 3 * 40, "2R/3"},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := support(t, c.body)
			near(t, "mean radius ("+c.source+")", s.MaxTwistNmm()/(0.3*s.NormalN()), c.rBar, 0.002)
			o := s.Check(Load{TorqueNmm: -0.3 * s.NormalN() * c.rBar})
			near(t, "margin at the limit", o.Margin, 1, sumTolerance)
			if o.Mode != Twist || !o.hasSlidingCentre || math.Hypot(o.slidingCentre[0],
				o.slidingCentre[1]) > 0.01*c.rBar {
				t.Errorf("a pure moment turns the piece about its centre; got %v about %v", o.Mode, o.slidingCentre)
			}
		})
	}
}

// TestDiscAboutAnyCentre: force and moment of an even disc that turns about a point at distance d. Source: closed form
// with complete elliptic integrals, evaluated independently; F = 8/(3 pi), M = 8/(9 pi) at d = R.
func TestDiscAboutAnyCentre(t *testing.T) {
	const radius, mu = 40.0, 0.3
	s := support(t, Body{Elements: ring(0, radius, 16, 50e3), Friction: mu})
	for _, c := range []struct{ d, f, m float64 }{
		{0, 0, 0.66667}, {0.25, 0.24803, 0.63579}, {0.5, 0.48384, 0.54775}, {0.75, 0.69267, 0.41798},
		{1, 8 / (3 * math.Pi), 8 / (9 * math.Pi)},
		{1.5, 0.94082, 0.17380}, {2, 0.96769, 0.12781}, {4, 0.99213, 0.06283},
	} {
		t.Run(fmt.Sprintf("d=%gR", c.d), func(t *testing.T) {
			for _, way := range []float64{0, 1, 2.5, 4} {
				sin, cos := math.Sincos(way)
				n := mu * s.NormalN()
				o := s.Check(Load{XN: n * c.f * cos, YN: n * c.f * sin, TorqueNmm: n * radius * c.m})
				near(t, "margin", o.Margin, 1, sumTolerance)
				if o.hasSlidingCentre {
					near(t, "distance of the sliding center", math.Hypot(o.slidingCentre[0], o.slidingCentre[1])+radius,
						(c.d+1)*radius, 0.02)
				}
			}
		})
	}
}

// TestForceAtAnArm: a force that passes the center at a distance. Source: exact integration, independent of this
// program.
func TestForceAtAnArm(t *testing.T) {
	disc := Body{Elements: ring(0, 40, 12, 50e3), Friction: 0.3}
	slab := Body{Elements: rectangle(100, 50, 20, 10, even(50e3)), Friction: 0.3}
	for _, c := range []struct {
		name string
		body Body
		arm  float64 // along X; the force acts along Y
		want float64
	}{
		{"disc R/4", disc, 10, 0.9019}, {"disc R/2", disc, 20, 0.7483}, {"disc R", disc, 40, 0.5258},
		{"disc 2R", disc, 80, 0.3093},
		{"100 x 50 at 25", slab, 25, 0.6885}, {"100 x 50 at its end", slab, 50, 0.4753},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := support(t, c.body)
			o := s.Check(Load{YN: 0.3 * s.NormalN(), X: c.arm})
			near(t, "margin", o.Margin, c.want, sumTolerance)
		})
	}
}

// TestSlipOrTwist: a disc that turns about a point within two radii twists; farther out it is called slip.
func TestSlipOrTwist(t *testing.T) {
	s := support(t, Body{Elements: ring(0, 40, 12, 50e3), Friction: 0.3})
	for _, c := range []struct {
		d, f, m float64
		want    Mode
	}{{1, 0.84883, 0.28294, Twist}, {1.5, 0.94082, 0.17380, Twist}, {4, 0.99213, 0.06283, Slip}} {
		n := 0.3 * s.NormalN()
		if o := s.Check(Load{YN: n * c.f, TorqueNmm: n * 40 * c.m}); o.Mode != c.want {
			t.Errorf("centre at %g radii: %v", c.d, o.Mode)
		}
	}
}

// TestEnough: the straight line gives 0.4 for a force at the rim of a disc, the surface 0.5258.
func TestEnough(t *testing.T) {
	for _, c := range []struct {
		enough, want float64
		bound        bool
	}{{0, 0.5258, false}, {0.39, 0.4, true}, {0.41, 0.5258, false}} {
		s := support(t, Body{Elements: ring(0, 40, 12, 50e3), Friction: 0.3, Enough: c.enough})
		o := s.Check(Load{YN: 0.3 * s.NormalN(), X: 40})
		near(t, fmt.Sprintf("enough %g", c.enough), o.Margin, c.want, sumTolerance)
		if o.hasSlidingCentre == c.bound {
			t.Errorf("enough %g: sliding center %v", c.enough, o.hasSlidingCentre)
		}
	}
}

// TestStraightLine: 1/(1+e/r). Source: arithmetic with r = 2R/3.
func TestStraightLine(t *testing.T) {
	s := support(t, Body{Elements: ring(0, 40, 12, 50e3), Friction: 0.3, Enough: 0.01})
	for _, c := range []struct{ arm, want float64 }{{10, 0.7273}, {20, 0.5714}, {40, 0.4}, {80, 0.25}} {
		o := s.Check(Load{YN: 0.3 * s.NormalN(), X: c.arm})
		near(t, fmt.Sprintf("arm %g", c.arm), o.Margin, c.want, sumTolerance)
		if o.hasSlidingCentre {
			t.Errorf("arm %g: with Enough below it the straight line should do", c.arm)
		}
	}
}

// TestEllipseOverstates: the least ratio of the true surface to the ellipse. Source: scan of 60 centers x 19
// directions, independent of this program.
func TestEllipseOverstates(t *testing.T) {
	for _, c := range []struct {
		name string
		body Body
		want float64
	}{
		{"disc", Body{Elements: ring(0, 40, 16, 50e3), Friction: 0.3}, 0.934},
		{"1:1", Body{Elements: rectangle(40, 40, 16, 16, even(50e3)), Friction: 0.3}, 0.934},
		{"2:1", Body{Elements: rectangle(80, 40, 22, 11, even(50e3)), Friction: 0.3}, 0.900},
		{"4:1", Body{Elements: rectangle(160, 40, 32, 8, even(50e3)), Friction: 0.3}, 0.879},
		{"10:1", Body{Elements: rectangle(400, 40, 50, 5, even(50e3)), Friction: 0.3}, 0.869},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := support(t, c.body)
			least := math.Inf(1)
			for i := 1; i < 60; i++ {
				m, f := math.Sincos(math.Pi / 2 * float64(i) / 60)
				for j := 0; j < 19; j++ {
					sin, cos := math.Sincos(math.Pi / 2 * float64(j) / 18)
					k := 0.3 * s.NormalN() * f
					o := s.Check(Load{XN: k * cos, YN: k * sin, TorqueNmm: s.MaxTwistNmm() * m})
					least = math.Min(least, o.Margin)
				}
			}
			near(t, "true over ellipse", least, c.want, sumTolerance)
		})
	}
}

// TestFewElementsSuffice: what a coarse grid of elements costs, never on the unsafe side. Source: closed form of the
// square, 0.382598 a.
func TestFewElementsSuffice(t *testing.T) {
	for _, c := range []struct {
		n     int
		short float64
	}{{1, 0.27}, {2, 0.006}, {3, 0.013}, {4, 0.003}, {8, 0.001}, {16, 0.001}} {
		s := support(t, Body{Elements: rectangle(40, 40, c.n, c.n, even(5e4)), Friction: 1})
		if got := s.MaxTwistNmm() / (s.NormalN() * 40 * 0.382598); got > 1 || got < 1-c.short {
			t.Errorf("%d x %d elements: %.5f of the exact moment", c.n, c.n, got)
		}
	}
}
