package airflow

import (
	"errors"

	"staydown/sweep"
)

// source is what the model reads of a sweep.
type source struct {
	grid   sweep.Grid
	stock  sweep.Stock
	pieces []sweep.Piece
	// read fills one row of cells: the moment each is cut through (sweep.Never if it is not), its label (0 where nothing lay from the
	// start), and how deep the layer below it is cut in the end, mm. A slice that is nil is left out.
	read    func(iy int, cut []sweep.Progress, label []int32, depthMM []float32)
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
		pieceAt: rec.PieceAt,
	}, nil
}
