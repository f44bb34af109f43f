package progcheck

import (
	"staydown/hold/internal/toolpath"
	"staydown/hold/job"
	"staydown/parse"
	"staydown/parse/units"
	"staydown/sweep"
)

// Checks looks at a swept program.
type Checks struct {
	Prog  *parse.Program
	Rec   *sweep.Record
	Job   *job.Job
	Units units.System // of messages
	Clock *toolpath.Clock
	// NotSwept tells that a thinner, a thicker sheet on which skins or cuts turn was not swept.
	NotSwept [2]bool
}

// DepthToleranceMM is the depth below a limit that may be rounding in the program.
const DepthToleranceMM = 0.005

// FarthestSheet is the score of thickness or touch-off beyond which a sheet is not tried: 1 in 200.
const FarthestSheet = 2.6
