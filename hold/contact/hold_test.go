package contact

import (
	"math"
	"testing"

	"github.com/paulmach/orb"
)

// TestUpperBounds: p A, the most that the air can do. Sources: arithmetic with 1 psi = 6894.757293168 Pa (lbf and inch,
// NIST SP 811), 1 inHg = 3386.389 Pa (NIST SP 811, B.8) and ISO 2533:1975 for the atmosphere.
func TestUpperBounds(t *testing.T) {
	const lbf = 4.4482216152605
	slab := 304.8 * 139.7
	for _, c := range []struct {
		name      string
		pa, mm2   float64
		n         float64
		tolerance float64
	}{
		{"12 x 5.5 in at 14.7 psi", 14.7 * 6894.757293168, slab, 970.2 * lbf, 1e-6},
		{"same in newtons", 14.7 * 6894.757293168, slab, 4315.7, 1e-4},
		{"same at the standard atmosphere", 101325, slab, 4314.48, 1e-5},
		{"same at the standard atmosphere, lbf", 101325, slab, 969.93 * lbf, 1e-5},
		{"same at 25 inHg", 25 * 3386.389, slab, 3604.86, 1e-5},
		{"same at 25 inHg, lbf", 25 * 3386.389, slab, 810.40 * lbf, 1e-5},
		{"80 kPa on 0.01 m2", 80e3, 1e4, 800, 1e-12},
		{"50 kPa on 1 in2", 50e3, 25.4 * 25.4, 32.258, 1e-12},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := support(t, Body{Elements: []Element{{AreaMM2: c.mm2 / 2, PressurePa: c.pa}, {X: 50, AreaMM2: c.mm2 / 2,
				PressurePa: c.pa}}})
			near(t, "hold", s.NormalN(), c.n, c.tolerance)
			o := s.All(Load{ZN: c.n, X: 25})[0]
			if o.Mode != Lift {
				t.Fatalf("first of All is %v", o.Mode)
			}
			near(t, "lift margin", o.Margin, 1, c.tolerance)
		})
	}
}

// TestSquares: horizontal force at which an evenly held square slips and tips. Source: H = mu (N - V) and H h + V v = N
// b/2, arithmetic.
func TestSquares(t *testing.T) {
	for _, c := range []struct {
		name                   string
		b, h, kpa, mu          float64
		liftN, liftX           float64
		normal, slips, tips    float64
		governs                Mode
		tolSlip, tolTip, tolin float64
	}{
		{"6.35, 1.5 high", 6.35, 1.5, 80, 0.4, 0, 0, 3.226, 1.290, 6.828, Slip, 5e-4, 5e-4, 5e-4},
		{"6.35, 1.5 high, mu 0.3", 6.35, 1.5, 80, 0.3, 0, 0, 3.226, 0.968, 6.828, Slip, 5e-4, 5e-4, 5e-4},
		{"6.35, 6.35 high", 6.35, 6.35, 80, 0.4, 0, 0, 3.226, 1.290, 1.613, Slip, 5e-4, 5e-4, 5e-4},
		{"25, 12 high", 25, 12, 80, 0.4, 0, 0, 50, 20, 52.08, Slip, 1e-9, 1e-4, 1e-9},
		{"25, 25 high", 25, 25, 80, 0.4, 0, 0, 50, 20, 25, Slip, 1e-9, 1e-9, 1e-9},
		{"25, 25 high, mu 0.3", 25, 25, 80, 0.3, 0, 0, 50, 15, 25, Slip, 1e-9, 1e-9, 1e-9},
		{"50, 25 high", 50, 25, 60, 0.4, 0, 0, 150, 60, 150, Slip, 1e-9, 1e-9, 1e-9},
		{"50, lift at the far edge", 50, 20, 60, 0.4, 30, -25, 150, 48, 112.5, Slip, 1e-9, 1e-9, 1e-9},
		{"50, lift at the centre", 50, 20, 60, 0.4, 30, 0, 150, 48, 150, Slip, 1e-9, 1e-9, 1e-9},
		{"6.35, 12 high", 6.35, 12, 80, 0.4, 0, 0, 3.226, 1.290, 3.2258 * 3.175 / 12, Tip, 5e-4, 1e-4, 5e-4},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := support(t, Body{Elements: rectangle(c.b, c.b, 8, 8, even(c.kpa*1e3)), Friction: c.mu})
			near(t, "hold", s.NormalN(), c.normal, c.tolin)
			at := func(h float64) Load { return Load{XN: h, ZN: c.liftN, X: c.liftX, HeightMM: c.h} }
			slipping, tipping := s.All(at(c.slips))[1], s.All(at(c.tips))[3]
			near(t, "slip margin at the slip force", slipping.Margin, 1, c.tolSlip)
			near(t, "tip margin at the tip force", tipping.Margin, 1, c.tolTip)
			from, to := step(tipping, "edge from X"), step(tipping, "edge to X")
			if math.Abs(from-c.b/2)+math.Abs(to-c.b/2) > 1e-9 {
				t.Errorf("a push along +X tips over the +X edge, not from X %g to %g", from, to)
			}
			if worst := s.Check(at(c.slips)); worst.Mode != c.governs {
				t.Errorf("%v governs, want %v", worst.Mode, c.governs)
			}
		})
	}
}

