package hold

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
type Row struct {
	What    string
	Symbol  string
	Formula string // in symbols; "" for a given quantity
	Value   float64
	Unit    string
	Source  string
	Text    string // instead of a value
}
