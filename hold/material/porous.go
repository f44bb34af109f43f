package material

// Facing tells which faces of a sheet a tight skin covers: laminate, foil, varnish.
type Facing uint8

const (
	FacedNone Facing = iota
	FacedTop
	FacedBottom // the table side
	FacedBoth
)

// facings are the words of the job file.
var facings = [...]string{"none", "top", "bottom", "both"}

// String gives the word of the job file.
func (f Facing) String() string { return facings[f] }
