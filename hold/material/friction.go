package material

// Family groups work materials that slide alike. The first is the most slippery, so that it stands for what is not
// known.
type Family uint8

const (
	Plastic   Family = iota
	Composite        // fibre laminates
	Metal
	Wood // boards, plywood, cork
	Foam
)

// String names the family.
func (f Family) String() string {
	return [...]string{"plastic", "composite", "metal", "wood", "foam"}[f]
}

// Seat is what a part lies on.
type Seat uint8

const (
	OnBoard  Seat = iota // fibreboard layer
	OnCard               // card or paper layer
	OnMetal              // bare face of a chuck
	OnRubber             // gasket, rubber mat or pads that carry the part
)

// String names the seat.
func (s Seat) String() string { return [...]string{"board", "card", "metal", "rubber"}[s] }

// Pair is the friction of a family on a seat, static.
type Pair struct {
	Work     Family
	On       Seat
	Dry, Wet Range
}

// The published places that several pairs share.
const (
	cargoCode  = "CTU Code (IMO/ILO/UNECE 2014), annex 7 appendix 2, static: "
	woodTables = "tables of friction coefficients: "
	oiledWood  = "a workholding catalogue: wood on metal 0.1 lubricated, fluid may cut resistance by up to five"
)

// Pairs lists every family on every seat. Low, likely and high of one pair differ by two and more between sources: a
// measured figure in the job file is better.
func Pairs() []Pair {
	rubberDry := Range{0.5, 0.6, 0.8, practice + ": anything on gasket rubber dry 0.5 to 0.8 (tables: rubber on " +
		"metal 0.4 to 0.5)"}
	rubberWet := Range{0.15, 0.2, 0.3, practice + ": anything on gasket rubber wet 0.15 to 0.3"}
	return []Pair{
		{Metal, OnBoard, Range{0.25, 0.3, 0.45, practice + ": aluminium on card or board 0.25 to 0.45"},
			Range{0.1, 0.2, 0.3, woodTables + "wood and metal, wet 0.2; " + oiledWood}},
		{Metal, OnCard, Range{0.25, 0.3, 0.45, practice + ": aluminium on card or board 0.25 to 0.45; from memory: " +
			"paperboard on aluminium 0.2 to 0.5"},
			Range{0.1, 0.2, 0.3, practice + ": coolant 0.15 to 0.2; soaked card tears before it slides"}},
		{Metal, OnMetal, Range{0.15, 0.2, 0.4, cargoCode + "smooth metal on smooth metal 0.20"},
			Range{0.08, 0.12, 0.2, practice + ": coolant 0.15 to 0.2; " + oiledWood}},
		{Metal, OnRubber, rubberDry, rubberWet},
		{Wood, OnBoard, Range{0.25, 0.35, 0.5, woodTables + "wood on wood 0.25 to 0.5; " + cargoCode +
			"planed wood on plywood 0.30, sawn 0.45"},
			Range{0.15, 0.2, 0.3, woodTables + "wood on wood, wet 0.2"}},
		{Wood, OnCard, Range{0.3, 0.4, 0.5, cargoCode + "cardboard on a wooden pallet 0.50; lower for planed faces, " +
			practice + ": 0.3"},
			Range{0.15, 0.2, 0.3, practice + ": as wood on wood, wet"}},
		{Wood, OnMetal, Range{0.2, 0.3, 0.6, woodTables + "wood on metal 0.2 to 0.6; " + cargoCode +
			"planed wood on stainless 0.20"},
			Range{0.1, 0.2, 0.3, woodTables + "wood on metal, wet 0.2; " + oiledWood}},
		{Wood, OnRubber, rubberDry, rubberWet},
		{Plastic, OnBoard, Range{0.2, 0.25, 0.35, practice + ": plastic on fibreboard 0.2 to 0.35; " + cargoCode +
			"plastic on plywood 0.20"},
			Range{0.08, 0.15, 0.2, practice + ": coolant 0.15 to 0.2"}},
		{Plastic, OnCard, Range{0.2, 0.3, 0.5, "from memory: paperboard on plastic 0.2 to 0.5 (methods: TAPPI T " +
			"549, ISO 15359)"},
			Range{0.08, 0.15, 0.2, practice + ": coolant 0.15 to 0.2"}},
		{Plastic, OnMetal, Range{0.1, 0.15, 0.3, cargoCode + "plastic on grooved aluminium 0.15"},
			Range{0.06, 0.1, 0.15, practice + ": two thirds of the dry figure"}},
		{Plastic, OnRubber, rubberDry, rubberWet},
		{Composite, OnBoard, Range{0.2, 0.25, 0.4, practice + ": as plastic on fibreboard"},
			Range{0.08, 0.15, 0.2, practice + ": coolant 0.15 to 0.2"}},
		{Composite, OnCard, Range{0.2, 0.3, 0.5, practice + ": as plastic on card"},
			Range{0.08, 0.15, 0.2, practice + ": coolant 0.15 to 0.2"}},
		{Composite, OnMetal, Range{0.1, 0.15, 0.3, practice + ": as plastic on metal"},
			Range{0.06, 0.1, 0.15, practice + ": two thirds of the dry figure"}},
		{Composite, OnRubber, rubberDry, rubberWet},
		{Foam, OnBoard, Range{0.25, 0.35, 0.5, practice + ": as wood on board; soft foam grips better"},
			Range{0.1, 0.2, 0.3, practice + ": as wood on board, wet"}},
		{Foam, OnCard, Range{0.25, 0.35, 0.5, practice + ": as wood on card"},
			Range{0.1, 0.2, 0.3, practice + ": as wood on board, wet"}},
		{Foam, OnMetal, Range{0.2, 0.3, 0.5, practice + ": as wood on metal"},
			Range{0.1, 0.15, 0.3, practice + ": as wood on metal, wet"}},
		{Foam, OnRubber, rubberDry, rubberWet},
	}
}

// Friction finds the pair of a family on a seat. Every pair is there.
func Friction(work Family, on Seat) Pair {
	for _, p := range Pairs() {
		if p.Work == work && p.On == on {
			return p
		}
	}
	return Pair{}
}

// WetShare is the wet friction of the pair over its dry one, likely over likely.
func (p Pair) WetShare() float64 { return p.Wet.Likely / p.Dry.Likely }
