package cutload

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"staydown/hold/material"
	"staydown/parse"
)

// A wall that is touched again never loads nothing, and no more than the cut that it once was.
func TestRubbingLoadsButLessThanCutting(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		work, tool, cut := drawWork(t), drawTool(t), drawCut(t)
		arc := math.Acos(math.Max(0, 1-rubMM/(tool.DiameterMM/2)))
		cut.RampRad = 0
		cut.DepthMM = math.Max(cut.DepthMM, rubDepthMM)
		cut.RightRad = math.Min(cut.RightRad, math.Pi/2-arc)
		cut.LeftRad = math.Max(cut.LeftRad, cut.RightRad+arc)
		full := must(t, work, tool, cut)
		cut.Rub = true
		rub := must(t, work, tool, cut)
		if rub.Kind != Rub && tool.Shape != 4 || !(rub.Peak > 0) {
			t.Fatalf("%v of %g N", rub.Kind, rub.Peak)
		}
		if rub.Kind == Rub && rub.Peak > 1.02*full.Peak {
			t.Fatalf("rubbing %g N, cutting %g", rub.Peak, full.Peak)
		}
	})
}

// A spring pass with straight flutes along a straight wall: every tooth presses with its edge force along its whole
// length on the wall, tangentially and radially alike, and skims 0.02 mm with the largest chip fz sin(arccos(1 -
// 0.02/R)). Closed form for the tooth that enters.
func TestSpringPass(t *testing.T) {
	work := bare(700, 0.25)
	work.Edge.Likely, work.Radial.Likely = 13, 0
	cut := Cut{RightRad: math.Pi / 2, LeftRad: math.Pi / 2, DepthMM: 6, FeedMMMin: 720, RPM: 18000,
		Spindle: parse.SpindleClockwise, Rub: true}
	load, err := Cutting(work, endMill(6, 2), cut)
	if err != nil {
		t.Fatal(err)
	}
	arc := math.Acos(1 - 0.02/3)
	// The chip of 0.0016 mm lies on the line from 13 N/mm that touches 700 h^0.75: at h = (13/(0.25 x 700))^(4/3), with
	// the slope 0.75 x 700 h^-0.25 = 1248.9 N/mm2.
	tangential := (13 + 1248.9*0.02*math.Sin(arc)) * 6
	near(t, "peak", load.Peak, math.Hypot(tangential, 13*6), 0.01)
	near(t, "arc", load.LeftRad-load.RightRad, arc, 1e-9)
	near(t, "left end", load.LeftRad, math.Pi/2, 1e-9)
}

// With a helix only the part of the edge that lies in the narrow contact presses: R arc/tan(helix) of it.
func TestSpringPassWithHelix(t *testing.T) {
	work := bare(1e-6, 0)
	work.Edge.Likely = 13
	tool := endMill(6, 2)
	tool.HelixRad = math.Pi / 6
	cut := Cut{RightRad: math.Pi / 2, LeftRad: math.Pi / 2, DepthMM: 6, FeedMMMin: 720, RPM: 18000,
		Spindle: parse.SpindleClockwise, Rub: true}
	load, err := Cutting(work, tool, cut)
	if err != nil {
		t.Fatal(err)
	}
	arc := math.Acos(1 - 0.02/3)
	length := 3 * arc / math.Tan(math.Pi/6)
	near(t, "peak", load.Peak, 13*math.Sqrt2*length, 0.01*13*length)
	near(t, "lift", load.UpN, 0.2*13*math.Tan(math.Pi/6)*length, 0.01*13*length)
}

// Out of a slot at the rapid rate: a load, not an error about the feed.
func TestRapidRetractIsNoNonsense(t *testing.T) {
	work, _ := material.WorkNamed("plywood")
	cut := Cut{
		RightRad: -math.Pi / 2, LeftRad: math.Pi / 2, DepthMM: 12, FeedMMMin: 30000, RPM: 3000,
		Spindle: parse.SpindleClockwise, Retract: true, RampRad: -math.Pi / 2,
	}
	load, err := Cutting(work, endMill(6, 2), cut)
	if err != nil {
		t.Fatal(err)
	}
	if load.Kind != Rub || !(load.Peak > 0) || load.Peak > 2*2*12*math.Sqrt2 {
		t.Errorf("%v of %.1f N", load.Kind, load.Peak)
	}
}
