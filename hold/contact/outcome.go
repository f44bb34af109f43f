package contact

import "github.com/paulmach/orb"

// Outcome is the answer of one check.
type Outcome struct {
	Mode   Mode
	Margin float64 // Capacity over Demand; +Inf when nothing is asked for

	// Capacity and Demand are in N for lift and slip; for twist they are moments about the sliding centre, for tip
	// about the edge, in N mm (Turning is then set).
	Capacity, Demand float64
	Turning          bool

	HoldN float64 // force that presses the piece on the table; less what the load lifts, except for lift itself
	LoadN float64 // lift: upward force; else the horizontal force, or the vertical one when there is none

	// Bound is set when the straight line gave enough margin (Body.Enough): the true margin is this one or more.
	Bound bool

	SlidingCentre    orb.Point // the point the piece turns about as it breaks away; twist only
	HasSlidingCentre bool      // not when it slides straight on, nor with Bound

	Edge    [2]orb.Point // the edge it tips over; tip only
	HasEdge bool

	Reason string // why the margin is what it is, where the figures alone do not say so
	Err    error  // the load was refused; Margin is then 0
	Steps  []Step // the working, in order; only from All
}

// Step is one line of the working behind a margin.
type Step struct {
	What    string
	Formula string // "" for a given value
	Value   float64
	Unit    string // "" for a pure number
}
