package removal

import (
	"math"
	"math/bits"

	"staydown/parse"
)

// pathSet remembers the paths that were run: material never comes back, so the same tool on the same path, either
// way, finds nothing left to remove. An open-addressed table of 4 bytes an entry, at most three quarters full when all
// moves that are run are in it.
type pathSet struct {
	moves *parse.Moves
	table []pathEntry
}

// newPathSet has room for so many of the moves.
func newPathSet(moves *parse.Moves, run int) pathSet {
	return pathSet{moves, make([]pathEntry, 1<<bits.Len(uint(run*4/3)))}
}

// pathEntry is a move plus 1, in the lower bits, and as much of the hash of its path as there is room for; 0 for none.
type pathEntry uint32

const (
	pathMoveBits = 28 // more than the most moves of a program need
	pathMoveMask = 1<<pathMoveBits - 1
)

// path is what makes two moves the same, with the ends in a fixed order.
type path struct {
	tool      int32
	kind      parse.Kind
	plane     parse.Plane
	a, b, mid parse.Point
	turn      float64
}

func (s *pathSet) pathOf(move int32) path {
	m := s.moves.At(int(move))
	p := path{tool: m.Tool, kind: m.Kind, a: m.Start, b: m.End}
	if m.Kind == parse.Rapid {
		p.kind = parse.Feed
	}
	if m.Kind == parse.Arc {
		p.plane, p.mid, p.turn = m.Plane, m.Centre, m.TurnRad
	}
	if q := p.b; q.X < p.a.X || q.X == p.a.X && (q.Y < p.a.Y || q.Y == p.a.Y && q.Z < p.a.Z) {
		p.a, p.b, p.turn = p.b, p.a, -p.turn
	}
	return p
}

func (p *path) hash() uint64 {
	h := uint64(14695981039346656037) // FNV-1a over whole words
	for _, v := range [...]float64{p.a.X, p.a.Y, p.a.Z, p.b.X, p.b.Y, p.b.Z, p.mid.X, p.mid.Y, p.mid.Z, p.turn,
		float64(p.tool)} {
		h = (h ^ math.Float64bits(v)) * 1099511628211
		h ^= h >> 29
	}
	return h
}

// add enters a move and tells whether its path was there already.
func (s *pathSet) add(move int32) bool {
	p := s.pathOf(move)
	hash := p.hash()
	tag := pathEntry(hash>>pathMoveBits) &^ pathMoveMask
	for i := s.slot(hash); ; i = (i + 1) & (len(s.table) - 1) {
		switch e := s.table[i]; {
		case e == 0:
			s.table[i] = tag | pathEntry(move+1)
			return false
		case e&^pathMoveMask == tag && s.pathOf(int32(e&pathMoveMask)-1) == p:
			return true
		}
	}
}

func (s *pathSet) slot(hash uint64) int { return int(hash>>16) & (len(s.table) - 1) }
