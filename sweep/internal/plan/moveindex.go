package plan

import (
	"math"

	"github.com/paulmach/orb"

	"staydown/parse"
	"staydown/sweep/parallel"
)

// MoveIndex finds the moves near a place.
type MoveIndex struct {
	s *Setup
	// boxes are those of indexGroup moves, and of as many of those. The box of a move is that of reachOf.
	boxes [2][]orb.Bound
}

const indexGroup = 64

var noBox = orb.Bound{Min: orb.Point{math.Inf(1), math.Inf(1)}, Max: orb.Point{math.Inf(-1), math.Inf(-1)}}

func NewMoveIndex(s *Setup) *MoveIndex {
	ix := &MoveIndex{s: s}
	n := s.Moves.Len()
	for level := range ix.boxes {
		n = (n + indexGroup - 1) / indexGroup
		ix.boxes[level] = make([]orb.Bound, n)
	}
	parallel.For(s.Opt.Jobs, len(ix.boxes[0]), func(_, g int) {
		var boxes [indexGroup]orb.Bound
		moves := boxes[:min(indexGroup, s.Moves.Len()-g*indexGroup)]
		for i := range moves {
			m := s.Moves.At(g*indexGroup + i)
			moves[i] = s.reachOf(&m)
		}
		ix.boxes[0][g] = unionOf(moves, 0)
	})
	for g := range ix.boxes[1] {
		ix.boxes[1][g] = unionOf(ix.boxes[0], g)
	}
	return ix
}

// reachOf gives a box round what a move can cut, empty where it cannot.
func (s *Setup) reachOf(m *parse.Move) orb.Bound {
	c := s.Cutters[m.Tool]
	if m.Kind == parse.Dwell || c == nil || m.LowestZ()-s.Stock.BottomMM >= s.Top {
		return noBox
	}
	low, high := m.Bounds()
	return orb.Bound{Min: orb.Point{low.X, low.Y}, Max: orb.Point{high.X, high.Y}}.Pad(c.R)
}

// unionOf gives the box round group g of boxes.
func unionOf(boxes []orb.Bound, g int) orb.Bound {
	all := noBox
	for _, b := range boxes[g*indexGroup : min(len(boxes), (g+1)*indexGroup)] {
		switch {
		case b.IsEmpty():
		case all.IsEmpty():
			all = b
		default:
			all = all.Union(b)
		}
	}
	return all
}

// Each calls f for the moves near a box in the order of the program.
func (ix *MoveIndex) Each(b orb.Bound, f func(i int, m *parse.Move)) {
	for i := range ix.boxes[1] {
		if !ix.boxes[1][i].Intersects(b) {
			continue
		}
		for g := i * indexGroup; g < min(len(ix.boxes[0]), (i+1)*indexGroup); g++ {
			if ix.boxes[0][g].Intersects(b) {
				ix.eachIn(g, b, f)
			}
		}
	}
}

func (ix *MoveIndex) eachIn(group int, b orb.Bound, f func(i int, m *parse.Move)) {
	for i := group * indexGroup; i < min(ix.s.Moves.Len(), (group+1)*indexGroup); i++ {
		m := ix.s.Moves.At(i)
		if ix.s.reachOf(&m).Intersects(b) {
			f(i, &m)
		}
	}
}
