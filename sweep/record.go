package sweep

import (
	"staydown/sweep/internal/pieces"
	"staydown/sweep/internal/raster"
	"staydown/sweep/internal/removal"
)

// Record is all that a sweep learned. It is read-only after Run.
type Record struct {
	Grid   raster.Grid
	Stock  raster.Stock
	Steps  removal.Steps  // in order of Progress
	Pieces []pieces.Piece // Pieces[i].ID == i+1
	// Hanging lists the indices in Pieces of those that only necks hold at the end. Such a piece has Freed == Never and
	// an id after those of all freed pieces; its area and outline are those of its body, without the necks.
	Hanging []int

	WebMM      float64 // material at or below this height counts as a web
	WebsKept   bool    // Options.KeepWebs
	RemovedMM3 float64
	StockMM3   float64 // at the start
	// Assumed lists every value that Run chose for want of one given, in words.
	Assumed []string

	cells   *raster.Cells // what is known of each cell
	touched [][]int32     // the lists of pieces that steps touch, each once

	unjoined *unjoined // nil unless Options.KeepJoins
}

// Touched gives the ids of the pieces whose material the cutter touches in a step (walls and floor), in rising order,
// as they stand at the end of the step: a step that frees a piece lists the freed piece too. The list must not be
// changed.
func (r *Record) Touched(s *removal.Step) []int32 { return r.touched[s.TouchedList] }

// Settled is the moment at which everything that a step lists has happened: its end, or the moment that frees a piece
// it touches, if rounding puts that after its end.
func (r *Record) Settled(s *removal.Step) raster.Progress {
	at := s.End()
	for _, id := range r.Touched(s) {
		if freed := r.Pieces[id-1].Freed; freed < raster.Never {
			at = max(at, freed)
		}
	}
	return at
}
