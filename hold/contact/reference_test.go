package contact

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/optimize"

	"staydown/internal/testrun"
)

// slowTwist finds the radial factor on the limit surface with a general-purpose minimiser (Nelder and Mead, gonum),
// started from many sliding centers and from straight sliding, over plain points: no gathering, no spread, no bounds.
func slowTwist(points []node, l Load) float64 {
	cost := func(vx, vy, spin float64) float64 {
		power := l.XN*(vx-spin*l.Y) + l.YN*(vy+spin*l.X) + l.TorqueNmm*spin
		if math.Abs(power) < 1e-12 {
			return math.Inf(1)
		}
		var d float64
		for _, n := range points {
			d += n.weight * math.Hypot(vx-spin*n.y, vy+spin*n.x)
		}
		return d / math.Abs(power)
	}
	best := cost(l.XN, l.YN, 0)
	// Directions on the half sphere, spin per 50 mm.
	problem := optimize.Problem{Func: func(x []float64) float64 {
		sin, cos := math.Sincos(x[1])
		return cost(cos*math.Cos(x[0]), sin*math.Cos(x[0]), math.Sin(x[0])/50)
	}}
	for i := 0; i < 6; i++ {
		for j := 0; j < 4; j++ {
			start := []float64{(float64(i)/5 - 0.5) * math.Pi, float64(j) / 4 * 2 * math.Pi}
			r, err := optimize.Minimize(problem, start, &optimize.Settings{FuncEvaluations: 400},
				&optimize.NelderMead{SimplexSize: 0.3})
			if err == nil || r != nil {
				best = math.Min(best, r.F)
			}
		}
	}
	return best
}

func TestAgainstSlowSearch(t *testing.T) {
	// Webs are narrow here, so that they are points for both: the sums count a fiftieth of a web's width as its own
	// lever.
	r := rand.New(rand.NewPCG(7, 11))
	for k := range testrun.Draws(16, 40) {
		a, b := 20+r.Float64()*180, 20+r.Float64()*80
		slope, angle := 2*r.Float64(), 2*math.Pi*r.Float64()
		sin, cos := math.Sincos(angle)
		body := Body{Friction: 0.1 + 0.5*r.Float64(), TackPa: math.Max(0, r.NormFloat64()*3e3)}
		for _, p := range rectangle(a, b, 14, 14, func(x, y float64) float64 {
			return 4e4 * math.Max(0,
				1+slope*(cos*x/a+sin*y/b))
		}) {
			if r.IntN(4) > 0 { // holes
				body.Elements = append(body.Elements, p)
			}
		}
		if k%2 == 0 {
			body.WeightN, body.WeightX, body.WeightY = 30*r.Float64(), (r.Float64()-0.5)*a, (r.Float64()-0.5)*b
		}
		for i := 0; i < k%4; i++ {
			body.Webs = append(body.Webs, Web{X: (r.Float64() - 0.5) * a * 1.2, Y: (r.Float64() - 0.5) * b * 1.2,
				WidthMM: 0.1, ThicknessMM: 3 + 9*r.Float64(),
				ShearMPa: 55, TensileMPa: 62})
		}
		load := Load{XN: 20 * r.NormFloat64(), YN: 20 * r.NormFloat64(), X: (r.Float64() - 0.5) * a,
			Y: (r.Float64() - 0.5) * b, TorqueNmm: 400 * r.NormFloat64()}
		if k%3 == 0 {
			load.ZN = -20 * r.Float64()
		}
		var points []node
		for _, p := range body.Elements {
			points = append(points, node{x: p.X, y: p.Y, weight: p.AreaMM2 * 1e-6 * (body.Friction*p.PressurePa +
				body.TackPa)})
		}
		points = append(points, node{x: body.WeightX, y: body.WeightY, weight: body.Friction * body.WeightN},
			node{x: load.X, y: load.Y, weight: -body.Friction * load.ZN})
		for _, w := range body.Webs {
			points = append(points, node{x: w.X, y: w.Y, weight: w.Level()})
		}
		want := slowTwist(points, load)
		s := support(t, body)
		got := s.All(load)[2].Margin
		if got > want*(1+sumTolerance) || got < want*(1-sumTolerance) {
			t.Errorf("case %d: %g, slow search %g (%+.4f)", k, got, want, got/want-1)
		}
		if line := lineOf(s, load); line > want*(1+1e-6) {
			t.Errorf("case %d: straight line %g above the surface %g", k, line, want)
		}
		// Friction, tack and webs each have a center of their own, so their couples add up to no more than the couple
		// of all.
		pure := slowTwist(points[:len(body.Elements)+1], Load{TorqueNmm: 1})
		alone := body
		alone.Webs = nil
		if couple := support(t, alone).MaxTwistNmm(); couple > pure*(1+sumTolerance) || couple < pure*0.9 {
			t.Errorf("case %d: pure couple %g, slow search %g", k, couple, pure)
		}
	}
}

