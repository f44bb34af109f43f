package cutload

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"staydown/hold/job"
	"staydown/hold/material"
	"staydown/parse"
	"staydown/sweep"
)

// drawTool draws straight flutes and such as trail visibly. Between them lies a jump: straight flutes can enter and
// leave at the very same instant, and then both count.
func drawTool(t *rapid.T) job.Tool {
	helix := 0.0
	if hand := rapid.SampledFrom([]float64{-1, 0, 1}).Draw(t, "hand"); hand != 0 {
		helix = hand * rapid.Float64Range(0.05, 0.8).Draw(t, "helix")
	}
	upcut := 0.0
	if helix > 0 && rapid.Bool().Draw(t, "compression") {
		upcut = rapid.Float64Range(0.5, 20).Draw(t, "up-cut")
	}
	d := rapid.Float64Range(0.5, 30).Draw(t, "diameter")
	return job.Tool{
		Tool: sweep.Tool{
			Number: 1, DiameterMM: d,
			Shape:    sweep.Shape(rapid.IntRange(0, 4).Draw(t, "shape")),
			CornerMM: d / 2 * rapid.Float64Range(0, 1).Draw(t, "corner"),
			AngleRad: rapid.Float64Range(0.2, 2.8).Draw(t, "angle"),
		},
		Flutes:   rapid.IntRange(1, 6).Draw(t, "flutes"),
		HelixRad: helix,
		UpcutMM:  upcut,
		RakeRad:  rapid.Float64Range(-0.3, 0.5).Draw(t, "rake"),
		RunoutMM: rapid.Float64Range(0, 0.05).Draw(t, "run-out"),
	}
}

func drawCut(t *rapid.T) Cut {
	right := rapid.Float64Range(-math.Pi/2, math.Pi/2-0.02).Draw(t, "right")
	cut := Cut{
		RightRad: right, LeftRad: rapid.Float64Range(right+0.02, math.Pi/2).Draw(t, "left"),
		DepthMM: rapid.Float64Range(0.1, 20).Draw(t, "depth"), TipGapMM: rapid.Float64Range(0, 5).Draw(t, "gap"),
		FeedMMMin: rapid.Float64Range(1, 4000).Draw(t, "feed"), RPM: rapid.Float64Range(4000, 24000).Draw(t, "speed"),
		RampRad: rapid.Float64Range(-0.5, 0.5).Draw(t, "ramp"),
		Spindle: parse.SpindleClockwise,
	}
	return cut
}

func drawWork(t *rapid.T) material.Work { return rapid.SampledFrom(material.Works()).Draw(t, "work") }

func must(t *rapid.T, work material.Work, tool job.Tool, cut Cut) Load {
	load, err := Cutting(work, tool, cut)
	if err != nil {
		t.Fatalf("%+v %+v: %v", tool, cut, err)
	}
	return load
}

// changed compares the peaks before and after a change that makes a cut heavier. Between the rotor angles that are
// looked at a peak can hide 1 % of its size, no more (see TestSumsHaveConverged).
func changed(t *testing.T, change func(*Cut, *rapid.T)) {
	t.Helper()
	rapid.Check(t, func(t *rapid.T) {
		work, tool, cut := drawWork(t), drawTool(t), drawCut(t)
		before := must(t, work, tool, cut)
		change(&cut, t)
		after := must(t, work, tool, cut)
		if after.Peak < 0.98*before.Peak {
			t.Fatalf("peak falls from %g to %g N", before.Peak, after.Peak)
		}
	})
}

func TestMoreFeedNeverLowersThePeak(t *testing.T) {
	changed(t, func(c *Cut, t *rapid.T) { c.FeedMMMin *= rapid.Float64Range(1, 2).Draw(t, "times") })
}

func TestMoreDepthNeverLowersThePeak(t *testing.T) {
	changed(t, func(c *Cut, t *rapid.T) { c.DepthMM *= rapid.Float64Range(1, 2).Draw(t, "times") })
}

func TestWiderArcNeverLowersThePeak(t *testing.T) {
	changed(t, func(c *Cut, t *rapid.T) {
		c.LeftRad = rapid.Float64Range(c.LeftRad, math.Pi/2).Draw(t, "further left")
		c.RightRad = rapid.Float64Range(-math.Pi/2, c.RightRad).Draw(t, "further right")
	})
}

