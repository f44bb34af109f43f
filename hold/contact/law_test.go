package contact

import (
	"math"
	"testing"

	"github.com/paulmach/orb"
	"pgregory.net/rapid"
)

// lawTolerance is what two runs may differ by where a law holds exactly for the model: both margins are lower bounds
// within surfaceGap. The bodies have no more elements than are used as they are; TestGathering bounds what gathering
// changes.
const lawTolerance = 0.006

// boundless is a margin beyond which the demand is nothing but rounding.
const boundless = 1e9

func drawBody(t *rapid.T) Body {
	a, b := rapid.Float64Range(5, 300).Draw(t, "a"), rapid.Float64Range(5, 200).Draw(t, "b")
	n, m := rapid.IntRange(2, 16).Draw(t, "n"), rapid.IntRange(2, 16).Draw(t, "m")
	gx, gy := rapid.Float64Range(-1, 1).Draw(t, "gx"), rapid.Float64Range(-1, 1).Draw(t, "gy")
	body := Body{
		Elements: rectangle(a, b, n, m, func(x, y float64) float64 { return 5e4 * (1 + gx*x/a + gy*y/b) }),
		Friction: rapid.Float64Range(0.05, 1).Draw(t, "mu"),
		Outline:  box(a, b),
	}
	if rapid.Bool().Draw(t, "heavy") {
		body.WeightN = rapid.Float64Range(0.01, 100).Draw(t, "weight")
		body.WeightX, body.WeightY = a*rapid.Float64Range(-0.4, 0.4).Draw(t, "wx"), b*rapid.Float64Range(-0.4,
			0.4).Draw(t, "wy")
	}
	if rapid.Bool().Draw(t, "sticky") {
		body.TackPa = rapid.Float64Range(0, 3e4).Draw(t, "tack")
	}
	for i := rapid.IntRange(0, 3).Draw(t, "webs"); i > 0; i-- {
		body.Webs = append(body.Webs, drawWeb(t, a, b))
	}
	return body
}

func drawWeb(t *rapid.T, a, b float64) Web {
	return Web{
		X: a * rapid.Float64Range(-0.7, 0.7).Draw(t, "web x"), Y: b * rapid.Float64Range(-0.7, 0.7).Draw(t, "web y"),
		WidthMM: rapid.Float64Range(0.5, 6).Draw(t, "width"), ThicknessMM: rapid.Float64Range(0.05, 2).Draw(t,
			"thickness"),
		LengthMM: rapid.Float64Range(0, 8).Draw(t, "length"), ShearMPa: 55, TensileMPa: 62, YieldMPa: 60,
	}
}

func drawLoad(t *rapid.T, b Body) Load {
	size := hypotOf(b.Outline[2])
	force := rapid.Float64Range(0.1, 500).Draw(t, "force")
	return Load{
		XN: force * rapid.Float64Range(-1, 1).Draw(t, "fx"), YN: force * rapid.Float64Range(-1, 1).Draw(t, "fy"),
		ZN: force * rapid.Float64Range(-0.5, 0.5).Draw(t, "fz"),
		X:  b.Outline[2][0] * rapid.Float64Range(-1, 1).Draw(t, "x"), Y: b.Outline[2][1] * rapid.Float64Range(-1,
			1).Draw(t, "y"),
		HeightMM:  size * rapid.Float64Range(0, 1).Draw(t, "height"),
		TorqueNmm: force * size * rapid.Float64Range(-0.3, 0.3).Draw(t, "torque"),
	}
}

func hypotOf(p orb.Point) float64 { return math.Hypot(p[0], p[1]) }

