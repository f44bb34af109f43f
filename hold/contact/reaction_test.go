package contact

import (
	"math"
	"testing"
)

// footing is the pressure under a stiff a x b block with its resultant nN at (ex, ey). Source: q = N/A (1 + 12 ex x/a^2
// + 12 ey y/b^2), the textbook formula for a footing that bears all over, valid while 6 ex/a + 6 ey/b <= 1 (the middle
// third).
func footing(a, b, nN, ex, ey float64) func(x, y float64) float64 {
	return func(x, y float64) float64 {
		return nN / (a * b) * 1e6 * (1 + 12*ex*x/(a*a) + 12*ey*y/(b*b))
	}
}

func TestLiftShiftsTheReaction(t *testing.T) {
	const a, b, n, mu = 60.0, 40.0, 120.0, 0.35
	s := support(t, Body{Elements: rectangle(a, b, 15, 10, even(n/(a*b)*1e6)), Friction: mu, Outline: box(a, b)})
	for _, c := range []Load{
		{YN: 15, ZN: 10, X: 30}, {YN: 15, ZN: 20, X: 30}, {YN: 15, ZN: 20, X: 20, Y: 10}, {XN: 15, ZN: 12, X: -20,
			Y: 20, TorqueNmm: 100},
		{XN: -10, YN: 12, ZN: 15, X: 20, Y: -20, TorqueNmm: -300},
	} {
		left := n - c.ZN
		ex, ey := -c.X*c.ZN/left, -c.Y*c.ZN/left
		if 6*math.Abs(ex)/a+6*math.Abs(ey)/b > 1 {
			t.Fatalf("%+v: out of the middle third", c)
		}
		level := c
		level.ZN = 0
		want := support(t, Body{Elements: rectangle(a, b, 15, 10, footing(a, b, left, ex, ey)), Friction: mu,
			Outline: box(a, b)}).All(level)[2]
		got := s.All(c)[2]
		near(t, "twist", got.Margin, want.Margin, 2*surfaceGap)
		if even := s.All(level)[2].Margin * left / n; c.TorqueNmm >= 0 && got.Margin > even*(1+surfaceGap) {
			// A torque against the force's own arm is another matter: there the shift may help.
			t.Errorf("%+v: %g with the lift at the rim, %g with the same lift spread evenly", c, got.Margin, even)
		}
	}
}

// TestLiftBeyondTheMiddleThird: where a footing would bear on a part of its face only, the model counts what tilt
// cannot do as one point. For a force at the rim that comes out at most 3 % above the exact no-tension footing, and
// lower the nearer the reaction is to the far rim: pressure falling from 2N/(3 c b) at one end to nothing at 3c from
// it, c being the distance of the resultant from that end. Source: textbook, footing with partial bearing.
func TestLiftBeyondTheMiddleThird(t *testing.T) {
	const a, b, n, mu = 60.0, 40.0, 120.0, 0.35
	s := support(t, Body{Elements: rectangle(a, b, 15, 10, even(n/(a*b)*1e6)), Friction: mu, Outline: box(a, b)})
	last := math.Inf(1)
	for _, up := range []float64{20, 30, 35, 40, 45, 50, 55, 60, 70} {
		l := Load{YN: 8, ZN: up, X: a / 2}
		got := s.All(l)[2].Margin
		if got > last {
			t.Errorf("lift %g: margin rises from %g to %g", up, last, got)
		}
		last = got
		left := n - up
		e := a / 2 * up / left
		if e >= a/2 {
			if tip := s.All(l)[3].Margin; tip > 1 {
				t.Errorf("lift %g: reaction beyond the rim, tip margin %g", up, tip)
			}
			continue
		}
		if e <= a/6 {
			continue
		}
		c := a/2 - e
		partial := rectangle(3*c, b, 60, 10, func(x, _ float64) float64 {
			return 2 * left / (3 * c * b) * 1e6 * (0.5 - x/(3*c))
		})
		l.ZN, l.X = 0, l.X+a/2-1.5*c // the bearing part starts at x = -a/2
		exact := support(t, Body{Elements: partial, Friction: mu, Outline: box(3*c, b)}).All(l)[2].Margin
		if got > 1.03*exact {
			t.Errorf("lift %g: %g, the partly bearing footing gives %g", up, got, exact)
		}
		if e < a/3 && got < 0.8*exact {
			t.Errorf("lift %g: %g is far below %g", up, got, exact)
		}
	}
}

