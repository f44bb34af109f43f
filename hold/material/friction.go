package material

import "slices"

// Family groups work materials that slide alike. The first is the most slippery, so that it stands for what is not
// known.
type Family uint8

const (
	Plastic   Family = iota
	Composite        // fiber laminates
	Metal
	Wood // boards, plywood, cork
	Foam
)

// String names the family.
func (f Family) String() string {
	return families[f]
}

// families are the names of all families, in their order.
var families = [...]string{"plastic", "composite", "metal", "wood", "foam"}

// Seat is what a part lies on.
type Seat uint8

const (
	OnBoard  Seat = iota // fiberboard layer
	OnCard               // card or paper layer
	OnMetal              // bare face of a chuck
	OnRubber             // gasket, rubber mat or pads that carry the part
)

// seats are the names of all seats, in their order.
var seats = [...]string{"board", "card", "metal", "rubber"}

// String names the seat.
func (s Seat) String() string { return seats[s] }

// Pair is the friction of a family on a seat, static.
type Pair struct {
	Work     Family
	On       Seat
	Dry, Wet Range
}

// Pairs lists every family on every seat. Low, likely and high of one pair differ by two and more between sources: a
// measured figure in the job file is better.
func Pairs() []Pair { return slices.Clone(builtin().pairs) }

// Friction finds the pair of a family on a seat. Every pair is there.
func Friction(work Family, on Seat) Pair {
	for _, p := range builtin().pairs {
		if p.Work == work && p.On == on {
			return p
		}
	}
	return Pair{}
}

// WetShare is the wet friction of the pair over its dry one, likely over likely.
func (p Pair) WetShare() float64 { return p.Wet.Likely / p.Dry.Likely }
