package airflow

import (
	"errors"

	"staydown/hold/job"
	"staydown/sweep"
)

// source is what the model reads of a sweep.
type source struct {
	grid   sweep.Grid
	stock  sweep.Stock
	pieces []sweep.Piece
	// read fills one row of cells: the moment each is cut through (sweep.Never if it is not), its label (0 where nothing lay from the
	// start), and how deep the layer below it is cut in the end, mm. A slice that is nil is left out.
	read func(iy int, cut []sweep.Progress, label []int32, depthMM []float32)
	// stretch gives the end of a stretch of cells of a row, from ix on; alike tells that read gives the same for all of them.
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
		stretch: rec.Stretch,
		pieceAt: rec.PieceAt,
	}, nil
}

// LeakWithout gives the leak at a moment as it would be if some of the cuts through the stock were not made by then: those of the cells,
// by centre (mm) and moment, for which spared says so.
func LeakWithout(j *job.Job, rec *sweep.Record, at sweep.Progress, spared func(x, y float64, cut sweep.Progress) bool) (Leak, error) {
	src, err := recordSource(rec)
	if err != nil {
		return Leak{}, err
	}
	grid, read := src.grid, src.read
	src.stretch = func(int, int) (int, bool) { return grid.NX, false }
	src.read = func(iy int, cut []sweep.Progress, label []int32, depthMM []float32) {
		read(iy, cut, label, depthMM)
		y := grid.OriginY + (float64(iy)+0.5)*grid.CellMM
		for ix, p := range cut {
			if p < sweep.Never && spared(grid.OriginX+(float64(ix)+0.5)*grid.CellMM, y, p) {
				cut[ix] = sweep.Never
			}
		}
	}
	m, err := newModel(j, src, Options{})
	if err != nil {
		return Leak{}, err
	}
	return m.Advance(at)
}
