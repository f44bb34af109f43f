package sweep

import (
	"fmt"
	"math"
	"runtime"
	"sort"

	"staydown/parse"
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

func fault(line int32, format string, args ...any) error {
	return &Error{Line: int(line), Message: fmt.Sprintf(format, args...)}
}

// setup is what Run settles before the first move.
type setup struct {
	opt     options
	stock   Stock
	moves   *parse.Moves
	cutters map[int32]*cutter
	grid    Grid
	top     float64 // highest upper face above the table side, mm
	largest float64 // largest diameter in use, mm
	chord   float64 // how far chords may stray from an arc, mm
	assumed []string
}

func prepare(moves *parse.Moves, tools map[int]Tool, stock Stock, opt options) (*setup, error) {
	s := &setup{opt: opt, stock: stock, moves: moves, cutters: map[int32]*cutter{}}
	if s.opt.Jobs <= 0 {
		s.opt.Jobs = runtime.GOMAXPROCS(0)
	}
	if s.opt.MemoryBytes <= 0 {
		s.opt.MemoryBytes = defaultMemory
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
	s.chord = s.grid.CellMM / chordPart
	return s, err
}

func (s *setup) checkStock() error {
	if len(s.stock.Blanks) == 0 {
		return fault(0, "the stock has no blank; give at least one outline")
	}
	if len(s.stock.Blanks) > maxBlanks {
		return fault(0, "the stock has %d blanks; at most %d are possible", len(s.stock.Blanks), maxBlanks)
	}
	vertices := 0
	for i, b := range s.stock.Blanks {
		h := b.TopMM - s.stock.BottomMM
		if !(h > ThroughMM) || h > maxHeightMM {
			return fault(0, "blank %d is %g mm thick; its upper face must lie above its lower one, by at most %d mm",
				i+1, h, maxHeightMM)
		}
		s.top = max(s.top, h)
		if len(b.Outline) == 0 || len(b.Outline[0]) < 3 {
			return fault(0, "blank %d has no outline; give at least three corners", i+1)
		}
		for _, ring := range b.Outline {
			vertices += len(ring)
			for _, p := range ring {
				if !(math.Abs(p[0]) <= maxCoordMM && math.Abs(p[1]) <= maxCoordMM) {
					return fault(0, "blank %d has a corner at %g, %g mm; coordinates go up to %g mm", i+1, p[0], p[1],
						maxCoordMM)
				}
			}
		}
	}
	if vertices > maxVertices {
		return fault(0, "the outlines of the stock have %d corners; at most %d are possible", vertices, maxVertices)
	}
	return nil
}

func (s *setup) checkMoves() error {
	if s.moves.Len() > maxMoves {
		return fault(0, "the program has %d moves; at most %d are possible", s.moves.Len(), maxMoves)
	}
	for i := range s.moves.Len() {
		m := s.moves.At(i)
		for _, v := range [...]float64{m.Start.X, m.Start.Y, m.Start.Z, m.End.X, m.End.Y, m.End.Z} {
			if !(math.Abs(v) <= maxCoordMM) {
				return fault(m.Line, "the move goes to a coordinate of %g mm; coordinates go up to %g mm", v,
					maxCoordMM)
			}
		}
		if m.Kind != parse.Arc {
			continue
		}
		if r := m.RadiusMM(); !(r <= maxCoordMM) || !(math.Abs(m.TurnRad)*math.Sqrt(r+1) <= 2e4) {
			return fault(m.Line, "the arc of radius %g mm turns by %g rad; it is too long to follow", r, m.TurnRad)
		}
	}
	return nil
}

// checkTools builds the cutters of all tools that come below the highest face of the stock.
func (s *setup) checkTools(tools map[int]Tool) error {
	low := s.stock.BottomMM + s.top
	for i := range s.moves.Len() {
		m := s.moves.At(i)
		if s.cutters[m.Tool] != nil || m.Kind == parse.Dwell || m.LowestZ() >= low {
			continue
		}
		t, ok := tools[int(m.Tool)]
		if !ok && m.Tool == 0 && len(tools) == 1 {
			for _, t = range tools {
				ok = true
			}
			s.assumed = append(s.assumed, fmt.Sprintf("tool %d is in the spindle at the start: the program cuts "+
				"before it calls a tool", t.Number))
		}
		if !ok {
			return fault(m.Line, "tool %d goes below the top of the stock but is not described; add it to the tools "+
				"of the job", m.Tool)
		}
		if !(t.DiameterMM > 0) || t.DiameterMM > maxHeightMM {
			return fault(m.Line, "tool %d has a diameter of %g mm; give one above 0", m.Tool, t.DiameterMM)
		}
		if t.Shape > Drill {
			return fault(m.Line, "tool %d has an unknown shape", m.Tool)
		}
		if (t.Shape == Vee || t.Shape == Drill) && !(t.AngleRad > 0.01 && t.AngleRad <= math.Pi) {
			return fault(m.Line, "tool %d has a point angle of %.4g deg; give the included angle, above 0 and up to "+
				"180 deg", m.Tool, t.AngleRad*180/math.Pi)
		}
		if t.Shape == Bull && !(t.CornerMM >= 0 && t.CornerMM <= t.DiameterMM/2) {
			return fault(m.Line, "tool %d has a corner radius of %g mm; it lies between 0 and half the diameter",
				m.Tool, t.CornerMM)
		}
		s.cutters[m.Tool] = &cutter{Tool: t, profile: newProfile(t)}
		s.largest = max(s.largest, t.DiameterMM)
	}
	return nil
}

// chooseWeb settles the height of webs: half the thinnest blank, but no more than 3 mm, the height of usual tabs.
func (s *setup) chooseWeb() error {
	if s.opt.WebMM > 0 && s.opt.WebMM < maxHeightMM {
		return nil
	}
	if s.opt.WebMM != 0 {
		return fault(0, "the web height is %g mm; give one above 0", s.opt.WebMM)
	}
	thin := math.Inf(1)
	for _, b := range s.stock.Blanks {
		thin = min(thin, b.TopMM-s.stock.BottomMM)
	}
	s.opt.WebMM = min(3, thin/2)
	s.assumed = append(s.assumed, fmt.Sprintf("material up to %.4g mm high counts as a web (half the thinnest "+
		"blank, at most 3 mm)", s.opt.WebMM))
	return nil
}

// smallest gives the tool of the smallest diameter in use, the lowest number of several; diameter 0 without tools.
func (s *setup) smallest() (tool int, diameterMM float64) {
	ids := make([]int, 0, len(s.cutters))
	for id := range s.cutters {
		ids = append(ids, int(id))
	}
	sort.Ints(ids)
	for _, id := range ids {
		if c := s.cutters[int32(id)]; diameterMM == 0 || c.DiameterMM < diameterMM {
			tool, diameterMM = id, c.DiameterMM
		}
	}
	return tool, diameterMM
}

// slits tells whether a tool goes sideways through the stock with so slim a tip that its cut may lie between the cells'
// centres all along.
func (s *setup) slits() bool {
	for i := range s.moves.Len() {
		m := s.moves.At(i)
		tool := s.cutters[m.Tool]
		if tool == nil || m.Kind != parse.Arc && math.Hypot(m.End.X-m.Start.X, m.End.Y-m.Start.Y) < s.grid.CellMM {
			continue
		}
		// Negative where the tip stays in the stock.
		if r := tool.within(s.stock.BottomMM + ThroughMM - m.LowestZ()); r >= 0 && 2*r < s.grid.CellMM {
			return true
		}
	}
	return false
}

// options are what the setup is made from; zero values are chosen.
type options struct {
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
