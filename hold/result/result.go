package result

import (
	"math"

	"github.com/paulmach/orb"

	"staydown/hold/contact"
	"staydown/hold/job"
	"staydown/parse"
	"staydown/parse/units"
)

// Verdict sums up a program, from best to worst.
type Verdict uint8

const (
	Held Verdict = iota
	AtRisk
	Incomplete
	Loose
)

// String gives the word that the contract uses.
func (v Verdict) String() string { return [...]string{"held", "at-risk", "incomplete", "loose"}[v] }

// Mode is a way in which a piece comes loose; its String is the word that the contract uses.
type Mode = contact.Mode

const (
	NoMode = contact.None // nothing loads the piece
	Lift   = contact.Lift
	Slip   = contact.Slip
	Twist  = contact.Twist
	Tip    = contact.Tip
)

// Result is the result for one program. Times in seconds from the start of the program, lengths in mm, areas in mm2,
// forces in N, moments in N mm.
type Result struct {
	Program  ProgramFacts
	Grid     GridFacts
	Job      JobFacts
	Verdict  Verdict
	Margin   float64      // asked for, of the low end of each margin
	Chance   float64      // that at least one piece moves, with all shared causes; 0 to 1; NaN: not known
	Units    units.System // of messages, and of what people read
	Assumed  []string
	Records  []string // of Assumed: what of the shop's records the margins follow; nil: nothing
	Decisive []string // what those of Assumed that could change the verdict are about, in few words
	Actions  []Action // what to do for the whole program, the best first
	Pieces   []Piece
	Doubts   []Doubt   // the inputs that decide the ranges of the margins, the greatest share first
	LeakM3h  Leaks     // at the moment of least vacuum
	Findings []Finding // in order of line, then piece, then rule
	Timeline []Sample  // in order of time
	Tools    []ToolUse
	Entries  []Entry
	Kerf     Kerf
	Fields   []Field // the pressure under the stock at chosen moments, in order of time; at most MaxFields
	Vacuum   Vacuum
	Gauge    []Reading // what the vacuum gauge shows, in order of time; none for a program that was not fully read
}

// LeastPiece is the piece with the least margin, the lower id on ties; ok is false when nothing is loaded.
func (r *Result) LeastPiece() (least Piece, ok bool) {
	for _, p := range r.Pieces {
		if p.Least.Mode == NoMode || math.IsNaN(p.Least.Margin) {
			continue
		}
		if !ok || p.Least.Margin < least.Least.Margin {
			least, ok = p, true
		}
	}
	return least, ok
}

// Range is a doubtful figure: its 5, 50 and 95 % points. All three are equal where it is exact, Low and High are NaN
// where only the likely value is known.
type Range struct{ Low, Likely, High float64 }

// ShownActions is the number of actions that are shown where not all are asked for.
const ShownActions = 3

// Action is a change of the whole program or job, with what a run of the whole program says with it.
type Action struct {
	What        string
	Lines       []int // that it changes, in rising order
	Verdict     Verdict
	LeastMargin Range
	LeftLoose   []int // pieces that still come loose with it
}

// Doubt is an input whose range moves the margins. Low, Likely and High are in Unit.
type Doubt struct {
	Input  string
	Range  Range
	Unit   string
	Share  float64 // of the variance of the least margin, 0 to 1
	Source string
	// Slope is the change of the logarithm of that margin per normal score: from the likely value to the high one it is
	// some 1.645 times as much.
	Slope   float64
	Measure string // how a shop narrows it down; "" when it cannot
}

// Leaks is the leakage by path, m3/h of free air at ambient pressure. NaN: unknown.
type Leaks struct {
	Bare     float64 // bare table
	Kerfs    float64
	Holes    float64 // cut-outs of the stock, and what the tool cuts going straight down only
	Rim      float64 // of the stock
	Work     float64 // through the material
	LayerRim float64
	Gaskets  float64 // gasketed zones that are open
	Hoses    float64
}

// Event is the moment of a gauge reading.
type Event uint8

const (
	EventStart Event = iota
	EventTool        // tool change
	EventStop        // program stop
	EventFreed
	EventEnd
)

// String gives the word that the contract uses.
func (e Event) String() string { return [...]string{"start", "tool", "stop", "freed", "end"}[e] }