// TestSearchCloses: the bounds from below and above meet, also where the piece turns about one strong point.
func TestSearchCloses(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	open := 0
	const cases = 2000
	for k := 0; k < cases; k++ {
		a, b := 10+300*r.Float64(), 10+100*r.Float64()
		body := Body{Friction: 0.3}
		if k%4 > 0 {
			body.Elements = rectangle(a, b, 1+r.IntN(15), 1+r.IntN(15), even(5e4))
		}
		if k%3 > 0 {
			body.WeightN, body.WeightX, body.WeightY = math.Pow(10, 4*r.Float64()-2), (r.Float64()-0.5)*a,
				(r.Float64()-0.5)*b
		}
		for i := k % 7; i > 0; i-- {
			body.Webs = append(body.Webs, Web{X: (r.Float64() - 0.5) * a, Y: (r.Float64() - 0.5) * b, WidthMM: 1 +
				5*r.Float64(), ThicknessMM: 0.2 + r.Float64(), LengthMM: 6,
				ShearMPa: 205, TensileMPa: 310, YieldMPa: 275})
		}
		l := Load{XN: 10 * r.NormFloat64(), YN: 10 * r.NormFloat64(), TorqueNmm: 300 * r.NormFloat64(),
			X: (r.Float64() - 0.5) * a, Y: (r.Float64() - 0.5) * b}
		if k%5 == 0 {
			l.ZN = 20 * r.NormFloat64()
		}
		s := support(t, body)
		var p contactLoad
		s.contactLoad(&p, &l)
		lower, upper, _ := s.search(&p, s.surface(&p), s.ellipse(&p), surfaceGap, cutoff{})
		if upper > 0 && !math.IsInf(upper, 1) && lower > 0 && lower < upper*(1-surfaceGap*1.001) {
			open++
			if lower < upper*(1-0.02) {
				t.Errorf("case %d: between %g and %g", k, lower, upper)
			}
		}
	}
	if open > cases/500 {
		t.Errorf("%d of %d searches ended with more than %g between the bounds", open, cases, surfaceGap)
	}
}

// slowTip tries every axis by brute force: the least of resisting over overturning moment over lines that leave the
// face on one side.
func slowTip(b Body, l Load) float64 {
	least := math.Inf(1)
	try := func(angle, x, y float64) {
		ny, nx := math.Sincos(angle)
		off := nx*x + ny*y
		for _, c := range b.Outline {
			off = math.Max(off, nx*c[0]+ny*c[1])
		}
		inside := func(x, y float64) float64 { return off - nx*x - ny*y }
		hold := b.WeightN * inside(b.WeightX, b.WeightY)
		for _, p := range b.Elements {
			hold += p.PressurePa * p.AreaMM2 * 1e-6 * inside(p.X, p.Y)
		}
		for _, w := range b.Webs {
			hold += w.Upright() * math.Abs(inside(w.X, w.Y))
		}
		up := (l.XN*nx+l.YN*ny)*l.HeightMM + l.ZN*inside(l.X, l.Y)
		if up > 1e-9 {
			least = math.Min(least, math.Max(hold, 0)/up)
		}
	}
	const steps = 1440
	for i := 0; i < steps; i++ {
		angle := 2 * math.Pi * float64(i) / steps
		try(angle, b.Outline[0][0], b.Outline[0][1])
		for _, w := range b.Webs {
			try(angle, w.X, w.Y)
		}
	}
	return least
}

func TestTipAgainstBruteForce(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 5))
	below, near := 0, 0
	for k := 0; k < 200; k++ {
		a, b := 20+r.Float64()*80, 20+r.Float64()*80
		body := Body{Elements: rectangle(a, b, 6, 6, even(4e4)), Outline: box(a, b), WeightN: 10 * r.Float64()}
		for i := 0; i < k%5; i++ {
			body.Webs = append(body.Webs, Web{X: (r.Float64() - 0.5) * a * 1.6, Y: (r.Float64() - 0.5) * b * 1.6,
				WidthMM: 3, ThicknessMM: 0.5, LengthMM: 6 * r.Float64(),
				ShearMPa: 55, TensileMPa: 62, YieldMPa: 60})
		}
		force := 10 + 190*r.Float64()
		load := Load{XN: force * r.NormFloat64(), YN: force * r.NormFloat64(), ZN: force * r.Float64(),
			X: (r.Float64() - 0.5) * a, Y: (r.Float64() - 0.5) * b, HeightMM: 20 * r.Float64()}
		slow := slowTip(body, load)
		all := support(t, body).All(load)
		got := math.Min(all[3].Margin, all[0].Margin)
		slow = math.Min(slow, all[0].Margin)
		// At the limit and below it the two definitions agree: what relieves is part of the capacity here and of the
		// demand there.
		if slow < 1 {
			below++
			if got > 1 {
				t.Errorf("case %d: %g, brute force %g", k, got, slow)
			}
		}
		if slow >= 1 && got < 1-1e-9 {
			t.Errorf("case %d: %g, brute force %g", k, got, slow)
		}
		if got > slow*(1+1e-6) && slow >= 1 {
			t.Errorf("case %d: %g above brute force %g", k, got, slow)
		}
		if math.Abs(got-slow) < 0.02*slow {
			near++
		}
	}
	if below < 20 || below > 180 || near < 60 {
		t.Errorf("the cases do not try both sides of the limit: %d of 200 below it, %d near", below, near)
	}
}
