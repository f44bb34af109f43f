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

// standing gives the middles of the sides of the cells at both ends of each row, and of those below and above them
// where the row next to it does not reach as far.
func (c Cutters) standing(rec *sweep.Record, p *sweep.Piece) (out []orb.Point) {
	g, b, from := rec.Grid, p.Outline.Bound(), c.movedOn(p.Freed)
	x0, x1 := span(b.Min[0]-g.OriginX, b.Max[0]-g.OriginX, g.CellMM, g.NX)
	y0, y1 := span(b.Min[1]-g.OriginY, b.Max[1]-g.OriginY, g.CellMM, g.NY)
	edge := func(first, last, y int) {
		out = append(out, placeIn(g, float64(first)+0.5, float64(y)), placeIn(g, float64(last)+0.5, float64(y)))
	}
	firstBelow, lastBelow := x1, x0-1 // none
	for iy := y0; iy <= y1; iy++ {
		first, last := ends(x0, x1, func(ix int) bool {
			return iy < y1 && rec.PieceAt(rec.Label(ix, iy), p.Freed) == int32(p.ID) && rec.CutAt(ix, iy) >= from
		})
		if first < firstBelow || last > lastBelow {
			edge(first, last, iy)
		}
		if firstBelow < first || lastBelow > last {
			edge(firstBelow, lastBelow, iy)
		}
		if first <= last {
			y := float64(iy) + 0.5
			out = append(out, placeIn(g, float64(first), y), placeIn(g, float64(last+1), y))
		}
		firstBelow, lastBelow = first, last
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