// Reading is what the vacuum gauge shows at an event, kPa below ambient.
type Reading struct {
	Event     Event
	Line      int
	TimeS     float64
	VacuumKPa Range
}

// MaxFields bounds the number of pressure pictures that a result carries.
const MaxFields = 12

// ProgramFacts describes the program that was read.
type ProgramFacts struct {
	Path          string // as given by the user, with forward slashes
	SHA256        string
	Lines, Blocks int
	DurationS     float64
	CutLengthMM   float64
}

// GridFacts describes the cells that the sweep used.
type GridFacts struct {
	CellMM float64
	NX, NY int
}

// JobFacts are the parts of the job that pictures and set-up sheets show.
type JobFacts struct {
	Path         string       // of the nearest of its files
	Sources      []job.Source // which file gives which values, the farthest first
	Material     string
	Layer        string // in words, with thickness; "none" for a bare gasketed chuck
	Pump         string // in words, with flow
	AlarmKPa     float64
	Tools        []ToolFacts // by number
	Zones        []ZoneFacts
	Clamps       []ObstacleFacts
	Fixtures     []ObstacleFacts
	Table        orb.Ring // beyond which the tool may not go; nil: not known
	StockOutline orb.MultiPolygon
	StockTopMM   float64
	StockLowMM   float64
}

// ObstacleFacts describes a clamp or a fixture.
type ObstacleFacts struct {
	Name      string // with its kind
	Footprint orb.Ring
}

// ToolFacts describes a tool.
type ToolFacts struct {
	Number     int
	Shape      string // the job file's word
	DiameterMM float64
	CornerMM   float64 // of a bull, else 0
	AngleRad   float64 // included angle of the point of a vee or drill, else 0
	Flutes     int
	HelixRad   float64 // negative: down-cut
}

// ZoneFacts describes one zone of the chuck.
type ZoneFacts struct {
	Name          string
	Area          orb.Polygon
	Gasket        bool
	Open          bool
	GroovePitchMM float64 // 0 without grooves
	GrooveWidthMM float64
	BareMM2       float64 // of an open zone: beside the stock
}

// State is the worst state of a piece over the whole program.
type State uint8

const (
	StateHeld State = iota
	StateAtRisk
	StateLoose
	StateSliver
	StateUnknown // no load could be computed
)

// String names the state.
func (s State) String() string {
	return [...]string{"held", "at risk", "loose", "sliver", "not known"}[s]
}

// Piece is one piece and the step at which it is nearest to coming loose.
type Piece struct {
	ID           int
	Freed        bool // false for the stock
	State        State
	AreaMM2      float64 // at the moment it is freed; of the stock at the start
	FinalAreaMM2 float64 // what is left of that area at the end of the program
	HeldAreaMM2  float64 // smallest, while it is loaded
	Centroid     orb.Point
	SizeMM       [2]float64 // along X and Y, of what is left at the end; of the stock at the start
	Chance       float64    // that it moves, 0 to 1; NaN: not known
	Alike        int        // pieces of the same shape and fate, itself counted; 0: not known
	Shape        int        // lowest id of the pieces of the same outline, up to translation and quarter turns
	Outline      orb.MultiPolygon
	FreedLine    int // 0 for the stock
	FreedTimeS   float64
	RetractLine  int // first block from FreedLine on that always ends with the tool out of the stock; 0: none
	WebLine      int // block from which only webs hold it; 0 if it never hangs on webs
	WebTimeS     float64
	WebMM2       float64 // its smallest section
	Least        Least
}

// Least is the worst check of a piece.
type Least struct {
	Mode   Mode
	Margin float64 // the likely one; +Inf when nothing loads the piece
	Low    float64 // 5 % point of the margin; NaN: not known
	High   float64 // 95 % point of the margin; NaN: not known
	Line   int
	TimeS  float64
	HoldN  float64
	LoadN  float64
}

