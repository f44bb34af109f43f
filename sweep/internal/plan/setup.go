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
	"sort"

	"staydown/parse"
	"staydown/parse/units"
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
// centers all along.
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
	KeepWebs    bool    // the moments at which cells become webs are kept
	MemoryBytes int64   // for the cells; 0: 512 MiB
	Jobs        int     // workers; 0: as many as processors
	LayerMM     float64 // thickness of the layer below the stock; 0: not told
	Units       units.System
}

// mm writes a length of a message.
func (s *Setup) mm(v float64) string { return s.Opt.Units.Length().Text(v) }

// Limits of what a sweep takes on. Lengths in mm.
const (
	// chordPart bounds the deviation of the chords that stand for an arc: a cell's width divided by it.
	chordPart = 64

	maxCoordMM    = 1e7       // of a coordinate
	maxCells      = 1 << 30   // in the bounding box of the stock
	maxTileSlots  = 1 << 23   // tiles with memory
	maxMoves      = 1 << 27   // moves of a program
	maxVertices   = 1 << 20   // of all outlines of the stock
	maxBlanks     = 1 << 12   // blanks on the table
	minCellMM     = 0.01      // finest cell accepted
	maxCellMM     = 50        // coarsest cell accepted
	defaultMemory = 512 << 20 // bytes, when none is given
)