// TestAllOnOnePoint: with the reaction at the far corner next to nothing else resists, and the margin is that of a
// point which stands on a small disc of radius r = blunt times reach: (F/N)^2 + (M/(N r))^2 = 1 at the margin, M about
// the point. It is the same at every scale. Closed form: the least of N sqrt(u^2 + r^2 w^2) over F u + M w = 1.
func TestAllOnOnePoint(t *testing.T) {
	for _, k := range []float64{1, 1.5, 0.7} {
		a, b := 5*k, 36*k
		s := support(t, Body{Elements: rectangle(a, b, 2, 2, func(x, y float64) float64 {
			return 5e4 * (1 + x/a +
				y/b)
		}), Friction: 1,
			TackPa: 5e-14, Outline: box(a, b)})
		l := Load{XN: 32 * k * k, YN: 32 * k * k, ZN: 8 * k * k, X: a / 2, Y: b / 2, TorqueNmm: 170 * k * k * k}
		n := s.NormalN() - l.ZN
		m := (l.X+a/2)*l.YN - (l.Y+b/2)*l.XN + l.TorqueNmm
		want := 1 / math.Hypot(math.Hypot(l.XN, l.YN)/n, m/(n*regularRadius*s.reach))
		near(t, "margin", s.All(l)[2].Margin, want, surfaceGap)
	}
}

func TestLiftAtThePressureCentreKeepsTheForm(t *testing.T) {
	s := support(t, Body{Elements: rectangle(60, 40, 15, 10, even(50e3)), Friction: 0.35})
	for _, up := range []float64{30, 60, 90} {
		near(t, "pure moment", s.All(Load{TorqueNmm: 100, ZN: up})[2].Margin, s.MaxTwistNmm()/100*(120-up)/120,
			2*surfaceGap)
	}
}

// TestQuickEstimateUnderLift: the straight line stays useful at the steepest tilt that the middle third allows.
func TestQuickEstimateUnderLift(t *testing.T) {
	s := support(t, Body{Elements: rectangle(60, 40, 15, 10, even(50e3)), Friction: 0.35, Outline: box(60, 40)})
	// V 30 mm = (120 - V) 10 mm.
	l := Load{ZN: 30, X: 30, TorqueNmm: 100}
	var p contactLoad
	s.contactLoad(&p, &l)
	_, upper, _ := s.search(&p, s.surface(&p), s.ellipse(&p), surfaceGap, cutoff{})
	if line := p.straight().margin(); line > upper || line < 0.8*upper {
		t.Errorf("straight line %g, surface %g", line, upper)
	}
}

// TestHeightHardlyTilts: the overturning moment of the load's height is left out of the reaction. Against the footing
// with it, within the middle third, on a square with the load 10 mm up at the middle of a side, that changes twist by
// less than 1.5 %.
func TestHeightHardlyTilts(t *testing.T) {
	const b, n, mu, h = 50.0, 150.0, 0.4, 10.0
	s := support(t, Body{Elements: rectangle(b, b, 16, 16, even(n/(b*b)*1e6)), Friction: mu, Outline: box(b, b)})
	for _, up := range []float64{0, 10, 20} {
		for _, way := range []float64{0, 0.8, 1.6, 2.4, 3.1} {
			sin, cos := math.Sincos(way)
			l := Load{XN: 25 * cos, YN: 25 * sin, ZN: up, X: b / 2, HeightMM: h}
			left := n - up
			got := s.All(l)[2].Margin
			q := footing(b, b, left, (l.XN*h-l.X*up)/left, l.YN*h/left)
			l.ZN = 0
			want := support(t, Body{Elements: rectangle(b, b, 16, 16, q), Friction: mu,
				Outline: box(b, b)}).All(l)[2].Margin
			near(t, "twist", got, want, 0.015)
		}
	}
}
