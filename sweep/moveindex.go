package sweep

import (
	"math"

	"github.com/paulmach/orb"

	"staydown/parse"
)

// moveIndex finds the moves near a place.
type moveIndex struct {
	// boxes are those of the moves, grown by the tool and empty where it cannot cut, then of indexGroup of them, and of
	// as many of those.
	boxes [3][]orb.Bound
}

const indexGroup = 64

var noBox = orb.Bound{Min: orb.Point{math.Inf(1), math.Inf(1)}, Max: orb.Point{math.Inf(-1), math.Inf(-1)}}

func newMoveIndex(s *setup) *moveIndex {
	ix := new(moveIndex)
	n := s.moves.Len()
	for level := range ix.boxes {
		ix.boxes[level] = make([]orb.Bound, n)
		n = (n + indexGroup - 1) / indexGroup
	}
	share(s.opt.Jobs, len(ix.boxes[1]), func(_, g int) {
		for i := g * indexGroup; i < min(s.moves.Len(), (g+1)*indexGroup); i++ {
			m := s.moves.At(i)
			ix.boxes[0][i] = s.reachOf(&m)
		}
		ix.boxes[1][g] = unionOf(ix.boxes[0], g)
	})
	for g := range ix.boxes[2] {
		ix.boxes[2][g] = unionOf(ix.boxes[1], g)
	}
	return ix
}

// reachOf gives a box round what a move can cut.
func (s *setup) reachOf(m *parse.Move) orb.Bound {
	c := s.cutters[m.Tool]
	if m.Kind == parse.Dwell || c == nil || m.LowestZ()-s.stock.BottomMM >= s.top {
		return noBox
	}
	low, high := m.Bounds()
	return orb.Bound{Min: orb.Point{low.X, low.Y}, Max: orb.Point{high.X, high.Y}}.Pad(c.r)
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

// each calls f for the moves near a box in the order of the program.
func (ix *moveIndex) each(b orb.Bound, f func(move int)) { ix.eachOf(len(ix.boxes)-1, 0, b, f) }

func (ix *moveIndex) eachOf(level, first int, b orb.Bound, f func(move int)) {
	last := len(ix.boxes[level])
	if level < len(ix.boxes)-1 {
		last = min(last, first+indexGroup)
	}
	for i := first; i < last; i++ {
		switch {
		case !ix.boxes[level][i].Intersects(b):
		case level == 0:
			f(i)
		default:
			ix.eachOf(level-1, i*indexGroup, b, f)
		}
	}
}
