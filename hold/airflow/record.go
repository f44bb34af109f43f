package airflow

import (
	"errors"

	"staydown/sweep"
)

// recordCells is what a sweep's record tells of single cells.
type recordCells interface {
	CutAt(ix, iy int) sweep.Progress
	Label(ix, iy int) int32
	PieceAt(label int32, p sweep.Progress) int32
	LayerDepthMM(ix, iy int) float64
}

func recordSource(rec *sweep.Record) (source, error) {
	cells, ok := any(rec).(recordCells)
	if rec == nil || !ok {
		return source{}, errors.New("the sweep's record does not tell its cells")
	}
	return source{
		grid: rec.Grid, stock: rec.Stock,
		read: func(iy int, cut []sweep.Progress, label []int32, depthMM []float64) {
			for ix := range cut {
				cut[ix] = cells.CutAt(ix, iy)
				label[ix] = cells.Label(ix, iy)
				depthMM[ix] = cells.LayerDepthMM(ix, iy)
			}
		},
		pieceAt: cells.PieceAt,
	}, nil
}
