package pieces

import (
	"math"

	"staydown/sweep"
)

// An island that later cuts mill away loses hold with its area. It is checked like any other piece while it is larger
// than the section of the cutter; the rest is a crumb.

const (
	milledShare = 0.02 // of a piece's area: where no more is left at the end it counts as milled away
	milledParts = 8    // of its area, after each of which the air is solved again
)

// MilledAway tells whether later cuts take a freed piece away.
func MilledAway(p *sweep.Piece) bool {
	return p.ComesFree() && p.AreaMM2 > 0 && p.FinalAreaMM2 <= milledShare*p.AreaMM2
}

// islandCell is a cell of a piece that is milled away.
type islandCell struct {
	label int32
	cut   sweep.Progress
}

// Islands are the pieces that are milled away.
type Islands struct {
	rec   *sweep.Record
	cells map[int32][]islandCell // by id of the piece, those of pieces that come off it included
}

// NewIslands finds the islands of a record.
func NewIslands(rec *sweep.Record) *Islands {
	n := &Islands{rec: rec, cells: map[int32][]islandCell{}}
	for i := range rec.Pieces {
		if p := &rec.Pieces[i]; MilledAway(p) {
			n.cells[int32(p.ID)] = cellsOf(rec, p)
		}
	}
	return n
}

func cellsOf(rec *sweep.Record, p *sweep.Piece) []islandCell {
	g := rec.Grid
	b := p.Outline.Bound()
	from := func(low, origin float64) int { return max(0, int(math.Floor((low-origin)/g.CellMM))) }
	var cells []islandCell
	for iy := from(b.Min[1], g.OriginY); iy <= min(g.NY-1, from(b.Max[1], g.OriginY)); iy++ {
		for ix := from(b.Min[0], g.OriginX); ix <= min(g.NX-1, from(b.Max[0], g.OriginX)); ix++ {
			c := islandCell{rec.Label(ix, iy), rec.CutAt(ix, iy)}
			if c.cut > p.Freed && rec.PieceAt(c.label, p.Freed) == int32(p.ID) {
				cells = append(cells, c)
			}
		}
	}
	return cells
}

// leftMM2 is the area of a piece with these cells at a moment.
func (n *Islands) leftMM2(id int32, cells []islandCell, at sweep.Progress) float64 {
	left := 0
	for _, c := range cells {
		if c.cut > at && n.rec.PieceAt(c.label, at) == id {
			left++
		}
	}
	return float64(left) * n.rec.Grid.CellMM * n.rec.Grid.CellMM
}

// Ends gives the moments at which a further part of an island may be gone.
func (n *Islands) Ends() []sweep.Progress {
	opened := map[int32]float64{}
	var ends []sweep.Progress
	for k := range n.rec.Steps.Len() {
		s := n.rec.Steps.At(k)
		for _, id := range n.rec.Touched(s) {
			if _, milled := n.cells[id]; !milled {
				continue
			}
			if opened[id] += OpenedMM2(s); opened[id] > n.rec.Pieces[id-1].AreaMM2/milledParts {
				ends = append(ends, s.Begin(), s.End())
				opened[id] = 0
			}
		}
	}
	return ends
}

// LeftOf gives what is left at a moment of those of the pieces that are milled away, mm2.
func (n *Islands) LeftOf(pieces []int32, at sweep.Progress) map[int32]float64 {
	out := map[int32]float64{}
	for _, id := range pieces {
		if cells, milled := n.cells[id]; milled {
			out[id] = n.leftMM2(id, cells, at)
		}
	}
	return out
}

// Gone is the moment at which the last of an island that is milled away is cut.
func (n *Islands) Gone(p *sweep.Piece) sweep.Progress {
	gone := p.Freed
	for _, c := range n.cells[int32(p.ID)] {
		if c.cut < sweep.Never {
			gone = max(gone, c.cut)
		}
	}
	return gone
}

// OpenedMM2 estimates the area of layer that a step exposes. It only serves to spread the moments at which the air is
// solved.
func OpenedMM2(s *sweep.Step) float64 {
	if s.Flags&sweep.Breakthrough == 0 {
		return 0
	}
	if depth := float64(s.HighMM - s.LowMM); depth > 0 {
		return s.VolumeMM3 / depth
	}
	return 0
}
