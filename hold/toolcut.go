package hold

import (
	"math"
	"slices"

	"github.com/paulmach/orb"

	"staydown/hold/wording"
	"staydown/parse"
	"staydown/sweep"
)

// toolCut is what is cut in one go: from the rapid that leads the tool to its place above the stock to the move that
// takes it above the stock again.
type toolCut struct {
	first, last int  // moves
	led         bool // such a rapid is there; else it begins where the tool goes down
	lines       wording.LineRange
	bound       orb.Bound // of the tool's path below the top of the stock
}

// toolCuts lists the cuts of the program in order.
func (a *Analysis) toolCuts() (out []toolCut) {
	moves, topMM := &a.prog.Moves, a.topMM()
	c, cutting := toolCut{}, false
	for i := range moves.Len() {
		m := moves.At(i)
		if !c.led && !cutting && a.over(&m) && !m.Upright() {
			c.first, c.led = i, true
		}
		if m.LowestZ() < topMM && m.Kind != parse.Dwell {
			low, high := m.Bounds()
			b := orb.Bound{Min: orb.Point{low.X, low.Y}, Max: orb.Point{high.X, high.Y}}
			if cutting {
				b = b.Union(c.bound)
			} else if !c.led {
				c.first = i
			}
			c.bound, cutting = b, true
		}
		if cutting && m.End.Z >= topMM {
			c.last = i
			c.lines = wording.LineRange{First: int(moves.At(c.first).Line), Last: int(m.Line)}
			out = append(out, c)
			c, cutting = toolCut{}, false
		}
	}
	return out
}

// over tells whether a move is a rapid above the stock.
func (a *Analysis) over(m *parse.Move) bool {
	top := a.topMM()
	return m.Kind == parse.Rapid && m.Start.Z >= top && m.End.Z >= top
}

// cutAt is the index of the cut that a moment lies in; -1 for none.
func cutAt(cuts []toolCut, p sweep.Progress) int {
	move := int(math.Ceil(float64(p))) - 1 // on the border of two moves the earlier one
	return slices.IndexFunc(cuts, func(c toolCut) bool { return c.first <= move && move <= c.last })
}

// cutsOf gives the cuts that lie within the outline of a freed piece and its kerf; nil when what frees it is none of
// them: a cut that other pieces share.
func (a *Analysis) cutsOf(p *sweep.Piece, cuts []toolCut) (own []int) {
	freeing := cutAt(cuts, p.Freed)
	if freeing < 0 {
		return nil
	}
	tool := a.job.Tools[int(a.prog.Moves.At(cuts[freeing].first).Tool)]
	room := p.Outline.Bound().Pad(tool.DiameterMM)
	for i, c := range cuts {
		if room.Contains(c.bound.Min) && room.Contains(c.bound.Max) {
			own = append(own, i)
		}
	}
	if !slices.Contains(own, freeing) {
		return nil
	}
	return own
}
