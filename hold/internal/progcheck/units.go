package progcheck

import (
	"math"

	"github.com/paulmach/orb"

	"staydown/parse"
	"staydown/parse/units"
)

const (
	// tableSideMM and tableSideShare of the thickness are how near to its table side a program that cuts pieces out
	// goes at its deepest: a skin stays, or a tab. Common practice, no source; it only chooses the words of a hint.
	tableSideMM    = 1.0
	tableSideShare = 0.25
	// maxHintMoves bounds the programs that are read a second time for a hint.
	maxHintMoves = 2_000_000
)

// fit is how the feed moves of a program lie to the stock.
type fit struct {
	inside  bool // none leaves it by more than the tool beside it, or goes through the layer
	through bool // the deepest ends near its table side
}

// unitsHint names the unit that fits the stock if only one does, else "". If the program is inside the stock in both,
// the unit in which it reaches the table side fits.
func (c *Checks) unitsHint() string {
	if c.Prog.Moves.Len() > maxHintMoves {
		return ""
	}
	mm, inch := c.fitOf(&c.Prog.Moves), c.fitOf(&c.Prog.ReadIn(units.Inch).Moves)
	if mm.inside == inch.inside {
		if !mm.inside || mm.through == inch.through {
			return ""
		}
		mm.inside, inch.inside = mm.through, inch.through
	}
	if mm.inside {
		return "; only mm fits the stock"
	}
	return "; only inches fit the stock"
}

// fitOf looks at the box of the feed moves.
func (c *Checks) fitOf(moves *parse.Moves) fit {
	bottom, layer := c.Rec.Stock.BottomMM, 0.0
	if c.Job.Layer != nil {
		layer = c.Job.Layer.ThicknessMM
	}
	top, toolMM := c.Rec.Stock.TopMM(), 0.0
	for _, t := range c.Job.Tools {
		toolMM = math.Max(toolMM, t.DiameterMM)
	}
	room := c.Rec.Stock.Bound().Pad(2 * toolMM)
	low, feeds := math.Inf(1), false
	for _, m := range moves.All() {
		if m.Kind != parse.Feed && m.Kind != parse.Arc {
			continue
		}
		if !room.Contains(orb.Point{m.End.X, m.End.Y}) {
			return fit{}
		}
		low, feeds = math.Min(low, m.LowestZ()), true
	}
	near := math.Max(tableSideMM, tableSideShare*(top-bottom))
	return fit{inside: feeds && low < top && low >= bottom-layer-tableSideMM, through: low <= bottom+near}
}