// TestTallTipsFlatSlips: the change is at h = s/mu, s being the distance from the pressure center to the edge. Source:
// arithmetic (7.94 mm for a
// 6.35 mm square at 0.4, 31.25 mm for 25 mm).
func TestTallTipsFlatSlips(t *testing.T) {
	for _, c := range []struct{ b, mu, change float64 }{{6.35, 0.4, 7.9375}, {25, 0.4, 31.25}, {50, 0.25, 100}} {
		s := support(t, Body{Elements: rectangle(c.b, c.b, 8, 8, even(70e3)), Friction: c.mu})
		flat := s.Check(Load{YN: 1, HeightMM: 0.999 * c.change})
		tall := s.Check(Load{YN: 1, HeightMM: 1.001 * c.change})
		if flat.Mode != Slip || tall.Mode != Tip {
			t.Errorf("square of %g: %v below and %v above h = s/mu", c.b, flat.Mode, tall.Mode)
		}
	}
}

// TestTipUnderSlopingPressure: the first moment of the pressure about the edge decides, not area times lever. Source:
// integration of p = p0 (1/2 - x/a) over a rectangle a x b: about x = -a/2 it is p0 a^2 b/6, about x = a/2 it is p0 a^2
// b/3, N = p0 a b/2.
func TestTipUnderSlopingPressure(t *testing.T) {
	const a, b, p0, h = 80.0, 30.0, 60e3, 10.0
	n := p0 * 1e-6 * a * b / 2
	ps := rectangle(a, b, 200, 4, func(x, _ float64) float64 { return p0 * (0.5 - x/a) })
	s := support(t, Body{Elements: ps, Friction: 0.5, Outline: box(a, b)})
	near(t, "hold", s.NormalN(), n, 1e-9)
	for _, c := range []struct {
		name   string
		way    float64
		moment float64
	}{{"towards the strong end", -1, p0 * 1e-6 * a * a * b / 6}, {"towards the weak end", 1,
		p0 * 1e-6 * a * a * b / 3}} {
		near(t, c.name, s.All(Load{XN: c.way * c.moment / h, HeightMM: h})[3].Margin, 1, 1e-4)
	}
	flat := support(t, Body{Elements: rectangle(a, b, 20, 4, even(p0)), Friction: 0.5, Outline: box(a, b)})
	near(t, "even pressure, p A b/2", flat.All(Load{YN: p0 * 1e-6 * a * b * b / 2 / h, HeightMM: h})[3].Margin, 1, 1e-9)
}

func TestTipWithWeightOffCentre(t *testing.T) {
	// Moments about the edge x = 20: 100 N x 20 mm and 30 N x 5 mm. Source: arithmetic.
	s := support(t, Body{Elements: []Element{{AreaMM2: 1600, PressurePa: 62500}}, WeightN: 30, WeightX: 15})
	near(t, "tip", s.All(Load{XN: 2150.0 / 8, HeightMM: 8})[3].Margin, 1, 1e-9)
	near(t, "centre", s.Center()[0], 30*15/130.0, 1e-9)
}

func TestDownwardForceOnAnOverhangTips(t *testing.T) {
	// The face ends at x = 10 and the cutter presses at x = 25: 40 N x 10 mm against V x 15 mm. Source: arithmetic.
	s := support(t, Body{Elements: []Element{{AreaMM2: 400, PressurePa: 1e5}}, Friction: 0.3})
	o := s.Check(Load{ZN: -400.0 / 15, X: 25})
	if o.Mode != Tip {
		t.Fatalf("got %v", o.Mode)
	}
	near(t, "tip", o.Margin, 1, 1e-9)
}

func TestDownwardForceAddsFriction(t *testing.T) {
	s := support(t, Body{Elements: rectangle(20, 20, 4, 4, even(5e4)), Friction: 0.25})
	o := s.Check(Load{XN: 10, ZN: -12})
	near(t, "mu (N + D) / H", o.Margin, 0.25*(20+12)/10, 1e-9)
	if o.Mode != Slip || o.HoldN != 32 || o.LoadN != 10 {
		t.Errorf("got %+v", o)
	}
}

