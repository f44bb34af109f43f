package cutload

import (
	"math"

	"staydown/hold/job"
	"staydown/hold/material"
)

const (
	// edgeRadial is the radial edge force over the tangential one: 0.77, 0.96, 1.04, 1.02 for four aluminium alloys
	// (Chinese J. Mech. Eng. (2021), doi 10.1186/s10033-021-00536-9, Table 5).
	edgeRadial = 1.0

	// pressCredit is the share of a downward force of the circumference that Rotor counts. Of tan(helix), 0.577 at 30
	// degrees, the same table measured 0.433, 0.289, 0.340 and 0.037; lift is reckoned with the whole of it, pressing,
	// which helps, with the least: 0.037/0.577.
	pressCredit = 0.06

	// kcLimitMM is the chip thickness above which kc stays as it is there: the law is stated up to about 1 mm, and the
	// constant lies above its continuation. Below its other end, about 0.02 mm, the law is continued; the force itself
	// goes to the edge force there, which is added at every thickness.
	kcLimitMM = 1.0

	// leastRake and mostRake bound the rake correction of 1 % per degree, which is stated for usual tools only.
	leastRake, mostRake = 0.6, 1.6
)

// weights are forces on the workpiece per mm of edge: along the edge's motion, outwards from the axis, and up.
type weights struct{ tangential, radial, lift float64 }

// law gives the force of a mm of edge as chip (h/fz)^power + edge, h being the chip thickness.
//
// Kienzle's law has the power 1 - MC and a chip weight that holds fz^(1-MC); linear-edge models have power 1.
type law struct {
	power      float64
	chip, edge weights // chip: at the thickness fz
}

// kienzle is the law of a material for a tool at a feed per tooth in mm.
//
// The lift of a helix is tan(helix) of the tangential force, the upper estimate: the resultant of a frictionless rake
// face that leans by the helix angle. Measured ratios at 30 degrees lie between 0.06 and 0.75 of it.
func kienzle(work material.Work, tool job.Tool, feedMM float64) law {
	t := chipForce(work, tool, feedMM)
	e := work.Edge.Value
	lift := math.Tan(tool.HelixRad)
	return law{
		power: 1 - work.MC.Value,
		chip:  weights{t, t * work.Radial.Value, t * lift},
		edge:  weights{e, e * edgeRadial, e * lift},
	}
}

// chipForce is kc h in N per mm of edge at the chip thickness h in mm, without edge force.
func chipForce(work material.Work, tool job.Tool, h float64) float64 {
	return specific(work, h) * rakeFactor(work, tool) * h
}

// specific is kc = KC11 h^-MC in N/mm2 without rake; h in mm. It is 0 for no chip, whose force is 0 as well.
func specific(work material.Work, h float64) float64 {
	if h <= 0 {
		return 0
	}
	return work.KC11.Value * math.Pow(math.Min(h, kcLimitMM), -work.MC.Value)
}

// rakeFactor is 1 less 1 % per degree of rake beyond that of the table.
func rakeFactor(work material.Work, tool job.Tool) float64 {
	beyond := tool.RakeRad*180/math.Pi - work.Rake.Value
	return math.Min(mostRake, math.Max(leastRake, 1-beyond/100))
}
