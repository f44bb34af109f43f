package pieces

import (
	"math"

	"github.com/paulmach/orb"

	"staydown/sweep"
)

// Rim gives places on the border of a piece, its widest ones among them, mm. While a piece comes free what lies under
// the tool still belongs to it, and its outline reaches up to a tool's radius further there: the rim is that of the
// cells that stand once the tool has moved on by its diameter, to half a cell, and the outline where none does.
func (c Cutters) Rim(rec *sweep.Record, p *sweep.Piece) (out []orb.Point) {
	if p.ComesFree() {
		out = c.standing(rec, p)
	}
	if len(out) == 0 {
		for _, polygon := range p.Outline {
			out = append(out, polygon[0]...)
		}
	}
	return out
}

// standing gives the middles of the sides of the cells at both ends of each row.
func (c Cutters) standing(rec *sweep.Record, p *sweep.Piece) (out []orb.Point) {
	g, b, from := rec.Grid, p.Outline.Bound(), c.movedOn(p.Freed)
	x0, x1 := span(b.Min[0]-g.OriginX, b.Max[0]-g.OriginX, g.CellMM, g.NX)
	y0, y1 := span(b.Min[1]-g.OriginY, b.Max[1]-g.OriginY, g.CellMM, g.NY)
	for iy := y0; iy < y1; iy++ {
		stands := func(ix int) bool {
			return rec.PieceAt(rec.Label(ix, iy), p.Freed) == int32(p.ID) && rec.CutAt(ix, iy) >= from
		}
		first, last := x0, x1-1
		for first <= last && !stands(first) {
			first++
		}
		for last > first && !stands(last) {
			last--
		}
		if first > last {
			continue
		}
		at := func(x, y float64) orb.Point { return orb.Point{g.OriginX + x*g.CellMM, g.OriginY + y*g.CellMM} }
		left, right, y := float64(first), float64(last), float64(iy)
		out = append(out, at(left, y+0.5), at(right+1, y+0.5),
			at(left+0.5, y), at(right+0.5, y), at(left+0.5, y+1), at(right+0.5, y+1))
	}
	return out
}

// movedOn is the end of the move in which the tool has moved on by its diameter since a moment.
func (c Cutters) movedOn(since sweep.Progress) sweep.Progress {
	i := max(0, int(math.Ceil(float64(since)))-1)
	m := c.Moves.At(i)
	leftMM := c.Tools[int(m.Tool)].DiameterMM - (float64(i+1)-float64(since))*m.LengthMM
	for i++; leftMM > 0 && i < c.Moves.Len(); i++ {
		leftMM -= c.Moves.At(i).LengthMM
	}
	return sweep.Progress(i)
}
