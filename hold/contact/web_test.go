package contact

import (
	"math"
	"testing"

	"github.com/paulmach/orb"
)

// TestTabs: F = tau w t, sigma w t and sigma_y w t^2/3L. Strengths: 6061-T6 typical 310/275/205 MPa, a published
// typical-properties table; 5083-H116 minimum 305/215/180, Aluminum Design Manual table 3.3-1M; acrylic 62/-/55 (ASTM
// D732) and polycarbonate 65.5/62/69, published data sheets. Forces: arithmetic.
func TestTabs(t *testing.T) {
	for _, c := range []struct {
		name                   string
		tensile, yield, shear  float64
		wantShear, wantTension float64
	}{
		{"6061-T6", 310, 275, 205, 307.5, 465},
		{"5083-H116", 305, 215, 180, 270, 457.5},
		{"acrylic", 62, 0, 55, 82.5, 93},
		{"polycarbonate", 65.5, 62, 69, 103.5, 98.25},
	} {
		w := Web{WidthMM: 3, ThicknessMM: 0.5, LengthMM: 0, ShearMPa: c.shear, TensileMPa: c.tensile, YieldMPa: c.yield}
		shear, tension, bending := w.strength()
		near(t, c.name+" shear", shear, c.wantShear, 1e-9)
		near(t, c.name+" tension", tension, c.wantTension, 1e-9)
		if !math.IsInf(bending, 1) {
			t.Errorf("%s: without a length nothing bends, got %g N", c.name, bending)
		}
		near(t, c.name+" in the plane", w.Level(), math.Min(c.wantShear, c.wantTension), 1e-9)
	}
	long := Web{WidthMM: 3, ThicknessMM: 0.5, LengthMM: 6, ShearMPa: 205, TensileMPa: 310, YieldMPa: 275}
	_, _, bending := long.strength()
	near(t, "6061 tab of 6 mm, upright", bending, 11.46, 5e-4)
	near(t, "upright", long.Upright(), 11.46, 5e-4)
	near(t, "edgewise, the same with width and thickness exchanged", long.Level(), 68.75, 1e-9)
}

func TestSkins(t *testing.T) {
	for _, c := range []struct {
		name                  string
		thickness, shear, ten float64
		want                  float64
	}{{"0.05 mm of 6061 round 100 mm", 0.05, 205, 310, 1025}, {"0.2 mm of acrylic round 100 mm", 0.2, 55, 62, 1100}} {
		w := Web{WidthMM: 100, ThicknessMM: c.thickness, ShearMPa: c.shear, TensileMPa: c.ten}
		shear, _, _ := w.strength()
		near(t, c.name, shear, c.want, 1e-9)
		near(t, c.name+" upright", w.Upright(), c.want, 1e-9)
	}
}

// fourTabs are 6 x 1.5 mm tabs across a 6 mm cut at the middles of the sides of a square.
func fourTabs(half float64) []Web {
	var ws []Web
	for _, p := range []orb.Point{{half, 0}, {0, half}, {-half, 0}, {0, -half}} {
		ws = append(ws, Web{X: p[0], Y: p[1], WidthMM: 6, ThicknessMM: 1.5, LengthMM: 6, ShearMPa: 205, TensileMPa: 310,
			YieldMPa: 275})
	}
	return ws
}

// TestTabsHold: four tabs carry four times one, wherever they sit, and their moment is force times distance. Source:
// statics; 275 MPa x 6 x 1.5^2 / 18 = 206.25 N upright and 275 x 1.5 x 36 / 18 = 825 N edgewise for each.
func TestTabsHold(t *testing.T) {
	s := support(t, Body{Webs: fourTabs(23), Outline: box(40, 40), Friction: 0.3})
	near(t, "lift", s.All(Load{ZN: 825})[0].Margin, 1, 1e-9)
	near(t, "slip", s.All(Load{XN: 3300})[1].Margin, 1, 1e-9)
	near(t, "twist", s.All(Load{TorqueNmm: 3300 * 23})[2].Margin, 1, 5e-3)
	// Over the edge x = 20 each tab works with its distance from it: 3, 20, 43, 20 mm; over the tab x = 23 with 0, 23,
	// 46, 23. The first is less.
	near(t, "tip over the edge", s.All(Load{XN: 206.25 * 86, HeightMM: 1})[3].Margin, 1, 1e-9)
	held := support(t, Body{Webs: fourTabs(23), Elements: rectangle(40, 40, 8, 8, even(50e3)), Friction: 0.3})
	near(t, "vacuum adds to lift", held.All(Load{ZN: 825 + 80})[0].Margin, 1, 1e-9)
	near(t, "vacuum adds to slip", held.All(Load{XN: 3300 + 24})[1].Margin, 1, 1e-9)
	// Lift beyond the vacuum hangs on the tabs: at half their upright strength half is left in the plane.
	near(t, "half lifted", held.All(Load{XN: 1650, ZN: 80 + 412.5})[1].Margin, 1, 1e-9)
}

// TestOneTabIsAHinge: with one tab on the +X side a piece turns up about the tab and not only about its own edges.
// Lifted on the far side by V at x = -20, the edge x = 20 gives (N 20 + B 3)/(V 40) and the line through the tab x = 23
// gives N 23/(V 43). Source: statics.
func TestOneTabIsAHinge(t *testing.T) {
	tab := fourTabs(23)[:1]
	s := support(t, Body{Webs: tab, Elements: rectangle(40, 40, 8, 8, even(50e3)), Friction: 0.3})
	const n, b = 80.0, 206.25
	overEdge, overTab := (n*20+b*3)/40, n*23/43
	o := s.All(Load{ZN: overTab, X: -20})[3]
	near(t, "tip", o.Margin, math.Min(1, overEdge/overTab), 1e-9)
	if from := step(o, "edge from X"); math.Abs(from-23) > 3.1 {
		t.Errorf("turns over a line from X %g", from)
	}
}

func TestManyWebsAreJoinedSafely(t *testing.T) {
	var many []Web
	for i := 0; i < 200; i++ {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / 200)
		many = append(many, Web{X: 30 * cos, Y: 30 * sin, WidthMM: 0.9, ThicknessMM: 0.1, ShearMPa: 55, TensileMPa: 62})
	}
	s := support(t, Body{Webs: many, Outline: box(40, 40)})
	// A ring of total force S at radius R resists S R. Source: statics.
	const whole = 200 * 0.9 * 0.1 * 55
	near(t, "lift", s.All(Load{ZN: whole})[0].Margin, 1, 1e-9)
	o := s.All(Load{TorqueNmm: whole * 30})[2]
	if o.Margin > 1 || o.Margin < 0.98 {
		t.Errorf("twist margin %g: at most 1 and no less than 0.98", o.Margin)
	}
}
