package cutload

import (
	"math"
	"testing"

	"staydown/hold/job"
	"staydown/hold/material"
	"staydown/sweep"
)

func twist118(d float64) job.Tool {
	return job.Tool{Tool: sweep.Tool{Number: 3, Shape: sweep.Drill, DiameterMM: d, AngleRad: 118 * math.Pi / 180},
		Flutes: 2, HelixRad: 30 * math.Pi / 180}
}

// The helix of a drill that breaks through screws itself into the rest of the floor and lifts (common practice, no
// source). Size: torque 0.841 N m (drilling formula page L068 of a 2020-2021 tool catalogue, aluminium, D 6, f 0.1) at
// a radius of 3 mm, deflected by 30 degrees: 841/3 tan 30 = 161.9 N by hand.
func TestBreakthroughLifts(t *testing.T) {
	work, _ := material.WorkNamed("aluminium-wrought")
	cut := plunge(1, 300, 3000)
	inside, err := Cutting(work, twist118(6), cut)
	if err != nil {
		t.Fatal(err)
	}
	if inside.UpN >= 0 {
		t.Errorf("a drill inside the material lifts by %.1f N", inside.UpN)
	}
	cut.Breakthrough = true
	through, err := Cutting(work, twist118(6), cut)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "pull", through.UpN, 161.9, 0.2)
	near(t, "thrust stays", through.DownN, inside.DownN, 1e-9)
	cut.Breakthrough, cut.Retract = false, true
	out, err := Cutting(work, twist118(6), cut)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "pull on the way out, a quarter", out.UpN, 161.9/4, 0.1)
	cut.Breakthrough, cut.Retract = true, false
	for _, shape := range []sweep.Shape{sweep.Drill, sweep.Flat} {
		straight := twist118(6)
		straight.Shape, straight.HelixRad = shape, 0
		load, err := Cutting(work, straight, cut)
		if err != nil {
			t.Fatal(err)
		}
		if load.UpN > 0 {
			t.Errorf("%v: a straight flute pulls by %.1f N", shape, load.UpN)
		}
	}
}

// A material without a factor of its own takes that of mild steel in the ratio of kc, so mild steel's own figures
// without a factor must give 2.22 back (drilling formula page L068 of a 2020-2021 tool catalogue), and aluminium more
// than its published 1.01.
func TestScaledDrillFactor(t *testing.T) {
	near(t, "mild steel", drillFactor(bare(1350, 0.21), 0.05), 2.22, 1e-9)
	if k := drillFactor(bare(700, 0.25), 0.05); k < 1.01 || k > 2 {
		t.Errorf("aluminium scaled from steel: %.2f", k)
	}
}

// Lips that are alike leave a tenth of their force sideways: torque over a quarter diameter. One flute alone has all of
// its own: with kc = 800 h^-0.25 N/mm2, an edge force of 13 N/mm (which rules below 0.026 mm) and a chip of 0.1 mm, 800
// x 0.1^0.75 x 3 mm = 426.8 N by hand.
func TestSidewaysForceOfAPlunge(t *testing.T) {
	work := bare(800, 0.25)
	work.Edge.Likely, work.Drill.Likely = 13, 1.01
	two, err := Cutting(work, twist118(6), plunge(1, 300, 3000))
	if err != nil {
		t.Fatal(err)
	}
	near(t, "two lips", two.Peak, 841/1.5/10, 0.2)
	single := endMill(6, 1)
	one, err := Cutting(work, single, plunge(1, 300, 3000))
	if err != nil {
		t.Fatal(err)
	}
	near(t, "one lip", one.Peak, 426.8, 0.2)
	// Going down beside an edge of the stock, half of the turn in the air: one of two lips, with 0.05 mm of chip, 84.6
	// x 3 mm.
	cut := plunge(1, 300, 3000)
	cut.RightRad, cut.LeftRad = 0, math.Pi
	beside, err := Cutting(work, endMill(6, 2), cut)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "one side only", beside.Peak, 253.8, 0.2)
	if -beside.UpN > -two.UpN/2+1e-9 {
		t.Errorf("half a floor presses with %.1f N of %.1f", -beside.UpN, -two.UpN)
	}
}

