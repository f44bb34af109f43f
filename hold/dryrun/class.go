package dryrun

// Class is the answer of dry runs for a part, an offcut, the sheet or a drawing, from best to worst.
type Class uint8

const (
	WouldHold    Class = iota // in one pass
	WithCare                  // with a thin last pass, a skin or tabs
	WouldNotHold              // with none of these
)

// String gives the word that the contract uses.
func (c Class) String() string { return [...]string{"would-hold", "with-care", "would-not-hold"}[c] }
