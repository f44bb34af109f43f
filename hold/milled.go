package hold

import (
	"fmt"
	"math"

	"staydown/sweep"
)

// An island that later cuts mill away loses hold with its area. It is checked like any other piece while it is larger
// than the section of the cutter; the rest is a crumb (crumb.go).

const (
	milledShare = 0.02 // of a piece's area: where no more is left at the end it counts as milled away
	milledParts = 8    // of its area, after each of which the air is solved again
)

func milledAway(p *sweep.Piece) bool {
	return p.ComesFree() && p.AreaMM2 > 0 && p.FinalAreaMM2 <= milledShare*p.AreaMM2
}

// islandCell is a cell of a piece that is milled away.
type islandCell struct {
	label int32
	cut   sweep.Progress
}

// islands gives the cells of the pieces that are milled away, by their ids, those of pieces that come off them
// included.
func (a *Analysis) islands() map[int32][]islandCell {
	out := map[int32][]islandCell{}
	for i := range a.rec.Pieces {
		p := &a.rec.Pieces[i]
		if !milledAway(p) {
			continue
		}
		out[int32(p.ID)] = a.cellsOf(p)
	}
	return out
}

func (a *Analysis) cellsOf(p *sweep.Piece) []islandCell {
	g := a.rec.Grid
	b := p.Outline.Bound()
	from := func(low, origin float64) int { return max(0, int(math.Floor((low-origin)/g.CellMM))) }
	var cells []islandCell
	for iy := from(b.Min[1], g.OriginY); iy <= min(g.NY-1, from(b.Max[1], g.OriginY)); iy++ {
		for ix := from(b.Min[0], g.OriginX); ix <= min(g.NX-1, from(b.Max[0], g.OriginX)); ix++ {
			c := islandCell{a.rec.Label(ix, iy), a.rec.CutAt(ix, iy)}
			if c.cut > p.Freed && a.rec.PieceAt(c.label, p.Freed) == int32(p.ID) {
				cells = append(cells, c)
			}
		}
	}
	return cells
}

// leftMM2 is the area of a piece with these cells at a moment.
func (a *Analysis) leftMM2(id int32, cells []islandCell, at sweep.Progress) float64 {
	n := 0
	for _, c := range cells {
		if c.cut > at && a.rec.PieceAt(c.label, at) == id {
			n++
		}
	}
	return float64(n) * a.rec.Grid.CellMM * a.rec.Grid.CellMM
}

// milledEnds gives the moments at which a further part of an island may be gone.
func (a *Analysis) milledEnds() []sweep.Progress {
	opened := map[int32]float64{}
	var ends []sweep.Progress
	for k := range a.rec.Steps.Len() {
		s := a.rec.Steps.At(k)
		for _, id := range a.rec.Touched(s) {
			if _, milled := a.islandCells[id]; !milled {
				continue
			}
			if opened[id] += openedBy(s); opened[id] > a.rec.Pieces[id-1].AreaMM2/milledParts {
				ends = append(ends, s.Begin(), s.End())
				opened[id] = 0
			}
		}
	}
	return ends
}

// leftOf gives what is left at a moment of those of the pieces that are milled away, mm2.
func (a *Analysis) leftOf(pieces []int32, at sweep.Progress) map[int32]float64 {
	out := map[int32]float64{}
	for _, id := range pieces {
		if cells, milled := a.islandCells[id]; milled {
			out[id] = a.leftMM2(id, cells, at)
		}
	}
	return out
}

// remnant tells whether less is left of an island at the end of an epoch than the section of the tool at work.
func (a *Analysis) remnant(e *epoch, tool, id int32) bool {
	left, milled := e.leftMM2[id]
	return milled && left < a.sectionMM2(tool)
}

// milledFindings reports the islands that are milled away.
func (a *Analysis) milledFindings() []Finding {
	var out []Finding
	for i := range a.rec.Pieces {
		p := &a.rec.Pieces[i]
		if !milledAway(p) || a.crumb(p) {
			continue
		}
		gone := p.Freed
		for _, c := range a.islandCells[int32(p.ID)] {
			if c.cut < sweep.Never {
				gone = max(gone, c.cut)
			}
		}
		f := plain(RuleMilledAway, LevelWarning, a.clock.LineOf(p.Freed), a.clock.TimeS(p.Freed), fmt.Sprintf(
			"%s is free and is milled away by line %d: the last of it, smaller than tool %d, can be thrown",
			a.Result.Pieces[i].nameIn(a.units), a.clock.LineOf(gone), a.toolAt(gone)))
		f.LastLine, f.LastTimeS, f.Piece, f.Tool = a.clock.LineOf(gone), a.clock.TimeS(gone), p.ID, int(a.toolAt(gone))
		f.Unresolved, f.At, f.HasAt = true, p.Centroid, true
		out = append(out, f)
	}
	return out
}
