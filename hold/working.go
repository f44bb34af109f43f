package hold

import "staydown/hold/cutload"

// Working is the whole reckoning of one block, in the order in which a person with a pocket calculator would go
// through it.
type Working struct {
	Program  string
	Line     int
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
