package outline

import (
	"math"

	"github.com/paulmach/orb"

	"staydown/hold/dryrun"
	"staydown/hold/result"
)

// Way is how contours are cut, from the least trouble to the most.
type Way uint8

const (
	OnePass Way = iota
	ThinPass
	Skin // below a thin last pass
	Tabs // in a thin last pass
	ways
)

// String names the way.
func (w Way) String() string {
	return [...]string{"one pass", "thin last pass", "skin", "tabs", "none"}[w]
}

// Kind tells what an item is.
type Kind uint8

const (
	PartItem   Kind = iota
	OffcutItem      // what is cut out of a hole
	SheetItem       // the stock that is left
)

// String names the kind.
func (k Kind) String() string { return [...]string{"part", "offcut", "sheet"}[k] }

// Trial is how an item fares when it is cut in one way.
type Trial struct {
	Tried  bool
	Holds  bool
	Margin float64 // the least likely one; +Inf when nothing loads it, NaN when it is not known
	Low    float64 // 5 % point of the margin; NaN: not known
	High   float64 // 95 % point
	Mode   result.Mode
	HoldN  float64
	LoadN  float64
	Why    string // why it does not hold or was not tried, where no margin says so
}

// Item is a part, an offcut or the sheet.
type Item struct {
	Kind     Kind
	Part     int // number of the part in the drawing, from 1; of an offcut: of the part that it is cut out of
	Hole     int // number of the hole in the part, from 1; 0 for others
	Layer    string
	Line     int         // of the drawing
	Outline  orb.Polygon // mm, where it was judged; of an offcut the hole
	AreaMM2  float64     // that the outline encloses, less holes
	SizeMM   [2]float64
	Class    dryrun.Class
	Way      Way // the least trouble with which it holds; OnePass for what does not hold
	Trials   [ways]Trial
	UncutMM2 float64 // that the tool is too wide for; see dryrun.Path
	// MilledAway tells that nothing falls out of a hole: its offcut would be narrower than the tool.
	MilledAway bool
}

// Result is the answer for a drawing.
type Result struct {
	Path    string // of the drawing, with forward slashes
	SHA256  string
	Format  string
	Unit    string
	Class   dryrun.Class
	Margin  float64 // required
	Items   []Item  // parts in the order of the drawing, each behind its offcuts; the sheet last
	Job     result.JobFacts
	Care    Care // what thin pass, skin and tabs mean here
	Tool    int
	Moved   orb.Point // what was added to the drawing's coordinates, mm
	Places  int       // of the drawing on the grooves that were tried
	Assumed []string
	Reasons []string // findings about the table as a whole
	Notes   []Note   // of the drawing: what was closed or left out, and what the tool is too wide for
	// Smallest pump of the job's kind with which everything would hold, m3/h: in one pass, and with the care of each.
	// NaN: none is enough.
	PumpPlainM3h float64
	PumpCareM3h  float64
	Program      []byte // the dry run with the care of each item, in the first place
}

// Note is a remark on a place in the drawing.
type Note struct {
	Line    int
	Message string
}

// Care is what the ways mean, mm.
type Care struct {
	PassMM    float64 // deepest pass in one pass; 0: the whole thickness
	ClosingMM float64
	SkinMM    float64
	Tabs      int
	TabWideMM float64
	TabHighMM float64
}

// holds tells whether a piece of a checked program keeps the required margin.
func holds(p *result.Piece) bool { return p.State == result.StateHeld }

// trialOf is how a piece fares.
func trialOf(p *result.Piece) Trial {
	t := Trial{Tried: true, Holds: holds(p), Margin: p.Least.Margin, Low: p.Least.Low, High: p.Least.High,
		Mode: p.Least.Mode, HoldN: p.Least.HoldN, LoadN: p.Least.LoadN}
	switch {
	case p.State == result.StateSliver:
		t.Why = "smaller than the tool, can be thrown"
	case p.State == result.StateUnknown:
		t.Why = "no load could be computed"
	case !t.Holds && p.HeldAreaMM2 == 0:
		t.Why = "over no open zone"
	}
	return t
}

// worse tells whether a trial is nearer to coming loose than another.
func (t Trial) worse(o Trial) bool {
	if t.Holds != o.Holds {
		return o.Holds
	}
	if math.IsNaN(t.Margin) != math.IsNaN(o.Margin) {
		return math.IsNaN(t.Margin)
	}
	return t.Margin < o.Margin
}
