package cutload

import (
	"fmt"
	"math"

	"staydown/hold/job"
	"staydown/hold/material"
	"staydown/parse"
	"staydown/sweep"
)

// Limits of what is reckoned with. Beyond them the laws mean nothing and the sums could become large.
const (
	maxFeedPerToothMM = 3
	maxFlutes         = 64
	maxDiameterMM     = 1000
	maxDepthMM        = 1000
	maxHelixRad       = 80 * math.Pi / 180
	maxRPM            = 1e6
	maxForceNmm2      = 1e5 // KC11 and Edge
)

// InputError says why a cut has no load that could be computed: what is wrong and what to do, without a place.
type InputError struct{ What, Do string }

// Error gives both parts in one line.
func (e *InputError) Error() string { return e.What + "; " + e.Do }

func validate(work material.Work, tool job.Tool, cut Cut) error {
	err := validateWork(work)
	if err == nil {
		err = validateTool(tool, cut)
	}
	if err == nil {
		err = validateCut(cut)
	}
	if err == nil {
		err = validateFeed(tool, cut)
	}
	if err != nil {
		return err
	}
	return nil
}

func validateWork(w material.Work) *InputError {
	switch {
	case !within(w.KC11.Likely, 0, maxForceNmm2) || w.KC11.Likely == 0:
		return &InputError{"the material has no specific cutting force", "give specific_force, such as \"700 MPa\""}
	case !within(w.MC.Likely, 0, 0.9):
		return &InputError{fmt.Sprintf("the exponent of the specific cutting force is %g", w.MC.Likely),
			"give one between 0 and 0.9"}
	case !within(w.Edge.Likely, 0, maxForceNmm2), !within(w.Radial.Likely, 0, 5), !within(w.Drill.Likely, 0, 1000):
		return &InputError{"the material's edge force, radial ratio or drilling factor is out of range",
			"give values from 0 up"}
	}
	return nil
}

func validateTool(tool job.Tool, cut Cut) *InputError {
	switch {
	case !within(tool.DiameterMM, 0, maxDiameterMM) || tool.DiameterMM < 1e-3:
		return &InputError{fmt.Sprintf("tool %d has a diameter of %g mm", tool.Number, tool.DiameterMM),
			"give its diameter"}
	case tool.Flutes > maxFlutes || tool.Flutes < 0 || tool.Flutes == 0 && tool.Shape != sweep.Drill:
		return &InputError{fmt.Sprintf("tool %d has %d flutes", tool.Number, tool.Flutes),
			"give the number of its cutting edges"}
	case !within(tool.HelixRad, -maxHelixRad, maxHelixRad):
		return &InputError{fmt.Sprintf("tool %d has a helix of %.0f deg", tool.Number, tool.HelixRad*180/math.Pi),
			"give an angle between -80 and 80 deg"}
	case !within(tool.RunoutMM, 0, tool.DiameterMM):
		return &InputError{fmt.Sprintf("tool %d runs out by %g mm", tool.Number, tool.RunoutMM),
			"give how far its edges lie off the axis"}
	case !within(tool.UpcutMM, 0, maxDepthMM) || tool.UpcutMM > 0 && tool.HelixRad <= 0:
		return &InputError{fmt.Sprintf("tool %d is up-cut to %g mm with a helix of %.0f deg", tool.Number, tool.UpcutMM,
			tool.HelixRad*180/math.Pi),
			"give the height of its turning point and the helix below it, above 0"}
	case !within(tool.RakeRad, -math.Pi/2, math.Pi/2):
		return &InputError{fmt.Sprintf("tool %d has a rake of %.0f deg", tool.Number, tool.RakeRad*180/math.Pi),
			"give an angle between -90 and 90 deg"}
	case (tool.Shape == sweep.Vee || tool.Shape == sweep.Drill && !bores(tool, cut)) && !within(tool.AngleRad, 1e-3,
		math.Pi):
		return &InputError{fmt.Sprintf("tool %d has a point angle of %.0f deg", tool.Number, tool.AngleRad*180/math.Pi),
			"give the included angle of its point"}
	case tool.Shape == sweep.Bull && !within(tool.CornerMM, 0, tool.DiameterMM/2):
		return &InputError{fmt.Sprintf("tool %d has a corner radius of %g mm", tool.Number, tool.CornerMM),
			"give one of at most half its diameter"}
	}
	return nil
}

func validateCut(cut Cut) *InputError {
	switch {
	case !within(cut.RightRad, -2*math.Pi, 2*math.Pi), !within(cut.LeftRad, -2*math.Pi, 2*math.Pi),
		cut.RightRad > cut.LeftRad:
		return &InputError{fmt.Sprintf("the cut is engaged from %g to %g rad", cut.RightRad, cut.LeftRad),
			"give an arc from right to left"}
	case !within(cut.DepthMM, 0, maxDepthMM), !within(cut.TipGapMM, 0, maxDepthMM):
		return &InputError{fmt.Sprintf("the cut is %g mm deep, %g mm above the tip", cut.DepthMM, cut.TipGapMM),
			"check the stock and the tool's length"}
	case !within(cut.RampRad, -math.Pi/2, math.Pi/2), !within(cut.WidthMM, 0, 2*maxDiameterMM):
		return &InputError{"slope or width of the cut are out of range", "check the program"}
	}
	return nil
}

func validateFeed(tool job.Tool, cut Cut) *InputError {
	switch {
	case cut.Spindle != parse.SpindleClockwise && cut.Spindle != parse.SpindleCounterclockwise:
		return &InputError{"the spindle stands still in the material", "start it with M3 and a speed before this block, or give speed under [[tool]] or [machine] in the job file " +
			"if it is started by hand"}
	case tool.Hand == job.RightHand && cut.Spindle == parse.SpindleCounterclockwise:
		return &InputError{fmt.Sprintf("tool %d cuts clockwise and turns counter-clockwise (M4)", tool.Number),
			`write M3, or hand = "left" of the tool`}
	case tool.Hand == job.LeftHand && cut.Spindle == parse.SpindleClockwise:
		return &InputError{fmt.Sprintf("tool %d cuts counter-clockwise and turns clockwise (M3)", tool.Number),
			`write M4, or hand = "right" of the tool`}
	case !within(cut.RPM, 0, maxRPM) || cut.RPM == 0:
		return &InputError{"the spindle has no speed in the material", "give S with the speed before this block, or speed under [[tool]] or [machine] in the job file"}
	case !(cut.FeedMMMin > 0) || math.IsInf(cut.FeedMMMin, 0):
		return &InputError{"the tool cuts without a feed", "give F before this block"}
	}
	if cut.Rub || cut.Retract { // no chip that could be too thick; often at the rapid rate
		return nil
	}
	if fz := cut.FeedMMMin / cut.RPM / float64(flutes(tool)); !(fz <= maxFeedPerToothMM) {
		return &InputError{
			fmt.Sprintf("the feed is %.3g mm per tooth", fz),
			fmt.Sprintf("lower F or raise S; no load is computed above %d mm per tooth", maxFeedPerToothMM),
		}
	}
	return nil
}

// within is false for NaN.
func within(v, low, high float64) bool { return v >= low && v <= high }

// flutes takes a drill whose cutting edges were not counted for one with two.
func flutes(tool job.Tool) int {
	if tool.Flutes == 0 {
		return 2
	}
	return tool.Flutes
}
