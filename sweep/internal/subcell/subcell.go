// Package subcell decides what a cell is too coarse for: bridges and gaps narrower than it.
//
//	+-----+-----+      a place where the cells say that sets part, or that a standing cell alone joins them, is swept
//	|/////|     |      again on a grid of 15 x 15 cells for each cell, in a window that grows until the answer stays;
//	|///::|::///|      the widest path between the two sides (widest in time) tells when the last bridge goes
//	+-----+-----+
//
// A bridge narrower than a tenth of a cell may be missed, and so may one thinner than a cell that runs on for more than
// twelve cells: the piece comes free too early then, never too late. A gap narrower than a fifteenth of a cell counts
// as closed. Beyond a bound of work the answer of the cells stands, which is told.
package subcell

import (
	"staydown/sweep/internal/pieces"
	"staydown/sweep/internal/plan"
	"staydown/sweep/internal/raster"
)

// Bridges finds the true moments of the splits that a merge tree tells.
type Bridges struct {
	s      *plan.Setup
	c      *raster.Cells
	f      *pieces.MergeTree
	near   *plan.MoveIndex
	held   map[uint32]raster.Tick // cells that stand for a bridge, with the moment it goes
	seen   map[uint32]bool        // places looked at
	shift  map[uint32]raster.Tick // moments of splits that were set right without putting the sets together anew
	capped bool
	work   int64 // fine cells times moves
}

// New begins with no place looked at.
func New(s *plan.Setup, c *raster.Cells, near *plan.MoveIndex) *Bridges {
	return &Bridges{s: s, c: c, near: near}
}

// Where a raster says that two grown sets come apart, a bridge thinner than a cell may still join them: a cut that
// stops a tenth of a millimeter short of its own beginning leaves one, and no cell's center need lie on it. So each
// place where a piece would come free is swept again on a local grid with fineness x fineness cells for each cell, over
// a window that grows until the answer stays. On it the widest path between the two sides (widest in time) tells when
// the last bridge really goes. Bound: a bridge narrower than sqrt(2)/fineness of a cell, a tenth of it, may be missed.
const (
	fineness    = 15 // odd: the center of a cell is then the center of one of its parts
	firstWindow = 4  // least half width of the window, cells
	lastWindow  = 24
	// lastCandidateWindow is the same for necks: bridges thinner than a cell and longer than this count as cut.
	lastCandidateWindow = 12
	maxRounds           = 24
	// places looked at; beyond, the raster's answer stands (pieces then come free rather too early)
	maxRefined  = 1 << 13
	maxFineWork = 1 << 32 // fine cells times moves near them, over all places: some ten seconds
	// nearTicks is how far the moment may move without the sets being put together anew.
	nearTicks = 8 * raster.TicksPerCell
)
