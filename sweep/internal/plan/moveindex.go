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
	// boxes are those of indexGroup moves, of as many of those, and so on. The box of a move is that of reachOf.
	boxes [4][]orb.Bound
}

// indexGroup is the number of moves, or boxes, in a box: with 8, boxes take 5 bytes a move, and a line round a piece
// asks for five times fewer boxes of moves than with 64.
const indexGroup = 8

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
	for level := 1; level < len(ix.boxes); level++ {
		for g := range ix.boxes[level] {
			ix.boxes[level][g] = unionOf(ix.boxes[level-1], g)
		}
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

// Each calls f for the moves near a box in the order of the program. A move lasts until f returns.
func (ix *MoveIndex) Each(b orb.Bound, f func(i int, m *parse.Move)) {
	top, m := len(ix.boxes)-1, new(parse.Move)
	for g := range ix.boxes[top] {
		ix.eachIn(top, g, b, m, f)
	}
}

// eachIn is Each for a group of a level; m is scratch.
func (ix *MoveIndex) eachIn(level, group int, b orb.Bound, m *parse.Move, f func(i int, m *parse.Move)) {
	if !ix.boxes[level][group].Intersects(b) {
		return
	}
	from, to := group*indexGroup, (group+1)*indexGroup
	if level > 0 {
		for g := from; g < min(to, len(ix.boxes[level-1])); g++ {
			ix.eachIn(level-1, g, b, m, f)
		}
		return
	}
	for i := from; i < min(to, ix.s.Moves.Len()); i++ {
		*m = ix.s.Moves.At(i)
		if ix.s.reachOf(m).Intersects(b) {
			f(i, m)
		}
	}
}
