package pieces

import (
	"math"

	"github.com/paulmach/orb"

	"staydown/sweep"
)

// SizeMM is the extent along X and Y of what is left of a piece at the end of the program, to the cell. While a piece
// comes free, what lies under the tool still belongs to it, so its outline then may reach a tool's radius further.
// The stock has its size at the start, and a piece that is all cut away later that of the moment it is freed. NaN for
// a piece without outline.
func SizeMM(rec *sweep.Record, p *sweep.Piece) [2]float64 {
	if len(p.Outline) == 0 {
		return [2]float64{math.NaN(), math.NaN()}
	}
	b := p.Outline.Bound()
	if p.Parent != 0 && p.Freed < sweep.Never && p.FinalAreaMM2 > 0 {
		b = trimmed(rec, p, b)
	}
	return [2]float64{b.Max[0] - b.Min[0], b.Max[1] - b.Min[1]}
}

// trimmed is the box round the cells of a piece that are left at the end, of which some are in box b.
func trimmed(rec *sweep.Record, p *sweep.Piece, b orb.Bound) orb.Bound {
	g := rec.Grid
	x0, x1 := span(b.Min[0]-g.OriginX, b.Max[0]-g.OriginX, g.CellMM, g.NX)
	y0, y1 := span(b.Min[1]-g.OriginY, b.Max[1]-g.OriginY, g.CellMM, g.NY)
	out := orb.Bound{Min: orb.Point{math.Inf(1), math.Inf(1)}, Max: orb.Point{math.Inf(-1), math.Inf(-1)}}
	for iy := y0; iy < y1; iy++ {
		first, last := ends(x0, x1, func(ix int) bool {
			return rec.Label(ix, iy) == int32(p.ID) && rec.CutAt(ix, iy) >= sweep.Never
		})
		if first <= last {
			out = out.Extend(placeIn(g, float64(first), float64(iy))).Extend(placeIn(g, float64(last+1), float64(iy+1)))
		}
	}
	return out
}

// placeIn is a place in a grid, told in cells, in mm.
func placeIn(g sweep.Grid, x, y float64) orb.Point {
	return orb.Point{g.OriginX + x*g.CellMM, g.OriginY + y*g.CellMM}
}

// span gives the cells [from, to) of n that meet a stretch.
func span(low, high, cellMM float64, n int) (from, to int) {
	return max(0, int(math.Floor(low/cellMM))), min(n, int(math.Ceil(high/cellMM)))
}

// ends gives the first and the last of the cells from up to, but without, to that are so; to and from-1 where none is.
func ends(from, to int, is func(int) bool) (first, last int) {
	for first = from; first < to && !is(first); first++ {
	}
	if first == to {
		return to, from - 1
	}
	for last = to - 1; !is(last); last-- {
	}
	return first, last
}