func TestTackResistsShearOnly(t *testing.T) {
	// 400 mm2 at 10 kPa carry 4 N. Source: arithmetic.
	s := support(t, Body{Elements: rectangle(20, 20, 4, 4, even(5e4)), Friction: 0.25, TackPa: 1e4})
	near(t, "slip", s.Check(Load{XN: 9}).Margin, 1, 1e-9)
	near(t, "lift", s.All(Load{ZN: 20})[0].Margin, 1, 1e-9)
	near(t, "tip", s.All(Load{XN: 20, HeightMM: 10})[3].Margin, 1, 1e-9)
	near(t, "no hold left", s.All(Load{XN: 1, ZN: 20})[1].Margin, 0, 0)
}

func TestLiftTakesTheHold(t *testing.T) {
	s := support(t, Body{Elements: rectangle(20, 20, 4, 4, even(5e4)), Friction: 0.25})
	for _, c := range []struct{ up, lift, slip float64 }{{10, 2, 2.5}, {19.9, 20 / 19.9, 0.025}, {20, 1, 0},
		{30, 20.0 / 30, 0}} {
		all := s.All(Load{XN: 1, ZN: c.up})
		near(t, "lift", all[0].Margin, c.lift, 1e-9)
		near(t, "slip", all[1].Margin, c.slip, 1e-9)
		if all[2].Margin > all[1].Margin {
			t.Errorf("twist %g above slip %g", all[2].Margin, all[1].Margin)
		}
	}
}

func TestUnheld(t *testing.T) {
	s := support(t, Body{Friction: 0.4})
	for _, l := range []Load{{XN: 1e-3}, {ZN: 1e-3}, {TorqueNmm: 1e-3}} {
		if o := s.Check(l); o.Margin != 0 {
			t.Errorf("%+v: margin %g without any hold", l, o.Margin)
		}
	}
	heavy := support(t, Body{Friction: 0.4, WeightN: 10, Outline: box(40, 40)})
	near(t, "weight alone, slip", heavy.Check(Load{XN: 4}).Margin, 1, 1e-9)
	near(t, "weight alone, lift", heavy.All(Load{ZN: 10})[0].Margin, 1, 1e-9)
	near(t, "weight alone, tip", heavy.All(Load{XN: 10, HeightMM: 20})[3].Margin, 1, 1e-9)
}

func TestAnchoredHolds(t *testing.T) {
	s := support(t, Body{Anchored: true})
	o, i := s.Worst([]Load{{XN: 1e4}, {ZN: 1e4}})
	if !math.IsInf(o.Margin, 1) || o.Reason == "" || o.Mode != None || i != 0 {
		t.Errorf("got %+v at %d", o, i)
	}
}

func TestNothingLoads(t *testing.T) {
	s := support(t, Body{Elements: rectangle(20, 20, 2, 2, even(5e4)), Friction: 0.3})
	if o := s.Check(Load{X: 5, HeightMM: 3}); !math.IsInf(o.Margin, 1) || o.Mode != None {
		t.Errorf("got %+v", o)
	}
	if o, i := s.Worst(nil); !math.IsInf(o.Margin, 1) || i != -1 {
		t.Errorf("got %+v at %d", o, i)
	}
}

func TestRefusals(t *testing.T) {
	s := support(t, Body{Elements: rectangle(20, 20, 2, 2, even(5e4)), Friction: 0.3})
	for _, l := range []Load{{XN: math.NaN()}, {ZN: math.Inf(1)}, {X: math.Inf(-1)}, {TorqueNmm: math.NaN()},
		{HeightMM: 1e300}} {
		if o := s.Check(l); o.Err == nil || o.Margin != 0 {
			t.Errorf("%+v: got %+v", l, o)
		}
		if o, i := s.Worst([]Load{{XN: 1}, l}); o.Err == nil || i != 1 {
			t.Errorf("%+v: got %+v at %d", l, o, i)
		}
	}
	for _, b := range []Body{
		{Friction: math.NaN()}, {Friction: -0.1}, {WeightN: math.Inf(1)}, {Elements: []Element{{AreaMM2: -1}}},
		{Elements: []Element{{PressurePa: math.NaN()}}},
		{Elements: []Element{{X: math.Inf(1)}}}, {TackPa: -1}, {Webs: []Web{{ShearMPa: math.NaN()}}},
		{Outline: []orb.Point{{0, 0}, {1, 1}, {2, 2}}},
		{Outline: []orb.Point{{0, math.NaN()}, {1, 1}, {2, 0}}},
	} {
		if _, err := NewSupport(b); err == nil {
			t.Errorf("%+v was taken", b)
		}
	}
}
