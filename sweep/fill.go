package sweep

import (
	"math"
	"slices"

	"github.com/paulmach/orb"
)

// Span is a stretch of cells From..To-1 in a row.
type Span struct{ From, To int32 }

// Fill gives for every row of the grid the stretches of cells whose centres lie in a polygon, in rising order (even-odd
// over its rings, so that holes are out). A ring need not end where it begins.
func (g Grid) Fill(polygon orb.Polygon) [][]Span {
	crossings := make([][]float64, g.NY)
	for _, ring := range polygon {
		g.crossRows(ring, crossings)
	}
	rows := make([][]Span, g.NY)
	for iy, xs := range crossings {
		slices.Sort(xs)
		for i := 0; i+1 < len(xs); i += 2 {
			from := max(0, math.Ceil((xs[i]-g.OriginX)/g.CellMM-0.5))
			to := min(float64(g.NX), math.Ceil((xs[i+1]-g.OriginX)/g.CellMM-0.5))
			if from < to {
				rows[iy] = append(rows[iy], Span{int32(from), int32(to)})
			}
		}
	}
	return rows
}

// crossRows adds the X of every crossing of a ring with the centre lines of the rows.
func (g Grid) crossRows(ring orb.Ring, rows [][]float64) {
	for i := range ring {
		a, b := ring[i], ring[(i+1)%len(ring)]
		if a[1] > b[1] {
			a, b = b, a
		}
		// Half-open in Y, so that a vertex on a centre line counts once.
		lo := max(0, math.Ceil((a[1]-g.OriginY)/g.CellMM-0.5))
		for iy := lo; iy < float64(g.NY); iy++ {
			y := g.OriginY + (iy+0.5)*g.CellMM
			if y >= b[1] {
				break
			}
			if y < a[1] {
				continue
			}
			rows[int(iy)] = append(rows[int(iy)], a[0]+float64((b[0]-a[0])*((y-a[1])/(b[1]-a[1]))))
		}
	}
}
