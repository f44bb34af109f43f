// Package plan settles what a sweep needs before the first move: it checks stock, moves and tools against the bounds
// of the sweep, chooses the cell for the memory given, and finds the moves near a place.
//
//	options, stock, moves, tools  ->  Setup{grid, cutters, web height, chord}  ->  MoveIndex
//
// It knows the moves and the tools, but not what they leave. Errors are those of the input: each names the line of the
// move that is to blame, where there is one (Error). The memory is an estimate from the tiles that the paths touch; it
// counts a tile once and leaves out what single pieces and steps take.
package plan

import (
	"fmt"
	"math"
	"runtime"
	"sort"

	"staydown/parse"
	"staydown/sweep/internal/raster"
	"staydown/sweep/internal/shape"
)

// Error tells why a sweep was not possible, and where in the program if a move is to blame.
type Error struct {
	Line    int // 1-based; 0 when no block is to blame
	Message string
}

func (e *Error) Error() string {
	if e.Line > 0 {
		return fmt.Sprintf("%d: %s", e.Line, e.Message)
	}
	return e.Message
}

func faultf(line int32, format string, args ...any) error {
	return &Error{Line: int(line), Message: fmt.Sprintf(format, args...)}
}

// Setup is what Run settles before the first move.
type Setup struct {
	Opt     Options
	Stock   raster.Stock
	Moves   *parse.Moves
	Cutters map[int32]*shape.Cutter
	Grid    raster.Grid
	Top     float64 // highest upper face above the table side, mm
	Largest float64 // largest diameter in use, mm
	Chord   float64 // how far chords may stray from an arc, mm
	Assumed []string
}

func Prepare(moves *parse.Moves, tools map[int]shape.Tool, stock raster.Stock, opt Options) (*Setup, error) {
	s := &Setup{Opt: opt, Stock: stock, Moves: moves, Cutters: map[int32]*shape.Cutter{}}
	if s.Opt.Jobs <= 0 {
		s.Opt.Jobs = runtime.GOMAXPROCS(0)
	}
	if s.Opt.MemoryBytes <= 0 {
		s.Opt.MemoryBytes = defaultMemory
	}
	if err := s.checkStock(); err != nil {
		return nil, err
	}
	if err := s.checkMoves(); err != nil {
		return nil, err
	}
	if err := s.checkTools(tools); err != nil {
		return nil, err
	}
	if err := s.chooseWeb(); err != nil {
		return nil, err
	}
	err := s.chooseCell()
	s.Chord = s.Grid.CellMM / chordPart
	return s, err
}

func (s *Setup) checkStock() error {
	if len(s.Stock.Blanks) == 0 {
		return faultf(0, "the stock has no blank; give at least one outline")
	}
	if len(s.Stock.Blanks) > maxBlanks {
		return faultf(0, "the stock has %d blanks; at most %d are possible", len(s.Stock.Blanks), maxBlanks)
	}
	vertices := 0
	for i, b := range s.Stock.Blanks {
		h := b.TopMM - s.Stock.BottomMM
		if !(h > raster.ThroughMM) || h > raster.MaxHeightMM {
			return faultf(0, "blank %d is %g mm thick; its upper face must lie above its lower one, by at most %d mm",
				i+1, h, raster.MaxHeightMM)
		}
		s.Top = max(s.Top, h)
		if len(b.Outline) == 0 || len(b.Outline[0]) < 3 {
			return faultf(0, "blank %d has no outline; give at least three corners", i+1)
		}
		for _, ring := range b.Outline {
			vertices += len(ring)
			for _, p := range ring {
				if !(math.Abs(p[0]) <= maxCoordMM && math.Abs(p[1]) <= maxCoordMM) {
					return faultf(0, "blank %d has a corner at %g, %g mm; coordinates go up to %g mm", i+1, p[0], p[1],
						maxCoordMM)
				}
			}
		}
	}
	if vertices > maxVertices {
		return faultf(0, "the outlines of the stock have %d corners; at most %d are possible", vertices, maxVertices)
	}
	return nil
}

func (s *Setup) checkMoves() error {
	if s.Moves.Len() > maxMoves {
		return faultf(0, "the program has %d moves; at most %d are possible", s.Moves.Len(), maxMoves)
	}
	for i := range s.Moves.Len() {
		m := s.Moves.At(i)
		for _, v := range [...]float64{m.Start.X, m.Start.Y, m.Start.Z, m.End.X, m.End.Y, m.End.Z} {
			if !(math.Abs(v) <= maxCoordMM) {
				return faultf(m.Line, "the move goes to a coordinate of %g mm; coordinates go up to %g mm", v,
					maxCoordMM)
			}
		}
		if m.Kind != parse.Arc {
			continue
		}
		if r := m.RadiusMM(); !(r <= maxCoordMM) || !(math.Abs(m.TurnRad)*math.Sqrt(r+1) <= 2e4) {
			return faultf(m.Line, "the arc of radius %g mm turns by %g rad; it is too long to follow", r, m.TurnRad)
		}
	}
	return nil
}

