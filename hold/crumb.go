package hold

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"staydown/hold/wording"
	"staydown/sweep"
)

// A piece smaller than the section of the cutter that frees it is a crumb. The cutter may climb it, throw it or grind
// it away; the model does not cover that. Crumbs are reported in one finding per tool, with the level of the worst and
// at least at-risk.

// sectionMM2 is the area that a tool covers.
func (a *Analysis) sectionMM2(tool int32) float64 {
	d := a.job.Tools[int(tool)].DiameterMM
	return math.Pi * d * d / 4
}

// toolAt is the tool at work at a moment that ends something.
func (a *Analysis) toolAt(p sweep.Progress) int32 {
	i := int(math.Ceil(float64(p))) - 1
	return a.prog.Moves.At(max(0, min(i, a.prog.Moves.Len()-1))).Tool
}

func (a *Analysis) crumb(p *sweep.Piece) bool {
	return p.ComesFree() && p.AreaMM2 < a.sectionMM2(a.toolAt(p.Freed))
}

// splitCrumbs takes the stretches of crumbs out.
func (a *Analysis) splitCrumbs(runs []*stretch) []*stretch {
	return slices.DeleteFunc(slices.Clone(runs), func(run *stretch) bool { return a.crumb(&a.rec.Pieces[run.piece-1]) })
}

// crumbFindings reports the crumbs, one finding for each tool, with the least margin of all. One that lies on no open
// zone has margin 0.
func (a *Analysis) crumbFindings() []Finding {
	of := map[int32][]*sweep.Piece{}
	var tools []int32
	for i := range a.rec.Pieces {
		p := &a.rec.Pieces[i]
		if !a.crumb(p) {
			continue
		}
		tool := a.toolAt(p.Freed)
		if of[tool] == nil {
			tools = append(tools, tool)
		}
		of[tool] = append(of[tool], p)
	}
	var out []Finding
	for _, tool := range tools {
		out = append(out, a.crumbFinding(tool, of[tool]))
	}
	return out
}

func (a *Analysis) crumbFinding(tool int32, crumbs []*sweep.Piece) Finding {
	slices.SortStableFunc(crumbs, func(p, q *sweep.Piece) int { return cmp.Compare(p.Freed, q.Freed) })
	first, last := crumbs[0], crumbs[len(crumbs)-1]
	f := plain(RuleSliver, LevelWarning, a.clock.LineOf(first.Freed), a.clock.TimeS(first.Freed), "")
	f.LastLine, f.LastTimeS, f.Tool = a.clock.LineOf(last.Freed), a.clock.TimeS(last.Freed), int(tool)
	f.Unresolved, f.At, f.HasAt = true, first.Centroid, true
	low, high := first.AreaMM2, first.AreaMM2
	worstLine := 0
	take := func(p *sweep.Piece, margin, holdN, loadN float64, mode Mode, line int) {
		if math.IsNaN(f.Margin) || margin < f.Margin {
			f.Margin, f.HoldN, f.LoadN, f.Mode, f.At, worstLine = margin, holdN, loadN, mode, p.Centroid, line
		}
	}
	for _, p := range crumbs {
		low, high = math.Min(low, p.AreaMM2), math.Max(high, p.AreaMM2)
		if t, ok := a.least[int32(p.ID)]; ok {
			take(p, t.margin*a.rangeOf(t.piece).learned, t.holdN, t.loadN, t.mode, t.line)
		}
		if a.unheld(p) {
			take(p, 0, 0, math.NaN(), NoMode, a.clock.LineOf(p.Freed))
		}
	}
	area := a.units.Area()
	if len(crumbs) == 1 {
		f.Piece = first.ID
		f.Message = fmt.Sprintf(
			"piece %d is a sliver of %s, smaller than tool %d that frees it: it can be thrown", first.ID,
			area.Text(first.AreaMM2), tool)
	} else {
		size := area.Text(high)
		if least := area.Number(low); least != area.Number(high) {
			size = least + " to " + size
		}
		f.Message = fmt.Sprintf("%d slivers of %s, smaller than tool %d that frees them: they can be thrown",
			len(crumbs), size, tool)
	}
	if !math.IsNaN(f.Margin) {
		f.Message += fmt.Sprintf("; least margin %s, at line %d", wording.Margin(f.Margin), worstLine)
	}
	if f.Margin < 1 {
		f.Level = LevelError
	}
	return f
}

// unheld tells whether a freed piece lies below no clamp and on no open zone, or has lost its vacuum. One that is
// milled away loses its area, not its vacuum.
func (a *Analysis) unheld(p *sweep.Piece) bool {
	if len(a.clamps.PressesOn(p, p.Freed)) > 0 {
		return false
	}
	if milledAway(p) {
		return a.held[p.ID].FirstMM2 == 0
	}
	return a.heldArea(p.ID) == 0
}
