package cutload

import (
	"fmt"
	"math"
	"testing"

	"staydown/hold/job"
	"staydown/hold/material"
	"staydown/parse"
	"staydown/sweep"
)

// Vertical force of a compression tool in a wall that straight chips of one thickness would give: the up-cut length
// less the down-cut one. At any rotor angle of a slot with full lengths in the cut it is the mean that is known: z/(2
// pi) times tan(helix) times the difference of lengths times the integral over the arc of Kac h + Kae.
func TestCompressionToolLiftsByTheDifference(t *testing.T) {
	work := linearWork(600, 12)
	work.Lift = material.Range{Low: 0.5, Likely: 0.75, High: 1}
	const helix = math.Pi / 6
	chip := 0.75 * 600 * 0.05 * 2 // integral of cos over the slot is 2
	edge := 0.2 * 12 * math.Pi
	perMM := 2 / (2 * math.Pi) * math.Tan(helix) * (chip + edge)
	for _, c := range []struct {
		upcut, gap, depth float64
		want              float64 // mean vertical force, N
	}{
		{0, 0, 18, 18 * perMM},
		{8, 0, 18, -2 * perMM * 0.5 / 0.75}, // 8 up, 10 down: what presses counts at its low end
		{12, 0, 18, 6 * perMM},
		{9, 0, 18, 0},
		{8, 8, 5, -5 * perMM * 0.5 / 0.75}, // only the upper part cuts
		{8, 0.5, 3, 3 * perMM},             // only the lower part cuts
	} {
		tool := endMill(12, 2)
		tool.HelixRad, tool.UpcutMM = helix, c.upcut
		cut := side(12, 12, c.depth, 0.1*10000, 10000)
		cut.TipGapMM = c.gap
		load, err := Cutting(work, tool, cut)
		if err != nil {
			t.Fatal(err)
		}
		near(t, fmt.Sprintf("up-cut to %g mm, %g mm from %g", c.upcut, c.depth, c.gap), load.Mean.Up, c.want,
			1e-3*18*perMM)
	}
}

// The turning point changes nothing where the tool does not reach it, and where the whole cut lies above it the tool is
// a down-cut one.
func TestCompressionToolIsEitherHalfBesideItsTurningPoint(t *testing.T) {
	work, _ := material.WorkNamed("plywood")
	tool := endMill(6, 2)
	tool.HelixRad = math.Pi / 6
	up, down, both := tool, tool, tool
	down.HelixRad = -tool.HelixRad
	both.UpcutMM = 8
	low, high := side(6, 6, 5, 6000, 18000), side(6, 6, 5, 6000, 18000)
	high.TipGapMM = 9
	for _, c := range []struct {
		name string
		cut  Cut
		like job.Tool
	}{{"below", low, up}, {"above", high, down}} {
		a, err := Cutting(work, both, c.cut)
		if err != nil {
			t.Fatal(err)
		}
		b, err := Cutting(work, c.like, c.cut)
		if err != nil {
			t.Fatal(err)
		}
		near(t, c.name+": peak", a.Peak, b.Peak, 0.01*b.Peak)
		near(t, c.name+": lift", a.UpN, b.UpN, 0.01*b.Peak)
		near(t, c.name+": mean lift", a.Mean.Up, b.Mean.Up, 1e-6*b.Peak)
	}
}

// A left-hand tool under M4 does in the mirror what its right-hand twin does under M3, and lifts alike.
func TestLeftHandToolUnderM4(t *testing.T) {
	work, _ := material.WorkNamed("aluminium-sheet")
	right := endMill(6, 2)
	right.HelixRad, right.Hand = math.Pi/6, job.RightHand
	left := right
	left.Hand = job.LeftHand
	cut := side(6, 1, 3, 1800, 18000)
	a, err := Cutting(work, right, cut)
	if err != nil {
		t.Fatal(err)
	}
	cut.RightRad, cut.LeftRad, cut.Spindle = -cut.LeftRad, -cut.RightRad, parse.SpindleCounterclockwise
	b, err := Cutting(work, left, cut)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "lift", b.UpN, a.UpN, 1e-9)
	near(t, "left", b.Mean.Left, -a.Mean.Left, 1e-9)
	near(t, "torque", b.TorqueNmm, -a.TorqueNmm, 1e-9)
	if a.UpN <= 0 {
		t.Errorf("an up-cut tool lifts by %.2f N", a.UpN)
	}
}

// A single straight flute, one half of a turn in a slot, the other half in the air: its peak is its own chip, its lift
// none.
func TestSingleStraightFlute(t *testing.T) {
	tool := job.Tool{Tool: sweep.Tool{Number: 1, Shape: sweep.Flat, DiameterMM: 6}, Flutes: 1, RunoutMM: 0.01}
	work := linearWork(600, 12)
	work.Radial, work.Lift = material.Exact(0.3, ""), material.Exact(0.6, "")
	load, err := Cutting(work, tool, side(6, 6, 3, 0.1*18000, 18000))
	if err != nil {
		t.Fatal(err)
	}
	near(t, "peak", load.Peak, 3*math.Hypot(600*0.1+12, 0.3*600*0.1+12), 1e-6)
	near(t, "lift", load.UpN, 0, 1e-12)
	near(t, "teeth", load.TeethInCut, 0.5, 1e-9)
}