// drawAny draws cuts of every kind, plunges and rubbing among them.
func drawAny(t *rapid.T) Cut {
	cut := drawCut(t)
	cut.Plunge = rapid.Bool().Draw(t, "plunge")
	cut.Rub = rapid.Bool().Draw(t, "rub")
	cut.Retract = rapid.Bool().Draw(t, "retract")
	cut.Breakthrough = rapid.Bool().Draw(t, "breakthrough")
	cut.WidthMM = rapid.Float64Range(0, 10).Draw(t, "width")
	if rapid.Bool().Draw(t, "all round") {
		cut.RightRad, cut.LeftRad = -math.Pi, math.Pi
	}
	if rapid.Bool().Draw(t, "anticlockwise") {
		cut.Spindle = parse.SpindleCounterclockwise
	}
	return cut
}

// sound lists what is wrong with a load in itself.
func sound(load Load) string {
	finite := func(vs ...float64) bool {
		for _, v := range vs {
			if math.IsNaN(v) || math.IsInf(v, 0) {
				return false
			}
		}
		return true
	}
	if len(load.Rotor) == 0 || len(load.Rotor) != len(load.Torque) || len(load.Rotor) != len(load.Heights) {
		return "no rotor angles, or not a torque and a height for each"
	}
	peak, up, torque := 0.0, math.Inf(-1), 0.0
	for i, f := range load.Rotor {
		if !finite(f.Ahead, f.Left, f.Up, load.Torque[i]) {
			return "a force that is no number"
		}
		if h := load.Heights[i]; !(h >= 0 && h <= load.HighMM) || f.Horizontal() >= load.Peak/2 && h > load.HeightMM {
			return "a height outside the material or above the largest"
		}
		peak, up = math.Max(peak, f.Horizontal()), math.Max(up, f.Up)
		torque = math.Max(torque, math.Abs(load.Torque[i]))
	}
	switch {
	case !finite(load.Mean.Ahead, load.Mean.Left, load.Mean.Up, load.MeanTorqueNmm, load.PowerW, load.Peak,
		load.TorqueNmm,
		load.UpN, load.DownN, load.HeightMM, load.ChipMeanMM, load.ChipMaxMM, load.SpecificN, load.TeethInCut,
		load.PressedN,
		load.RunoutFactor, load.RunoutChipMM, load.DrillFactor, load.BottomThrustN, load.BreakthroughN):
		return "a quantity that is no number"
	case math.Abs(load.Peak-peak) > 1e-12*peak || load.UpN != up || math.Abs(load.TorqueNmm) != torque:
		return "peaks that are not those of the rotor angles"
	case load.Peak <= 0:
		return "no load at all"
	case load.DownN < 0 || load.PowerW < 0 || load.ChipMeanMM < 0 || load.PressedN < -1e-9 ||
		load.RunoutFactor < 1-1e-12:
		return "a negative magnitude"
	case load.HeightMM < 0 || load.HeightMM > load.HighMM:
		return "a force that acts outside the material"
	case load.RunoutFactor == 1 && load.Mean.Horizontal() > load.Peak*1.01: // run-out is no part of the mean
		return "a mean above the peak"
	}
	return ""
}

func TestEveryLoadIsSound(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		load := must(t, drawWork(t), drawTool(t), drawAny(t))
		if wrong := sound(load); wrong != "" {
			t.Fatalf("%s: %+v", wrong, load)
		}
	})
}

// A left-hand tool that turns the other way does the same in the mirror.
func TestMirrorImage(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		work, tool, cut := drawWork(t), drawTool(t), drawAny(t)
		one := must(t, work, tool, cut)
		cut.Spindle = -cut.Spindle
		cut.RightRad, cut.LeftRad = -cut.LeftRad, -cut.RightRad
		other := must(t, work, tool, cut)
		if len(one.Rotor) != len(other.Rotor) || one.Peak != other.Peak || one.TorqueNmm != -other.TorqueNmm ||
			one.UpN != other.UpN {
			t.Fatalf("not a mirror image: %+v and %+v", one, other)
		}
		for i, f := range one.Rotor {
			g := other.Rotor[i]
			if f.Ahead != g.Ahead || f.Left != -g.Left || f.Up != g.Up || one.Torque[i] != -other.Torque[i] {
				t.Fatalf("angle %d: %+v and %+v", i, f, g)
			}
		}
	})
}

