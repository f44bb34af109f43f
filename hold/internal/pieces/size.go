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

// trimmed takes rows and columns off a box round a piece until each side meets a cell of the piece that is left at
// the end.
func trimmed(rec *sweep.Record, p *sweep.Piece, b orb.Bound) orb.Bound {
	g := rec.Grid
	x0, x1 := span(b.Min[0]-g.OriginX, b.Max[0]-g.OriginX, g.CellMM, g.NX)
	y0, y1 := span(b.Min[1]-g.OriginY, b.Max[1]-g.OriginY, g.CellMM, g.NY)
	left := func(ix, iy int) bool { return rec.Label(ix, iy) == int32(p.ID) && rec.CutAt(ix, iy) >= sweep.Never }
	row := func(iy int) bool { return anyIn(x0, x1, func(ix int) bool { return left(ix, iy) }) }
	column := func(ix int) bool { return anyIn(y0, y1, func(iy int) bool { return left(ix, iy) }) }
	for y0 < y1 && !row(y0) {
		y0++
	}
	for y1 > y0+1 && !row(y1-1) {
		y1--
	}
	for x0 < x1 && !column(x0) {
		x0++
	}
	for x1 > x0+1 && !column(x1-1) {
		x1--
	}
	at := func(ix, iy int) orb.Point {
		return orb.Point{g.OriginX + float64(ix)*g.CellMM, g.OriginY + float64(iy)*g.CellMM}
	}
	return orb.Bound{Min: at(x0, y0), Max: at(x1, y1)}
}

// span gives the cells [from, to) of n that meet a stretch.
func span(low, high, cellMM float64, n int) (from, to int) {
	return max(0, int(math.Floor(low/cellMM))), min(n, int(math.Ceil(high/cellMM)))
}

func anyIn(from, to int, is func(int) bool) bool {
	for i := from; i < to; i++ {
		if is(i) {
			return true
		}
	}
	return false
}
