package pieces

import (
	"math"

	"staydown/hold/internal/toolpath"
	"staydown/hold/result"
	"staydown/sweep"
	"staydown/sweep/parallel"
)

// maxKerfCells bounds the raster of the kerf.
const maxKerfCells = 1_000_000

// Kerf gives what the tools cut of the stock, on squares of grid cells, found by so many workers.
func Kerf(rec *sweep.Record, clock *toolpath.Clock, workers int) result.Kerf {
	g := rec.Grid
	side := 1
	for squares(g.NX, side)*squares(g.NY, side) > maxKerfCells {
		side++
	}
	k := result.Kerf{
		OriginX: g.OriginX, OriginY: g.OriginY, CellMM: g.CellMM * float64(side),
		NX: squares(g.NX, side), NY: squares(g.NY, side),
	}
	k.ThroughS = make([]float32, k.NX*k.NY)
	rows := make([]kerfRow, workers)
	for i := range rows {
		rows[i] = kerfRow{make([]kerfSquare, k.NX), make([]float32, g.NX), make([]sweep.Progress, g.NX)}
	}
	parallel.For(workers, k.NY, func(worker, y int) {
		row := &rows[worker]
		clear(row.squares)
		for iy := y * side; iy < min((y+1)*side, g.NY); iy++ {
			row.countCut(rec, side, iy)
		}
		for x, s := range row.squares {
			k.ThroughS[y*k.NX+x] = throughS(clock, s, side*side)
		}
	})
	return k
}

// kerfRow is a row of squares, with room for a row of cells.
type kerfRow struct {
	squares []kerfSquare
	height  []float32
	moment  []sweep.Progress
}

// squares is the number of squares of some cells side by side that cover n cells.
func squares(n, side int) int { return (n + side - 1) / side }

// kerfSquare counts the cut cells of a square.
type kerfSquare struct {
	cut, through int
	last         sweep.Progress // at which a cell of it was cut through
}

// countCut adds row iy of the grid.
func (r *kerfRow) countCut(rec *sweep.Record, side, iy int) {
	for ix := 0; ix < len(r.height); {
		to, untouched := rec.Stretch(ix, iy)
		if untouched {
			ix = to
			continue
		}
		rec.PartOfRow(ix, to, iy, sweep.RowCells{HeightMM: r.height, Cut: r.moment})
		for ; ix < to; ix++ {
			s := &r.squares[ix/side]
			switch at := r.moment[ix]; {
			case at > 0 && at < sweep.Never:
				s.cut++
				s.through++
				s.last = max(s.last, at)
			case at == sweep.Never && r.height[ix] < float32(rec.TopMM(ix, iy)):
				s.cut++
			}
		}
	}
}

// throughS is the value of a square of some cells in Kerf.ThroughS.
func throughS(clock *toolpath.Clock, s kerfSquare, cells int) float32 {
	switch {
	case 2*s.cut < cells:
		return float32(math.NaN())
	case 2*s.through < cells:
		return float32(math.Inf(1))
	}
	return float32(clock.TimeS(s.last))
}
