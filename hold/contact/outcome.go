package contact

import "github.com/paulmach/orb"

// Outcome is the answer of one check.
type Outcome struct {
	Mode   Mode
	Margin float64 // capacity over demand; +Inf when nothing is asked for

	HoldN float64 // force that presses the piece on the table; less what the load lifts, except for lift itself
	LoadN float64 // lift: upward force; else the horizontal force, or the vertical one when there is none

	Reason string // why the margin is what it is, where the figures alone do not say so
	Err    error  // the load was refused; Margin is then 0
	Steps  []Step // the working, in order; only from All

	slidingCentre    orb.Point // the point the piece turns about as it breaks away; twist only
	hasSlidingCentre bool      // not when it slides straight on, nor when the straight line gave enough margin
	momentNmm        float64   // of the load about that point, else about the center of resistance; twist only
}

// Step is one line of the working behind a margin.
type Step struct {
	What    string
	Formula string // "" for a given value
	Value   float64
	Unit    string // "" for a pure number
}
