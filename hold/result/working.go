package result

import (
	"staydown/hold/cutload"
	"staydown/parse/units"
)

// Working is the full calculation of one block, in an order that can be checked with a pocket calculator.
type Working struct {
	Program  string
	Line     int
	Units    units.System // in which the values are given as well
	Sections []Section
}

// Section is one stage of a Working.
type Section struct {
	Title string
	Rows  []Row
}

// Row is one quantity: what it is, the symbol used in the formulas below it, how it follows from the others, its
// value and where it comes from.
type Row = cutload.Term