// Finding is a fact that the user must know, tied to a block.
type Finding struct {
	Line   int // 1-based, the first block concerned; 0 when it concerns the whole program
	Column int // 1-based, bytes; 0 for unknown
	// Number is the N word of that block, as in "N120", which Message names at its end; "" where it has none.
	Number string
	TimeS  float64
	// LastLine and LastTimeS end the stretch of blocks over which the finding lasts; equal to Line and TimeS when
	// it is one block.
	LastLine  int
	LastTimeS float64
	WorstLine int // block of the least margin; Line where the rule has no margin
	// WorstNumber is the N word of that block; "" where it has none.
	WorstNumber string
	Piece       int // 0 when no piece is concerned
	Rule        string
	Level       Level
	Mode        Mode
	Margin      float64 // the likely one; NaN when the rule has none
	Low         float64 // 5 % point of the margin; NaN: not known
	High        float64 // 95 % point of the margin; NaN: not known
	Chance      float64 // that the piece moves, at its least margin; NaN at others or where it is not known
	Decides     string  // input with the greatest share in the doubt of that margin, at that margin; "": none
	HoldN       float64 // NaN when the rule has none
	LoadN       float64 // NaN when the rule has none
	Tool        int
	Within      parse.Pos // place in a subprogram file beside the program, which Message then begins with; else zero
	Message     string    // without file, line and rule
	Remedy      string    // verified by the model; "" when there is none
	// EaseFeedMMMin is the feed, a whole number in the program's units, at which the blocks from Line to LastLine hold,
	// as in Remedy; 0 when none does.
	EaseFeedMMMin float64
	At            orb.Point
	HasAt         bool
	// Unresolved: the model does not cover the piece. The program is at least at risk.
	Unresolved bool
}

// Sample is the state of the table at one moment.
type Sample struct {
	TimeS        float64
	Line         int
	Tool         int
	HeldAreaMM2  float64 // all pieces
	StockHeldMM2 float64 // of that, what still belongs to the stock (piece 1)
	FreedPieces  int
	VacuumKPa    float64 // below ambient
	LeakM3h      float64 // free air at ambient
	LeastMargin  float64 // the likely one, over all pieces, since the last sample; +Inf when nothing is loaded
	LeastLow     float64 // 5 % point of that piece's margin then
	LeastHigh    float64 // 95 % point
}

// ToolUse is a stretch of the program with one tool.
type ToolUse struct {
	Tool       int
	Line       int
	FromS, ToS float64
}

// Entry is a place where a tool goes into the material from above.
type Entry struct {
	At    orb.Point
	Tool  int
	Line  int
	TimeS float64
}

// Kerf is what the tools cut of the stock by the end of the program, on a raster coarse enough to look at. A cell
// counts as cut, and as cut through, when at least half of it is, so that an edge is off by up to half a cell.
type Kerf struct {
	OriginX, OriginY float64 // mm, lower left corner
	CellMM           float64
	NX, NY           int
	// time of cutting through, s, row by row from the lowest Y; +Inf: cut partway, NaN: not cut
	ThroughS []float32
}

// Field is the pressure difference that presses material on the table, on a coarse raster, at one moment.
type Field struct {
	TimeS            float64
	OriginX, OriginY float64
	CellMM           float64
	NX, NY           int
	KPa              []float32 // row by row from the lowest Y; NaN where no material lies
}

// Vacuum are the operating figures of pump and alarm. Pressures in kPa below ambient, unless noted. All are NaN for a
// program that was not fully read.
type Vacuum struct {
	AmbientKPa       float64 // absolute
	StartKPa         float64
	LeastKPa         float64
	LeastLine        int            // block at which it is first that low; 0 before the first cut
	AlarmSetpointKPa float64        // lowest at which every block keeps the margin asked for; NaN when none exists
	NeverBelowKPa    float64        // lowest at which every block keeps margin 1; NaN when none exists
	Settings         []AlarmSetting // by tool change and stop, where no single setpoint exists
	PumpNeededM3h    float64        // NaN when no size of the same kind is enough
}

// AlarmSetting is the alarm setting from one tool change or stop to the next. Pressures in kPa below ambient; NaN if a
// block of the interval needs more than the predicted vacuum.
type AlarmSetting struct {
	Line          int // of the tool change or stop; of the first move for the first
	SetKPa        float64
	NeverBelowKPa float64
}

// Known reports whether there are operating figures; there are none for a program that was not fully read.
func (v Vacuum) Known() bool { return !math.IsNaN(v.LeastKPa) }

// Risky reports whether the finding concerns a margin below the required one.
func (f Finding) Risky() bool { return f.Level >= LevelWarning && !math.IsNaN(f.Margin) }

// LeastFeedShare bounds proposed feeds, as a share of the programmed one: below, a cutter rubs more than it cuts.
const LeastFeedShare = 0.2
