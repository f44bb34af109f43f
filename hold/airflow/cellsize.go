package airflow

import (
	"fmt"
	"math"

	"staydown/hold/airflow/internal/layer"
	"staydown/hold/job"
	"staydown/sweep"
)

const (
	// cellsPerWidth is how many air cells go on the width that is lost beside an edge, where it is wider than the
	// sweep's cell.
	cellsPerWidth = 2.5
	coarsestMM    = 3.0    // and the coarsest air cell that is chosen while the budget allows it
	leastWidth    = 4.0    // air cells across the smallest piece
	cellsToSpare  = 60_000 // a grid of that many air cells costs nothing to speak of
	cellsEnough   = 6.0    // on that width: finer cells gain nothing that could be seen, not even on a small table
)

// cellSize chooses the air cell as a multiple of the sweep's cell.
func cellSize(grid sweep.Grid, j *job.Job, pieces []sweep.Piece, opt Options) (multiple int, why string) {
	budget := opt.MaxCells
	if budget <= 0 {
		budget = defaultMaxCells
	}
	budget = min(budget, mostCells)
	c, length := grid.CellMM, opt.Units.Length()
	least := 1
	for float64((grid.NX+least-1)/least)*float64((grid.NY+least-1)/least) > float64(budget) {
		least++
	}
	if opt.CellMM > 0 {
		m := max(least, int(math.Round(opt.CellMM/c)), 1)
		return m, fmt.Sprintf("air cell %s (%s asked for)", length.Text(float64(m)*c), length.Text(opt.CellMM))
	}
	want, because := coarsestMM, "the coarsest allowed"
	narrow := func(mm float64, reason string) {
		if mm < want {
			want, because = mm, reason
		}
	}
	enough := 0.0
	if j.Layer != nil {
		enough = layer.NewSheet(j).Lambda() / cellsEnough
	}
	narrow(math.Max(enough, math.Sqrt(float64(grid.NX)*float64(grid.NY)*c*c/cellsToSpare)), "a small table")
	for _, piece := range pieces {
		if piece.Class == sweep.Part && piece.AreaMM2 > 0 {
			narrow(math.Sqrt(piece.AreaMM2)/leastWidth, "the smallest part")
		}
	}
	if j.Layer != nil {
		if lambda := layer.NewSheet(j).Lambda(); lambda >= 2*c {
			narrow(lambda/cellsPerWidth, "the decay length of the layer")
		}
		for i := range j.Zones {
			if g := layer.Grooves(&j.Zones[i]); g != nil && !layer.Blurred(*g, j.Layer) {
				narrow(math.Min(g.WidthMM, math.Max(g.PitchMM-g.WidthMM, g.WidthMM))/2, "the grooves")
			}
		}
	}
	m := max(1, int(math.Floor(want/c+1e-9)))
	if m < least {
		m, because = least, "the budget of cells"
	}
	return m, fmt.Sprintf("air cell %s (%s)", length.Text(float64(m)*c), because)
}
