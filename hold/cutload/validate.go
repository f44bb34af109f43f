package cutload

import (
	"math"

	"staydown/hold/job"
	"staydown/hold/material"
	"staydown/parse"
	"staydown/parse/units"
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

// InputError says why a cut has no load that could be computed: what is wrong and what to do, without a place. Both
// together are the format of the figures.
type InputError struct {
	What, Do string
	Figures  []any // as of a units.Statement
}

// Error gives both parts in one line, in metric units.
func (e *InputError) Error() string { return e.In(units.Metric) }

// In gives both parts in one line.
func (e *InputError) In(shop units.System) string {
	return units.Statement{Format: e.What + "; " + e.Do, Args: e.Figures}.In(shop)
}

func mm(x float64) units.Figure { return units.Figure{Kind: units.Length, X: x} }

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
		return &InputError{What: "the material has no specific cutting force", Do: "give specific_force, such as " +
			"\"700 MPa\""}
	case !within(w.MC.Likely, 0, 0.9):
		return &InputError{"the exponent of the specific cutting force is %g", "give one between 0 and 0.9",
			[]any{w.MC.Likely}}
	case !within(w.Edge.Likely, 0, maxForceNmm2), !within(w.Radial.Likely, 0, 5), !within(w.Drill.Likely, 0, 1000):
		return &InputError{What: "the material's edge force, radial ratio or drilling factor is out of range",
			Do: "give values from 0 up"}
	}
	return nil
}

func validateTool(tool job.Tool, cut Cut) *InputError {
	switch {
	case !within(tool.DiameterMM, 0, maxDiameterMM) || tool.DiameterMM < 1e-3:
		return &InputError{"tool %d has a diameter of %s", "give its diameter", []any{tool.Number, mm(tool.DiameterMM)}}
	case tool.Flutes > maxFlutes || tool.Flutes < 0 || tool.Flutes == 0 && tool.Shape != sweep.Drill:
		return &InputError{"tool %d has %d flutes", "give the number of its cutting edges",
			[]any{tool.Number, tool.Flutes}}
	case !within(tool.HelixRad, -maxHelixRad, maxHelixRad):
		return &InputError{"tool %d has a helix of %.0f deg", "give an angle between -80 and 80 deg",
			[]any{tool.Number, tool.HelixRad * 180 / math.Pi}}
	case !within(tool.RunoutMM, 0, tool.DiameterMM):
		return &InputError{"tool %d runs out by %s", "give how far its edges lie off the axis",
			[]any{tool.Number, mm(tool.RunoutMM)}}
	case !within(tool.UpcutMM, 0, maxDepthMM) || tool.UpcutMM > 0 && tool.HelixRad <= 0:
		return &InputError{"tool %d is up-cut to %s with a helix of %.0f deg",
			"give the height of its turning point and the helix below it, above 0",
			[]any{tool.Number, mm(tool.UpcutMM), tool.HelixRad * 180 / math.Pi}}
	case !within(tool.RakeRad, -math.Pi/2, math.Pi/2):
		return &InputError{"tool %d has a rake of %.0f deg", "give an angle between -90 and 90 deg",
			[]any{tool.Number, tool.RakeRad * 180 / math.Pi}}
	case (tool.Shape == sweep.Vee || tool.Shape == sweep.Drill && !bores(tool, cut)) && !within(tool.AngleRad, 1e-3,
		math.Pi):
		return &InputError{"tool %d has a point angle of %.0f deg", "give the included angle of its point",
			[]any{tool.Number, tool.AngleRad * 180 / math.Pi}}
	case tool.Shape == sweep.Bull && !within(tool.CornerMM, 0, tool.DiameterMM/2):
		return &InputError{"tool %d has a corner radius of %s", "give one of at most half its diameter",
			[]any{tool.Number, mm(tool.CornerMM)}}
	}
	return nil
}

func validateCut(cut Cut) *InputError {
	switch {
	case !within(cut.RightRad, -2*math.Pi, 2*math.Pi), !within(cut.LeftRad, -2*math.Pi, 2*math.Pi),
		cut.RightRad > cut.LeftRad:
		return &InputError{"the cut is engaged from %g to %g rad", "give an arc from right to left",
			[]any{cut.RightRad, cut.LeftRad}}
	case !within(cut.DepthMM, 0, maxDepthMM), !within(cut.TipGapMM, 0, maxDepthMM):
		return &InputError{"the cut is %s deep, %s above the tip", "check the stock and the tool's length",
			[]any{mm(cut.DepthMM), mm(cut.TipGapMM)}}
	case !within(cut.RampRad, -math.Pi/2, math.Pi/2), !within(cut.WidthMM, 0, 2*maxDiameterMM):
		return &InputError{What: "slope or width of the cut are out of range", Do: "check the program"}
	}
	return nil
}

func validateFeed(tool job.Tool, cut Cut) *InputError {
	switch {
	case cut.Spindle != parse.SpindleClockwise && cut.Spindle != parse.SpindleCounterclockwise:
		return &InputError{What: "the spindle is stopped while cutting", Do: "start it with M3 and a speed before " +
			"this block, or give speed under [[tool]] or [machine] in the job file if it is started by hand"}
	case tool.Hand == job.RightHand && cut.Spindle == parse.SpindleCounterclockwise:
		return &InputError{"tool %d cuts clockwise and turns counter-clockwise (M4)",
			`write M3, or hand = "left" of the tool`,
			[]any{tool.Number}}
	case tool.Hand == job.LeftHand && cut.Spindle == parse.SpindleClockwise:
		return &InputError{"tool %d cuts counter-clockwise and turns clockwise (M3)",
			`write M4, or hand = "right" of the tool`,
			[]any{tool.Number}}
	case !within(cut.RPM, 0, maxRPM) || cut.RPM == 0:
		return &InputError{What: "the spindle has no speed while cutting", Do: "give S with the speed before this " +
			"block, or speed under [[tool]] or [machine] in the job file"}
	case !(cut.FeedMMMin > 0) || math.IsInf(cut.FeedMMMin, 0):
		return &InputError{What: "the tool cuts without a feed", Do: "give F before this block"}
	}
	if cut.Rub || cut.Retract { // no chip that could be too thick; often at the rapid rate
		return nil
	}
	if fz := cut.FeedMMMin / cut.RPM / float64(flutes(tool)); !(fz <= maxFeedPerToothMM) {
		return &InputError{"the feed is %s per tooth", "lower F or raise S; no load is computed above %s per tooth",
			[]any{mm(fz), mm(maxFeedPerToothMM)}}
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
