package airflow

import (
	"staydown/hold/airflow/internal/gather"
	"staydown/hold/job"
	"staydown/sweep"
)

// LeakWithout gives the leak at a moment as it would be if some of the cuts through the stock were not made by then:
// those of the cells, by center (mm) and moment, for which spared says so.
func LeakWithout(j *job.Job, rec *sweep.Record, at sweep.Progress, spared func(x, y float64,
	cut sweep.Progress) bool) (Leak, error) {
	src, err := gather.FromRecord(rec)
	if err != nil {
		return Leak{}, err
	}
	grid, read, heights := src.Grid, src.Read, src.Heights
	sparing := func(ix, iy int, cut sweep.Progress) bool {
		return cut < sweep.Never && spared(grid.OriginX+(float64(ix)+0.5)*grid.CellMM,
			grid.OriginY+(float64(iy)+0.5)*grid.CellMM, cut)
	}
	src.Stretch = func(int, int) (int, bool) { return grid.NX, false }
	src.Read = func(from, to, iy int, cut []sweep.Progress, label []int32, depthMM []float32) {
		read(from, to, iy, cut, label, depthMM)
		for ix := from; cut != nil && ix < to; ix++ {
			if sparing(ix, iy, cut[ix]) {
				cut[ix] = sweep.Never
			}
		}
	}
	src.Heights = func(iy int, left []float32, webFrom []sweep.Progress, webMM []float32) {
		heights(iy, left, webFrom, webMM)
		cut := make([]sweep.Progress, grid.NX)
		read(0, grid.NX, iy, cut, nil, nil)
		for ix, p := range cut {
			if sparing(ix, iy, p) {
				webFrom[ix], webMM[ix] = sweep.Never, 0
			}
		}
	}
	m, err := newModel(j, src, Options{})
	if err != nil {
		return Leak{}, err
	}
	return m.Advance(at)
}
