package cutload

import (
	"math"

	"staydown/hold/job"
	"staydown/hold/material"
)

const (
	// pressCredit is the share of the downward forces of a slanting edge and of the bottom that Rotor counts, since
	// they help: the least of vertical forces in the same table over the usual one.
	pressCredit = 0.06

	// leastRake and mostRake bound the rake correction of 1 % per degree, which is stated for usual tools only.
	leastRake, mostRake = 0.6, 1.6
)

// weights are forces on the workpiece over the tangential force of an edge: along the edge's motion, outwards from the
// axis, and up for a helix of 45 degrees.
type weights struct{ tangential, radial, lift float64 }

// law is the force of a mm of edge: chip times the law's Chip plus edge times its Edge.
type law struct {
	material.Law
	chip, edge weights
}

// lawOf is the law of a material for a tool.
//
// The lift of a helix is a measured share of tan(helix) of the tangential force: tan(helix) itself, that of a rake face
// without friction, is 1.3 to 16 times as much as measured.
func lawOf(work material.Work, tool job.Tool) law {
	return law{
		Law:  work.Law(rakeFactor(work, tool)),
		chip: weights{1, work.Radial.Likely, work.Lift.Likely},
		edge: weights{1, work.EdgeRadial.Likely, work.EdgeLift.Likely},
	}
}

// specific is kc, the whole force over the chip, in N/mm2 without rake; h in mm. It is 0 for no chip.
func specific(work material.Work, h float64) float64 { return work.Law(1).Specific(h) }

// rakeFactor is 1 less 1 % per degree of rake beyond that of the table.
func rakeFactor(work material.Work, tool job.Tool) float64 {
	beyond := tool.RakeRad*180/math.Pi - work.Rake.Likely
	return math.Min(mostRake, math.Max(leastRake, 1-beyond/100))
}
