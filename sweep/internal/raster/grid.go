package raster

import (
	"math"
	"slices"

	"github.com/paulmach/orb"
)

// Span is a stretch of cells From..To-1 in a row.
type Span struct{ From, To int32 }

// Fill gives for every row of the grid the stretches of cells whose centers lie in a polygon, in rising order (even-odd
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

// crossRows adds the X of every crossing of a ring with the center lines of the rows.
func (g Grid) crossRows(ring orb.Ring, rows [][]float64) {
	for i := range ring {
		a, b := ring[i], ring[(i+1)%len(ring)]
		if a[1] > b[1] {
			a, b = b, a
		}
		// Half-open in Y, so that a vertex on a center line counts once.
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

// Grid places cells in program coordinates. Cell (ix, iy) has its center at
// (OriginX + (ix+0.5) CellMM, OriginY + (iy+0.5) CellMM).
type Grid struct {
	OriginX, OriginY float64 // mm, lower left corner of cell (0, 0)
	CellMM           float64
	NX, NY           int
}

// Box gives the area of all cells.
func (g Grid) Box() orb.Bound {
	return orb.Bound{
		Min: orb.Point{g.OriginX, g.OriginY},
		Max: orb.Point{g.OriginX + float64(g.NX)*g.CellMM, g.OriginY + float64(g.NY)*g.CellMM},
	}
}

// ClipLine cuts a line down to the part within r of a box (Liang and Barsky, 1984).
func ClipLine(x0, y0, x1, y1 float64, box orb.Bound, r float64) (cx0, cy0, cx1, cy1 float64, ok bool) {
	t0, t1, ok := ClipRange(x0, y0, x1, y1, box, r)
	if !ok {
		return 0, 0, 0, 0, false
	}
	return x0 + t0*(x1-x0), y0 + t0*(y1-y0), x0 + t1*(x1-x0), y0 + t1*(y1-y0), true
}

// ClipRange gives the fractions of a line between which it lies within r of a box.
func ClipRange(x0, y0, x1, y1 float64, box orb.Bound, r float64) (t0, t1 float64, ok bool) {
	t0, t1 = 0, 1
	for _, e := range [...][2]float64{
		{x0 - x1, x0 - (box.Min[0] - r)}, {x1 - x0, box.Max[0] + r - x0},
		{y0 - y1, y0 - (box.Min[1] - r)}, {y1 - y0, box.Max[1] + r - y0},
	} {
		p, q := e[0], e[1]
		switch {
		case p == 0 && q < 0:
			return 0, 0, false
		case p < 0:
			t0 = max(t0, q/p)
		case p > 0:
			t1 = min(t1, q/p)
		}
	}
	return t0, t1, t0 <= t1
}