// checkTools builds the cutters of all tools that come below the highest face of the stock.
func (s *Setup) checkTools(tools map[int]shape.Tool) error {
	low := s.Stock.BottomMM + s.Top
	for i := range s.Moves.Len() {
		m := s.Moves.At(i)
		if s.Cutters[m.Tool] != nil || m.Kind == parse.Dwell || m.LowestZ() >= low {
			continue
		}
		t, ok := tools[int(m.Tool)]
		if !ok && m.Tool == 0 && len(tools) == 1 {
			for _, t = range tools {
				ok = true
			}
			s.Assumed = append(s.Assumed, fmt.Sprintf("tool %d is in the spindle at the start: the program cuts "+
				"before it calls a tool", t.Number))
		}
		if !ok {
			return faultf(m.Line, "tool %d goes below the top of the stock but is not described; add it to the tools "+
				"of the job", m.Tool)
		}
		if !(t.DiameterMM > 0) || t.DiameterMM > raster.MaxHeightMM {
			return faultf(m.Line, "tool %d has a diameter of %g mm; give one above 0", m.Tool, t.DiameterMM)
		}
		if t.Shape > shape.Drill {
			return faultf(m.Line, "tool %d has an unknown shape", m.Tool)
		}
		if (t.Shape == shape.Vee || t.Shape == shape.Drill) && !(t.AngleRad > 0.01 && t.AngleRad <= math.Pi) {
			return faultf(m.Line, "tool %d has a point angle of %.4g deg; give the included angle, above 0 and up to "+
				"180 deg", m.Tool, t.AngleRad*180/math.Pi)
		}
		if t.Shape == shape.Bull && !(t.CornerMM >= 0 && t.CornerMM <= t.DiameterMM/2) {
			return faultf(m.Line, "tool %d has a corner radius of %g mm; it lies between 0 and half the diameter",
				m.Tool, t.CornerMM)
		}
		s.Cutters[m.Tool] = shape.NewCutter(t)
		s.Largest = max(s.Largest, t.DiameterMM)
	}
	return nil
}

// chooseWeb settles the height of webs: half the thinnest blank, but no more than 3 mm, the height of usual tabs.
func (s *Setup) chooseWeb() error {
	if s.Opt.WebMM > 0 && s.Opt.WebMM < raster.MaxHeightMM {
		return nil
	}
	if s.Opt.WebMM != 0 {
		return faultf(0, "the web height is %g mm; give one above 0", s.Opt.WebMM)
	}
	thin := math.Inf(1)
	for _, b := range s.Stock.Blanks {
		thin = min(thin, b.TopMM-s.Stock.BottomMM)
	}
	s.Opt.WebMM = min(3, thin/2)
	s.Assumed = append(s.Assumed, fmt.Sprintf("material up to %.4g mm high counts as a web (half the thinnest "+
		"blank, at most 3 mm)", s.Opt.WebMM))
	return nil
}

// Smallest gives the tool of the smallest diameter in use, the lowest number of several; diameter 0 without tools.
func (s *Setup) Smallest() (tool int, diameterMM float64) {
	ids := make([]int, 0, len(s.Cutters))
	for id := range s.Cutters {
		ids = append(ids, int(id))
	}
	sort.Ints(ids)
	for _, id := range ids {
		if c := s.Cutters[int32(id)]; diameterMM == 0 || c.DiameterMM < diameterMM {
			tool, diameterMM = id, c.DiameterMM
		}
	}
	return tool, diameterMM
}

// Slits tells whether a tool goes sideways through the stock with so slim a tip that its cut may lie between the cells'
// centres all along.
func (s *Setup) Slits() bool {
	for i := range s.Moves.Len() {
		m := s.Moves.At(i)
		tool := s.Cutters[m.Tool]
		if tool == nil || m.Kind != parse.Arc && math.Hypot(m.End.X-m.Start.X, m.End.Y-m.Start.Y) < s.Grid.CellMM {
			continue
		}
		// Negative where the tip stays in the stock.
		if r := tool.Within(s.Stock.BottomMM + raster.ThroughMM - m.LowestZ()); r >= 0 && 2*r < s.Grid.CellMM {
			return true
		}
	}
	return false
}

// Options are what the setup is made from; zero values are chosen.
type Options struct {
	CellMM      float64 // 0: chosen from the smallest tool, the stock and MemoryBytes
	WebMM       float64 // material at or below this height counts as web; 0: chosen from the stock
	MemoryBytes int64   // for the cells; 0: 512 MiB
	Jobs        int     // workers; 0: as many as processors
	LayerMM     float64 // thickness of the layer below the stock; 0: not told
}

// Limits of what a sweep takes on. Lengths in mm.
const (
	// chordPart bounds the deviation of the chords that stand for an arc: a cell's width divided by it.
	chordPart = 64

	maxCoordMM    = 1e7       // of a coordinate
	maxCells      = 1 << 30   // in the bounding box of the stock
	maxTileSlots  = 1 << 21   // tiles with memory
	maxMoves      = 1 << 27   // moves of a program
	maxVertices   = 1 << 20   // of all outlines of the stock
	maxBlanks     = 1 << 12   // blanks on the table
	minCellMM     = 0.01      // finest cell accepted
	maxCellMM     = 50        // coarsest cell accepted
	defaultMemory = 512 << 20 // bytes, when none is given
)
