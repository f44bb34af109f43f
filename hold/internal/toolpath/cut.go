package toolpath

import (
	"slices"

	"github.com/paulmach/orb"

	"staydown/hold/wording"
	"staydown/parse"
	"staydown/sweep"
)

// Cut is what is cut in one go: from the rapid that leads the tool to its place above the stock to the move that takes
// it above the stock again.
type Cut struct {
	First, Last int  // moves
	Led         bool // such a rapid is there; else it begins where the tool goes down
	Lines       wording.LineRange
	Bound       orb.Bound // of the tool's path below the top of the stock
}

// Cuts lists the cuts of a program in order; topMM is the top of the stock.
func Cuts(moves *parse.Moves, topMM float64) (out []Cut) {
	c, cutting := Cut{}, false
	for i := range moves.Len() {
		m := moves.At(i)
		if !c.Led && !cutting && RapidAbove(&m, topMM) && !m.Upright() {
			c.First, c.Led = i, true
		}
		if m.LowestZ() < topMM && m.Kind != parse.Dwell {
			b := Bound(&m)
			if cutting {
				b = b.Union(c.Bound)
			} else if !c.Led {
				c.First = i
			}
			c.Bound, cutting = b, true
		}
		if cutting && m.End.Z >= topMM {
			c.Last = i
			c.Lines = wording.LineRange{First: int(moves.At(c.First).Line), Last: int(m.Line)}
			out = append(out, c)
			c, cutting = Cut{}, false
		}
	}
	return out
}

// RapidAbove tells whether a move is a rapid at or above a height.
func RapidAbove(m *parse.Move, topMM float64) bool {
	return m.Kind == parse.Rapid && m.Start.Z >= topMM && m.End.Z >= topMM
}

// CutAt is the index of the cut that a moment lies in; -1 for none.
func CutAt(cuts []Cut, p sweep.Progress) int {
	move := lastMove(p)
	return slices.IndexFunc(cuts, func(c Cut) bool { return c.First <= move && move <= c.Last })
}
