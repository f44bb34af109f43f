package pieces

import (
	"math"

	"staydown/hold/internal/toolpath"
	"staydown/hold/result"
	"staydown/sweep"
)

// maxKerfCells bounds the raster of the kerf.
const maxKerfCells = 1_000_000

// Kerf gives what the tools cut of the stock, on squares of grid cells.
func Kerf(rec *sweep.Record, clock *toolpath.Clock) result.Kerf {
	g := rec.Grid
	side := 1
	for squares(g.NX, side)*squares(g.NY, side) > maxKerfCells {
		side++
	}
	k := result.Kerf{
		OriginX: g.OriginX, OriginY: g.OriginY, CellMM: g.CellMM * float64(side),
		NX: squares(g.NX, side), NY: squares(g.NY, side),
	}
	k.ThroughS = make([]float32, 0, k.NX*k.NY)
	height, moment := make([]float32, g.NX), make([]sweep.Progress, g.NX)
	row := make([]kerfSquare, k.NX)
	for y0 := 0; y0 < g.NY; y0 += side {
		clear(row)
		for iy := y0; iy < min(y0+side, g.NY); iy++ {
			countCut(rec, row, side, iy, height, moment)
		}
		for _, s := range row {
			k.ThroughS = append(k.ThroughS, throughS(clock, s, side*side))
		}
	}
	return k
}

// squares is the number of squares of some cells side by side that cover n cells.
func squares(n, side int) int { return (n + side - 1) / side }

// kerfSquare counts the cut cells of a square.
type kerfSquare struct {
	cut, through int
	last         sweep.Progress // at which a cell of it was cut through
}

// countCut adds row iy of the grid. height and moment are room for a row.
func countCut(rec *sweep.Record, row []kerfSquare, side, iy int, height []float32, moment []sweep.Progress) {
	for ix := 0; ix < len(height); {
		to, untouched := rec.Stretch(ix, iy)
		if untouched {
			ix = to
			continue
		}
		rec.PartOfRow(ix, to, iy, height, moment, nil, nil)
		for ; ix < to; ix++ {
			s := &row[ix/side]
			switch at := moment[ix]; {
			case at > 0 && at < sweep.Never:
				s.cut++
				s.through++
				s.last = max(s.last, at)
			case at == sweep.Never && height[ix] < float32(rec.TopMM(ix, iy)):
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