// In acrylic, F1000 and S18000, 6.35 mm: one flute cuts 0.0556 mm, 200 x 0.0556^0.7 x 3.175 = 84.0 N. Two flutes leave
// a tenth: by the drilling law with K = 2.22 x 613.8/2959 = 0.4605 (chip 0.0238 mm) the torque is 290.7 N mm, which is
// 183.1 N at a quarter of the diameter.
func TestALoneFluteHasNoOtherToPushAgainst(t *testing.T) {
	work := bare(200, 0.3)
	work.Edge.Likely = 4
	peak := func(flutes int, feed float64) float64 {
		load, err := Cutting(work, endMill(6.35, flutes), plunge(1, feed, 18000))
		if err != nil {
			t.Fatal(err)
		}
		return load.Peak
	}
	near(t, "one flute", peak(1, 1000), 84.0, 0.1)
	near(t, "two flutes", peak(2, 1000), 18.3, 0.1)
	for _, feed := range []float64{100, 300, 1000, 3000} {
		for _, flutes := range []int{2, 3, 4, 6} {
			if ratio := peak(1, feed) / peak(flutes, feed); ratio > 10 {
				t.Errorf("F%g: one flute pushes %.1f times as hard as %d", feed, ratio, flutes)
			}
		}
	}
}

// Pointed tools cut the diameter of their depth: a 90 degree vee 2 mm deep makes a hole of 4 mm; a ball of radius 3, 1
// mm deep, one of 2 sqrt(5).
func TestDiameterOfAPlunge(t *testing.T) {
	vee := job.Tool{Tool: sweep.Tool{Shape: sweep.Vee, DiameterMM: 12, AngleRad: math.Pi / 2}, Flutes: 2}
	near(t, "vee", boreDiameter(vee, Cut{DepthMM: 2}), 4, 1e-9)
	near(t, "vee, seen wider", boreDiameter(vee, Cut{DepthMM: 2, WidthMM: 5}), 5, 1e-9)
	near(t, "vee, sunk", boreDiameter(vee, Cut{DepthMM: 20}), 12, 1e-9)
	ball := job.Tool{Tool: sweep.Tool{Shape: sweep.Ball, DiameterMM: 6}, Flutes: 2}
	near(t, "ball", boreDiameter(ball, Cut{DepthMM: 1}), 2*math.Sqrt(5), 1e-9)
	near(t, "flat", boreDiameter(endMill(6, 2), Cut{DepthMM: 1}), 6, 1e-9)
}

// On a ramp the bottom cuts as well: on a slope of 3 degrees the load exceeds that of the level cut by the bottom's own
// torque, (slope hb + Edge) R at R/2 per tooth, here with straight flutes and one tooth in the slot at a time.
func TestRampAddsTheBottom(t *testing.T) {
	work := bare(700, 0.25)
	work.Edge.Likely = 13
	level := side(6, 6, 3, 1800, 18000)
	ramp := level
	ramp.RampRad = 3 * math.Pi / 180
	a, err := Cutting(work, endMill(6, 2), level)
	if err != nil {
		t.Fatal(err)
	}
	b, err := Cutting(work, endMill(6, 2), ramp)
	if err != nil {
		t.Fatal(err)
	}
	hb := 0.05 * math.Sin(ramp.RampRad)
	bottom := (1248.9*hb + 13) * 3 // on the line from 13 N/mm that touches 700 h^0.75 at 0.0312 mm
	// The circumference itself has the feed times cos 3 degrees.
	wall := 700 * 0.75 * math.Pow(0.05, 0.75) * (1 - math.Cos(ramp.RampRad)) * 3
	near(t, "peak", b.Peak-a.Peak, bottom-wall, 1)
	near(t, "mean torque", math.Abs(b.MeanTorqueNmm)-math.Abs(a.MeanTorqueNmm), bottom*1.5, 2)
	if b.DownN <= a.DownN {
		t.Error("a ramp does not press more than a level cut")
	}
	level.RampRad = -ramp.RampRad
	c, err := Cutting(work, endMill(6, 2), level)
	if err != nil {
		t.Fatal(err)
	}
	if c.Kind != Side || c.Peak > a.Peak {
		t.Errorf("a rising cut: %v with %.1f N, level %.1f", c.Kind, c.Peak, a.Peak)
	}
}
