package sweep

import (
	"github.com/paulmach/orb"
)

// Progress is a moment of the program: the index of a move plus the fraction of it that is done. Whole numbers
// are ends of moves: 3.0 is the start of move 3. Never means "not in this program".
type Progress float64

// Never is later than every moment of a program.
const Never Progress = 1e18

// Move gives the index of the move that is under way.
func (p Progress) Move() int { return int(p) }

// Grid places cells in program coordinates. Cell (ix, iy) has its centre at
// (OriginX + (ix+0.5) CellMM, OriginY + (iy+0.5) CellMM).
type Grid struct {
	OriginX, OriginY float64 // mm, lower left corner of cell (0, 0)
	CellMM           float64
	NX, NY           int
}

// StepFlags tell what kind of cutting a step does.
type StepFlags uint16

const (
	FullWidth    StepFlags = 1 << iota // material on both sides of the cutter
	Plunge                             // the tool goes down without (or nearly without) sideways motion
	Breakthrough                       // the step removes the last material of at least one cell
	Rub                                // nothing is removed, but a wall or floor is touched again
	LeftWall                           // material remains on the left of the feed direction
	RightWall                          // material remains on the right of the feed direction
	ChuckCut                           // the tool tip is in the layer
	RapidCut                           // a rapid move goes through material
	OverReach                          // the cut is deeper than the tool's reach
	Retract                            // the tool moves up through what it touches
)

// Step is a stretch of one move over which the cut stays the same (within mergeCells cells at its sides and
// mergeHeightMM in height). Stretches in the air, or where nothing is touched, have no step.
//
// Angles are those of the cutter seen from above, counter-clockwise from the feed direction: a full slot is
// engaged from -pi/2 (right) to +pi/2 (left), material on the left half only from 0 to pi/2. A plunge is engaged
// all round, from -pi to +pi, and its angles are counted from the +X axis.
type Step struct {
	Move     int32   // index of the move
	From, To float32 // fractions of the move, From < To (equal for an instant)
	Flags    StepFlags

	RightRad, LeftRad float32 // the arc of engagement: from RightRad up to LeftRad
	LowMM, HighMM     float32 // Z of the lowest and highest material removed (of the wall touched, for Rub)
	WidthMM           float32 // radial width of cut
	TipMM             float32 // lowest Z of the tool tip
	OverMM            float32 // how much deeper than the tool's reach below the top of the stock; 0 if not
	touched           uint32  // index in Record.touched
	VolumeMM3         float64 // removed in this step
}

// Class tells parts from offcuts.
type Class uint8

const (
	Part   Class = iota // a piece that the tool cannot throw about on its own account of size
	Sliver              // a piece smaller than the tool that freed it, or narrower than half of it: it can be thrown
	Slug                // a round or compact offcut from the inside of a closed cut, smaller than that tool
)

// Piece is a part of the stock that no full-thickness material joins to any other.
//
// Ids start at 1. Ids 1..len(blanks) are the blanks as they lie at the start; the others are numbered in the
// order they are freed. When a piece splits, the largest fragment that reaches the rim of the blank keeps its id
// (for a piece already freed: the largest fragment); the others are new pieces.
type Piece struct {
	ID     int
	Parent int      // id of the piece it was cut from; 0 for a blank
	Freed  Progress // moment the last material round it goes; 0 for a blank
	Class  Class
	// Outline (mm, with holes), AreaMM2 (of the cells) and Centroid (mm) are those at the moment it is freed (a blank:
	// at the start). What goes in the plunge that frees it is no part of it.
	Outline  orb.MultiPolygon
	AreaMM2  float64
	Centroid orb.Point
	// TopMM is the highest Z of the piece at that moment; VolumeMM3 its volume then. Where it is machined after
	// that, the heights at the end count (those of cells cut through later: as they were before).
	TopMM     float64
	VolumeMM3 float64
	// FinalAreaMM2 is what is left of it at the end of the program, after other cuts went into it.
	FinalAreaMM2 float64
	// Hung is the moment from which only necks join it to its surroundings: all that is left round it is below web
	// height, or its section is a neck (Options.Neck). Never if it goes free without.
	Hung Progress
	// WebMM2 is its section then; of a piece that hangs to the end, at the end.
	WebMM2 float64
	// Sections tell what joins it, from when that is a neck until it is freed or to the end of the program (At: Never),
	// each less than the one before. Between two of them the section lies between theirs. Empty for blanks, and for
	// pieces that came free along no line round them.
	Sections []Section
}

// Record is all that a sweep learned. It is read-only after Run.
type Record struct {
	Grid   Grid
	Stock  Stock
	Steps  []Step  // in order of Progress
	Pieces []Piece // Pieces[i].ID == i+1
	// Hanging lists the indices in Pieces of those that only necks hold at the end. Such a piece has Freed == Never and
	// an id after those of all freed pieces; its area and outline are those of its body, without the necks.
	Hanging []int

	WebMM      float64 // material at or below this height counts as a web
	WebsKept   bool    // Options.KeepWebs
	RemovedMM3 float64
	StockMM3   float64 // at the start
	// Assumed lists every value that Run chose for want of one given, in words.
	Assumed []string

	cells   cells     // what is known of each cell
	touched [][]int32 // the lists of pieces that steps touch, each once
}

// Touched gives the ids of the pieces whose material the cutter touches in a step (walls and floor), in rising order,
// as they stand at the end of the step: a step that frees a piece lists the freed piece too. The list must not be
// changed.
func (r *Record) Touched(s *Step) []int32 { return r.touched[s.touched] }