func drawn(t *rapid.T, b Body) *Support {
	s, err := NewSupport(b)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// notAbove fails when some margin of All rose.
func notAbove(t *rapid.T, what string, now, before [4]Outcome) {
	for i := range now {
		if now[i].Margin > before[i].Margin*(1+lawTolerance) && before[i].Margin < boundless {
			t.Fatalf("%s: %v margin rises from %g to %g", what, now[i].Mode, before[i].Margin, now[i].Margin)
		}
	}
}

func same(t *rapid.T, what string, got, want [4]Outcome) {
	for i := range got {
		g, w := got[i].Margin, want[i].Margin
		if math.Abs(g-w) > lawTolerance*w && math.Min(g, w) < boundless {
			t.Fatalf("%s: %v margin %g instead of %g", what, got[i].Mode, g, w)
		}
	}
}

func TestLessHoldNeverHelps(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := drawBody(t)
		l := drawLoad(t, b)
		before := drawn(t, b).All(l)

		slippery := b
		slippery.Friction *= rapid.Float64Range(0, 1).Draw(t, "less friction")
		notAbove(t, "less friction", drawn(t, slippery).All(l), before)

		clean := b
		clean.TackPa = 0
		notAbove(t, "less tack", drawn(t, clean).All(l), before)

		free := b
		free.Webs = nil
		notAbove(t, "no webs", drawn(t, free).All(l), before)

		// Where elements are lost the pressure center moves, and under a lift the tilt with it, which may turn the
		// piece's friction a percent or two more favourably. There twist is left out.
		less := func(what string, s *Support) {
			now := s.All(l)
			if l.ZN > 0 {
				now[2] = Outcome{}
			}
			notAbove(t, what, now, before)
			level := l
			level.ZN = min(l.ZN, 0)
			notAbove(t, what+", no lift", s.All(level), drawn(t, b).All(level))
		}
		small := b
		small.Elements = append([]Element(nil), b.Elements...)
		for i := range small.Elements {
			if i%3 == 0 {
				small.Elements[i].AreaMM2 *= rapid.Float64Range(0, 1).Draw(t, "less area")
			}
		}
		less("less area", drawn(t, small))
		weak := b
		weak.Elements = append([]Element(nil), b.Elements...)
		for i := range weak.Elements {
			if i%2 == 0 {
				weak.Elements[i].PressurePa *= rapid.Float64Range(0, 1).Draw(t, "less pressure")
			}
		}
		less("less pressure", drawn(t, weak))
	})
}

func TestMoreLoadNeverHelps(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := drawBody(t)
		l := drawLoad(t, b)
		s := drawn(t, b)
		before := s.All(l)

		high := l
		high.HeightMM *= rapid.Float64Range(1, 3).Draw(t, "higher")
		if l.ZN <= 0 { // with a lift the horizontal moment may press down the edge that the lift turns up
			notAbove(t, "more height", s.All(high), before)
		}
		k := rapid.Float64Range(1, 4).Draw(t, "more")
		level := l
		level.XN, level.YN, level.TorqueNmm = k*l.XN, k*l.YN, k*l.TorqueNmm
		if l.ZN <= 0 {
			notAbove(t, "more force in the plane", s.All(level), before)
		}
		if l.ZN >= 0 {
			up := level
			up.ZN *= k
			now := s.All(up)
			// a greater lift shifts the reaction, which may help against a torque
			now[2], before[2] = Outcome{}, Outcome{}
			notAbove(t, "more of everything", now, before)
		}
	})
}

func TestScale(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := drawBody(t)
		l := drawLoad(t, b)
		s := drawn(t, b)
		k := rapid.Float64Range(0.1, 10).Draw(t, "scale")
		big := b
		big.Elements, big.Webs, big.Outline = nil, nil, nil
		for _, p := range b.Elements {
			big.Elements = append(big.Elements, Element{k * p.X, k * p.Y, k * k * p.AreaMM2, p.PressurePa})
		}
		for _, w := range b.Webs {
			w.X, w.Y, w.WidthMM, w.ThicknessMM, w.LengthMM = k*w.X, k*w.Y, k*w.WidthMM, k*w.ThicknessMM, k*w.LengthMM
			big.Webs = append(big.Webs, w)
		}
		for _, p := range b.Outline {
			big.Outline = append(big.Outline, orb.Point{k * p[0], k * p[1]})
		}
		big.WeightN, big.WeightX, big.WeightY = k*k*b.WeightN, k*b.WeightX, k*b.WeightY
		h := drawn(t, big)
		if math.Abs(h.NormalN()-k*k*s.NormalN()) > 1e-9*h.NormalN() {
			t.Fatalf("hold %g, %g times %g expected", h.NormalN(), k*k, s.NormalN())
		}
		same(t, "scaled", h.All(Load{k * k * l.XN, k * k * l.YN, k * k * l.ZN, k * l.X, k * l.Y, k * l.HeightMM,
			k * k * k * l.TorqueNmm}), s.All(l))
	})
}

// moved applies a turn and, before it, a mirror in the Y axis (flip = -1) to body and load.
func moved(b Body, l Load, angle, flip float64) (Body, Load) {
	sin, cos := math.Sincos(angle)
	turn := func(x, y float64) (float64, float64) { return flip*x*cos - y*sin, flip*x*sin + y*cos }
	out := b
	out.Elements, out.Webs, out.Outline = nil, nil, nil
	for _, p := range b.Elements {
		p.X, p.Y = turn(p.X, p.Y)
		out.Elements = append(out.Elements, p)
	}
	for _, w := range b.Webs {
		w.X, w.Y = turn(w.X, w.Y)
		out.Webs = append(out.Webs, w)
	}
	for _, p := range b.Outline {
		x, y := turn(p[0], p[1])
		out.Outline = append(out.Outline, orb.Point{x, y})
	}
	out.WeightX, out.WeightY = turn(b.WeightX, b.WeightY)
	l.X, l.Y = turn(l.X, l.Y)
	l.XN, l.YN = turn(l.XN, l.YN)
	l.TorqueNmm *= flip
	return out, l
}

