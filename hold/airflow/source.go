package airflow

import "staydown/sweep"

// source is what the model reads of a sweep.
type source struct {
	grid  sweep.Grid
	stock sweep.Stock
	// read fills one row of cells: the moment each is cut through (Never if it is not), its label, and how deep the layer below it is
	// cut in the end, mm.
	read    func(iy int, cut []sweep.Progress, label []int32, depthMM []float64)
	pieceAt func(label int32, p sweep.Progress) int32
}
