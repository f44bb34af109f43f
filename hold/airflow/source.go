package airflow

import (
	"errors"
	"slices"

	"github.com/paulmach/orb"
	"github.com/paulmach/orb/planar"

	"staydown/sweep"
)

// source is what the model reads of a sweep.
type source struct {
	grid   sweep.Grid
	stock  sweep.Stock
	pieces []sweep.Piece
	// read fills one row of cells: the moment each is cut through (sweep.Never if it is not), its label (0 where
	// nothing lay from the start), and how deep the layer below it is cut in the end, mm. A slice that is nil is left
	// out.
	read func(iy int, cut []sweep.Progress, label []int32, depthMM []float32)
	// heights fills one row with what work that breathes needs to know: the height left in the end (mm), the moment
	// from which each cell is a web (that of its cut if it never is one), and its least height as one (0 if it never is
	// one). A slice may not be nil.
	heights func(iy int, left []float32, webFrom []sweep.Progress, webMM []float32)
	drilled []int   // moves that cut through going straight down only, rising
	floorMM float64 // the lowest floor above web height that the program leaves anywhere, 0 for none
	// stretch gives the end of a stretch of cells of a row, from ix on; alike tells that read gives the same for all of
	// them.
	stretch func(ix, iy int) (to int, alike bool)
	pieceAt func(label int32, p sweep.Progress) int32
}

func recordSource(rec *sweep.Record) (source, error) {
	if rec == nil {
		return source{}, errors.New("there is no record of a sweep to compute the pressure from")
	}
	return source{
		grid: rec.Grid, stock: rec.Stock, pieces: rec.Pieces,
		read: func(iy int, cut []sweep.Progress, label []int32, depthMM []float32) {
			rec.Row(iy, nil, cut, label, depthMM)
		},
		heights: func(iy int, left []float32, webFrom []sweep.Progress, webMM []float32) {
			rec.Row(iy, left, nil, nil, nil)
			rec.WebRow(iy, webFrom, webMM)
		},
		drilled: drilled(rec),
		floorMM: lowestFloorMM(rec),
		stretch: rec.Stretch,
		pieceAt: rec.PieceAt,
	}, nil
}

// lowestFloorMM is the least height above webs that a cut leaves; of all heights if the record does not tell when cells
// become webs.
func lowestFloorMM(rec *sweep.Record) float64 {
	above := sweep.ThroughMM
	if rec.WebsKept {
		above = rec.WebMM
	}
	lowest := 0.0
	for i := range rec.Steps {
		s := &rec.Steps[i]
		floor := float64(s.LowMM) - rec.Stock.BottomMM
		if s.Flags&sweep.Rub == 0 && floor > above && (lowest == 0 || floor < lowest) {
			lowest = floor
		}
	}
	return lowest
}

// drilled lists the moves that cut through the stock going straight down only: what follows them is neither a cut
// sideways in the next move nor in the one after a pause.
func drilled(rec *sweep.Record) []int {
	var moves []int
	for i := range rec.Steps {
		s := &rec.Steps[i]
		const down = sweep.Plunge | sweep.Breakthrough
		if s.Flags&down != down {
			continue
		}
		sideways := false
		for k := i + 1; k < len(rec.Steps) && rec.Steps[k].Move <= s.Move+2; k++ {
			sideways = sideways || rec.Steps[k].Flags&(sweep.Plunge|sweep.Retract|sweep.Rub) == 0
		}
		if !sideways {
			moves = append(moves, int(s.Move))
		}
	}
	return slices.Compact(moves)
}

// wayOfStart tells how air gets in at a place where nothing ever lay.
func wayOfStart(stock sweep.Stock, x, y float64) Way {
	for _, blank := range stock.Blanks {
		for _, hole := range blank.Outline[min(1, len(blank.Outline)):] {
			if planar.RingContains(hole, orb.Point{x, y}) {
				return Holes
			}
		}
	}
	return Bare
}
