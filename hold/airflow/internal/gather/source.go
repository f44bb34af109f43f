package gather

import (
	"errors"
	"slices"

	"github.com/paulmach/orb"
	"github.com/paulmach/orb/planar"

	"staydown/hold/airflow/internal/cells"
	"staydown/sweep"
)

// Source is what the model reads of a sweep.
type Source struct {
	Grid   sweep.Grid
	Stock  sweep.Stock
	Pieces []sweep.Piece
	// Read fills the cells from up to, but without, to of one row: the moment each is cut through (sweep.Never if it
	// is not), its label (0 where nothing lay from the start), and how deep the layer below it is cut in the end, mm.
	// A slice is as long as a row, or nil and left out. From is 0 or the end of a stretch.
	Read func(from, to, iy int, cut []sweep.Progress, label []int32, depthMM []float32)
	// Heights fills one row with what work that breathes needs to know: the height left in the end (mm), the moment
	// from which each cell is a web (that of its cut if it never is one), and its least height as one (0 if it never is
	// one). A slice may not be nil.
	Heights func(iy int, left []float32, webFrom []sweep.Progress, webMM []float32)
	Drilled []int   // moves that cut through going straight down only, rising
	FloorMM float64 // the lowest floor above web height that the program leaves anywhere, 0 for none
	// Stretch gives the end of a stretch of cells of a row, from ix on; alike tells that read gives the same for all of
	// them.
	Stretch func(ix, iy int) (to int, alike bool)
	PieceAt func(label int32, p sweep.Progress) int32
}

func FromRecord(rec *sweep.Record) (Source, error) {
	if rec == nil {
		return Source{}, errors.New("there is no record of a sweep to compute the pressure from")
	}
	return Source{
		Grid: rec.Grid, Stock: rec.Stock, Pieces: rec.Pieces,
		Read: func(from, to, iy int, cut []sweep.Progress, label []int32, depthMM []float32) {
			rec.PartOfRow(from, to, iy, sweep.RowCells{Cut: cut, Label: label, DepthMM: depthMM})
		},
		Heights: func(iy int, left []float32, webFrom []sweep.Progress, webMM []float32) {
			rec.Row(iy, sweep.RowCells{HeightMM: left})
			rec.WebRow(iy, webFrom, webMM)
		},
		Drilled: Drilled(rec),
		FloorMM: lowestFloorMM(rec),
		Stretch: rec.Stretch,
		PieceAt: rec.PieceAt,
	}, nil
}

// stretchAt gives the beginning of the stretch of cells of a row that one is in; 0 for the ghost cell before the row.
func (s *Source) stretchAt(ix, iy int) (from int) {
	for from < ix {
		to, _ := s.Stretch(from, iy)
		if to > ix {
			break
		}
		from = to
	}
	return from
}

// lowestFloorMM is the least height above webs that a cut leaves; of all heights if the record does not tell when cells
// become webs.
func lowestFloorMM(rec *sweep.Record) float64 {
	above := sweep.ThroughMM
	if rec.WebsKept {
		above = rec.WebMM
	}
	lowest := 0.0
	for i := range rec.Steps.Len() {
		s := rec.Steps.At(i)
		floor := float64(s.LowMM) - rec.Stock.BottomMM
		if s.Flags&sweep.Rub == 0 && floor > above && (lowest == 0 || floor < lowest) {
			lowest = floor
		}
	}
	return lowest
}

// Drilled lists the moves that cut through the stock going straight down only: what follows them is neither a cut
// sideways in the next move nor in the one after a pause.
func Drilled(rec *sweep.Record) []int {
	var moves []int
	for i := range rec.Steps.Len() {
		s := rec.Steps.At(i)
		const down = sweep.Plunge | sweep.Breakthrough
		if s.Flags&down != down {
			continue
		}
		sideways := false
		for k := i + 1; k < rec.Steps.Len() && rec.Steps.At(k).Move <= s.Move+2; k++ {
			sideways = sideways || rec.Steps.At(k).Flags&(sweep.Plunge|sweep.Retract|sweep.Rub) == 0
		}
		if !sideways {
			moves = append(moves, int(s.Move))
		}
	}
	return slices.Compact(moves)
}

// wayOfStart tells how air gets in at a place where nothing ever lay.
func wayOfStart(stock sweep.Stock, x, y float64) cells.Way {
	for _, blank := range stock.Blanks {
		for _, hole := range blank.Outline[min(1, len(blank.Outline)):] {
			if planar.RingContains(hole, orb.Point{x, y}) {
				return cells.Holes
			}
		}
	}
	return cells.Bare
}
