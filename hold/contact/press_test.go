package contact

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/paulmach/orb"

	"staydown/internal/testrun"
)

// pad is the face of a rectangle about a point.
func pad(x, y, w, h float64) []orb.Point {
	return []orb.Point{{x - w/2, y - h/2}, {x + w/2, y - h/2}, {x + w/2, y + h/2}, {x - w/2, y + h/2}}
}

func TestClampByHand(t *testing.T) {
	alone := Body{Friction: 0.3, Presses: []Press{{X: 0, Y: 0, ForceN: 500, Face: pad(0, 0, 40, 20)}}}
	gripped := alone
	gripped.Presses = []Press{{X: 0, Y: 0, ForceN: 500, Friction: 0.2, Face: pad(0, 0, 40, 20)}}
	offset := alone
	offset.Presses = []Press{{X: 15, Y: 0, ForceN: 500, Face: pad(0, 0, 40, 20)}}
	for _, c := range []struct {
		name string
		body Body
		load Load
		mode Mode
		want float64
	}{
		{"slips at mu N: 0.3 x 500 / 100", alone, Load{XN: 100}, Slip, 1.5},
		{"slips at both faces: (0.3 + 0.2) 500 / 100", gripped, Load{XN: 100}, Slip, 2.5},
		{"what lifts takes friction off the table alone: (0.3 x 400 + 0.2 x 500) / 100", gripped,
			Load{XN: 100, ZN: 100}, Slip, 2.2},
		{"lifts: 500 / 400", gripped, Load{ZN: 400}, Lift, 1.25},
		{"tips over its edge 20 mm away: 500 x 20 / (100 x 80)", gripped, Load{XN: 100, HeightMM: 80}, Tip, 1.25},
		{"tips over the edge 5 mm away: 500 x 5 / (100 x 20)", offset, Load{XN: 100, X: 15, HeightMM: 20}, Tip, 1.25},
	} {
		o := support(t, c.body).Check(c.load)
		if o.Mode != c.mode || math.Abs(o.Margin/c.want-1) > 1e-9 {
			t.Errorf("%s: %v %g, by hand %v %g", c.name, o.Mode, o.Margin, c.mode, c.want)
		}
	}
}

// TestClampBesideThePressure: a clamp beyond the elements stands on the table too, so that it presses no piece up about
// their edge.
func TestClampBesideThePressure(t *testing.T) {
	b := Body{Friction: 0.3, Elements: rectangle(20, 20, 2, 2, even(1e5))} // 40 N
	tips := func(b Body) float64 { return support(t, b).All(Load{XN: 10, HeightMM: 20})[3].Margin }
	without := tips(b)
	b.Presses = []Press{{X: 40, Y: 0, ForceN: 500, Face: pad(40, 0, 20, 20)}}
	if want := (40*50 + 500*10) / (10 * 20.0); math.Abs(tips(b)/want-1) > 1e-9 {
		t.Errorf("tip margin %g, by hand (40 x 50 + 500 x 10) / (10 x 20) = %g; without the clamp %g", tips(b), want,
			without)
	}
}

// TestTurnsAboutTheClamp: the piece turns about a clamp that nothing else helps.
func TestTurnsAboutTheClamp(t *testing.T) {
	b := Body{Friction: 0.3, Presses: []Press{{ForceN: 500, Face: pad(0, 0, 60, 60)}}}
	if o := support(t, b).Check(Load{XN: 10, Y: 25}); o.Mode != Twist || o.Margin > 0.05 {
		t.Errorf("%v %g beside the one clamp, which resists no turn about itself", o.Mode, o.Margin)
	}
	// Two clamps 50 mm apart resist a couple of 0.3 x 500 x 50 = 7500 N mm.
	b.Presses = append(b.Presses, Press{X: 50, ForceN: 500, Face: pad(50, 0, 60, 60)})
	if got := support(t, b).MaxTwistNmm(); math.Abs(got/7500-1) > 0.005 {
		t.Errorf("two clamps resist %g N mm, by hand 7500", got)
	}
}

func TestClampsAgainstSlowSearch(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 5))
	for k := range testrun.Draws(20, 60) {
		a, b := 20+r.Float64()*180, 20+r.Float64()*80
		body := Body{Friction: 0.1 + 0.5*r.Float64(), Elements: rectangle(a, b, 14, 14, even(2e4)),
			TackPa: math.Max(0, r.NormFloat64()*3e3)}
		for range 1 + k%3 {
			p := Press{X: (r.Float64() - 0.5) * a, Y: (r.Float64() - 0.5) * b, ForceN: 200 * r.Float64()}
			if k%2 == 0 {
				p.Friction = 0.3 * r.Float64()
			}
			body.Presses = append(body.Presses, p)
		}
		load := Load{XN: 20 * r.NormFloat64(), YN: 20 * r.NormFloat64(), X: (r.Float64() - 0.5) * a,
			Y: (r.Float64() - 0.5) * b, TorqueNmm: 400 * r.NormFloat64()}
		var points []node
		for _, p := range body.Elements {
			points = append(points, node{x: p.X, y: p.Y, weight: p.AreaMM2 * 1e-6 * (body.Friction*p.PressurePa +
				body.TackPa)})
		}
		for _, p := range body.Presses {
			points = append(points, node{x: p.X, y: p.Y, weight: (body.Friction + p.Friction) * p.ForceN})
		}
		want := slowTwist(points, load)
		if got := support(t, body).All(load)[2].Margin; got > want*(1+sumTolerance) || got < want*(1-sumTolerance) {
			t.Errorf("case %d: %g, slow search %g (%+.4f)", k, got, want, got/want-1)
		}
	}
}

func TestClampsThatAreNone(t *testing.T) {
	for _, p := range []Press{{ForceN: -1}, {ForceN: math.NaN()}, {Friction: 11}, {X: math.Inf(1)},
		{Face: []orb.Point{{math.NaN(), 0}}}} {
		if _, err := NewSupport(Body{Presses: []Press{p}}); err == nil {
			t.Errorf("%+v is accepted", p)
		}
	}
	// A face on a line tells no edges.
	s := support(t, Body{Friction: 0.3, Presses: []Press{{ForceN: 500, Face: []orb.Point{{0, 0}, {10, 0}}}}})
	if o := s.Check(Load{XN: 1, HeightMM: 5}); o.Margin != 0 {
		t.Errorf("%v %g on a line", o.Mode, o.Margin)
	}
}