// Power is torque times speed: the torque averaged over a finely divided turn, at every one of which it is summed anew,
// must give the mean torque.
func TestMeanTorqueIsTheAverageOverATurn(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		work, tool, cut := drawWork(t), drawTool(t), drawCut(t)
		tool.RunoutMM = 0
		load := must(t, work, tool, cut)
		cut.RightRad, cut.LeftRad = load.RightRad, load.LeftRad
		cut.DepthMM = load.HighMM - load.LowMM
		m := newMill(lawOf(work, tool), feed{perTooth: load.FeedPerToothMM, teeth: tool.Flutes}, tool, cut)
		if load.Kind == Ramp {
			m.ramp(work, load.BottomChipMM)
		}
		const n = 3600
		sum := 0.0
		for i := 0; i < n; i++ {
			s, _ := m.moment(2 * math.Pi * (float64(i) + 0.5) / n)
			sum += s.torque / n
		}
		// A straight flute is in or out at each angle: the arc is only known to a 3600th of a turn at either end.
		allowed := math.Abs(load.TorqueNmm)*2*float64(tool.Flutes)/n + 1e-3*math.Abs(load.MeanTorqueNmm)
		if math.Abs(sum-load.MeanTorqueNmm) > allowed {
			t.Fatalf("averaged %g, mean %g N mm", sum, load.MeanTorqueNmm)
		}
		want := math.Abs(sum) / 1000 * cut.RPM * 2 * math.Pi / 60
		if math.Abs(want-load.PowerW) > allowed/1000*cut.RPM*2*math.Pi/60 {
			t.Fatalf("power %g W, torque times speed %g", load.PowerW, want)
		}
	})
}

// FuzzCutting: whatever the numbers, there is a sound load or an error that says what to do.
func FuzzCutting(f *testing.F) {
	f.Add(6.0, 0.5, 0.0, -1.5707, 1.5707, 3.0, 0.0, 1800.0, 18000.0, 0.0, 2, uint8(0))
	f.Add(6.0, -0.5, 0.0, 0.0, 0.0, 0.0, 0.0, 1e9, 18000.0, 1.57, 1, uint8(3))
	f.Add(math.NaN(), math.Inf(1), -1.0, 2.0, 1.0, -1.0, 1e300, 0.0, -1.0, 9.0, -4, uint8(255))
	f.Add(1e-3, 1.39, 1.0, -6.28, 6.28, 1000.0, 1000.0, 1e-300, 1e6, -1.57, 64, uint8(17))
	f.Add(25.6, 0.5, 0.0, -1.02, 4.71, 62.0, 424.0, 288.2, 216000.0, 0.0, 56, uint8(32))
	f.Fuzz(func(t *testing.T, d, helix, rake, right, left, depth, gap, feed, rpm, ramp float64, flutes int,
		flags uint8) {
		works := material.Works()
		tool := job.Tool{
			Tool:   sweep.Tool{Shape: sweep.Shape(flags % 5), DiameterMM: d, CornerMM: d / 4, AngleRad: 1},
			Flutes: flutes, HelixRad: helix, RakeRad: rake, RunoutMM: 0.01 * float64(flags&1),
		}
		cut := Cut{
			RightRad: right, LeftRad: left, DepthMM: depth, TipGapMM: gap, FeedMMMin: feed, RPM: rpm, RampRad: ramp,
			Spindle: parse.Spindle(flags%3) - 1, Plunge: flags&8 != 0, Rub: flags&16 != 0, Breakthrough: flags&32 != 0,
			Retract: flags&64 != 0,
		}
		load, err := Cutting(works[int(flags)%len(works)], tool, cut)
		if err != nil {
			if sense, ok := err.(*InputError); !ok || sense.What == "" || sense.Do == "" {
				t.Fatalf("error without advice: %v", err)
			}
			return
		}
		if wrong := sound(load); wrong != "" {
			t.Fatalf("%s: %+v %+v: %+v", wrong, tool, cut, load)
		}
	})
}
