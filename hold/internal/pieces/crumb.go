package pieces

import (
	"math"

	"staydown/hold/job"
	"staydown/parse"
	"staydown/sweep"
)

// A piece smaller than the section of the cutter that frees it is a crumb. The cutter may climb it, throw it or grind
// it away; the model does not cover that. Crumbs are reported in one finding per tool, with the level of the worst and
// at least at-risk.

// Cutters tells which tool frees a piece, and whether the piece is smaller than that.
type Cutters struct {
	Moves *parse.Moves
	Tools map[int]job.Tool
}

// SectionMM2 is the area that a tool covers.
func (c Cutters) SectionMM2(tool int32) float64 {
	d := c.Tools[int(tool)].DiameterMM
	return math.Pi * d * d / 4
}

// At is the tool at work at a moment that ends something.
func (c Cutters) At(p sweep.Progress) int32 {
	i := int(math.Ceil(float64(p))) - 1
	return c.Moves.At(max(0, min(i, c.Moves.Len()-1))).Tool
}

// Crumb tells whether a piece is smaller than the section of the tool that frees it.
func (c Cutters) Crumb(p *sweep.Piece) bool {
	return p.ComesFree() && p.AreaMM2 < c.SectionMM2(c.At(p.Freed))
}