func TestMirrorAndTurn(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := drawBody(t)
		l := drawLoad(t, b)
		before := drawn(t, b)
		mb, ml := moved(b, l, 0, -1)
		mirrored := drawn(t, mb)
		same(t, "mirrored", mirrored.All(ml), before.All(l))
		if l.ZN > 0 {
			l.ZN = 0 // the steepest tilt is taken from directions that do not turn with the piece
		}
		tb, tl := moved(b, l, rapid.Float64Range(0, 7).Draw(t, "angle"), 1)
		turned := drawn(t, tb)
		same(t, "turned", turned.All(tl), before.All(l))
	})
}

// step is a value of the working; 0 where it has none of that name.
func step(o Outcome, what string) float64 {
	for _, s := range o.Steps {
		if s.What == what {
			return s.Value
		}
	}
	return 0
}

// ofWorking gives capacity and demand as the working shows them.
func ofWorking(o Outcome) (capacity, demand float64) {
	names := map[Mode][2]string{
		Lift: {"hold", "upward force"}, Slip: {"resistance", "horizontal force"},
		Twist: {"resistance about it", "moment of the load about it"}, Tip: {"what holds it down", "what turns it up"},
	}[o.Mode]
	return step(o, names[0]), step(o, names[1])
}

func TestCheckIsTheWorstOfAll(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := drawBody(t)
		l := drawLoad(t, b)
		s := drawn(t, b)
		all, o := s.All(l), s.Check(l)
		least := math.Inf(1)
		for _, a := range all {
			least = math.Min(least, a.Margin)
			if math.IsNaN(a.Margin) || a.Margin < 0 {
				t.Fatalf("%v margin %g", a.Mode, a.Margin)
			}
			if last := a.Steps[len(a.Steps)-1]; last.What != "margin" || last.Value != a.Margin || last.Unit != "" {
				t.Fatalf("%v: the working ends with %+v, the margin is %g", a.Mode, last, a.Margin)
			}
			capacity, demand := ofWorking(a)
			if !math.IsInf(a.Margin, 1) && math.Abs(capacity-a.Margin*demand) > 1e-9*capacity {
				t.Fatalf("%v: capacity %g is not margin %g times demand %g", a.Mode, capacity, a.Margin, demand)
			}
		}
		if o.Margin != least {
			t.Fatalf("Check gives %g, the worst of All is %g", o.Margin, least)
		}
		var p contactLoad
		s.contactLoad(&p, &l)
		_, surface, _ := s.search(&p, s.surface(&p), s.ellipse(&p), surfaceGap, cutoff{})
		if line := p.straight().margin(); line < boundless && line > min(surface, all[2].Margin)*(1+1e-6) ||
			all[2].Margin > all[1].Margin*(1+1e-12) {
			t.Fatalf("straight line %g, surface %g, straight slip %g: out of order", line, all[2].Margin, all[1].Margin)
		}
		b.Enough = rapid.Float64Range(0.1, 10).Draw(t, "enough")
		if quick := drawn(t, b).Check(l); quick.Margin > o.Margin || quick.Margin < o.Margin &&
			(quick.hasSlidingCentre || quick.Margin < b.Enough) {
			t.Fatalf("with enough %g: %+v, exact %g", b.Enough, quick, o.Margin)
		}
	})
}

// TestGathering: elements gathered into spots give margins at most 1 % above and 2 % below those of the same face in
// elements that are not.
func TestGathering(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b := rapid.Float64Range(5, 300).Draw(t, "a"), rapid.Float64Range(5, 200).Draw(t, "b")
		gx := rapid.Float64Range(-1, 1).Draw(t, "gx")
		pressure := func(x, _ float64) float64 { return 5e4 * (1 + gx*x/a) }
		side := math.Sqrt(a * b / 200) // elements are as compact as those of the air
		coarse := Body{Elements: rectangle(a, b, int(math.Ceil(a/side)), int(math.Ceil(b/side)), pressure),
			Friction: 0.3, Outline: box(a, b)}
		fine := coarse
		side /= rapid.Float64Range(1.2, 4).Draw(t, "finer")
		fine.Elements = rectangle(a, b, int(math.Ceil(a/side)), int(math.Ceil(b/side)), pressure)
		l := drawLoad(t, coarse)
		l.ZN = min(l.ZN, 0.2*a*b*0.05)
		c, f := drawn(t, coarse).All(l)[2].Margin, drawn(t, fine).All(l)[2].Margin
		if c < boundless && (f > 1.01*c || f < 0.98*c) {
			t.Fatalf("gathered %g, as they are %g", f, c)
		}
	})
}
