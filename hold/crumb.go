package hold

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"staydown/hold/internal/pieces"
	"staydown/hold/result"
	"staydown/hold/wording"
	"staydown/sweep"
)

// splitCrumbs takes the stretches of crumbs out.
func (a *Analysis) splitCrumbs(runs []*stretch) []*stretch {
	return slices.DeleteFunc(slices.Clone(runs),
		func(run *stretch) bool { return a.cutters.Crumb(&a.rec.Pieces[run.piece-1]) })
}

// crumbFindings reports the crumbs, one finding for each tool, with the least margin of all. One that lies on no open
// zone has margin 0.
func (a *Analysis) crumbFindings() []result.Finding {
	of := map[int32][]*sweep.Piece{}
	var tools []int32
	for i := range a.rec.Pieces {
		p := &a.rec.Pieces[i]
		if !a.cutters.Crumb(p) {
			continue
		}
		tool := a.cutters.At(p.Freed)
		if of[tool] == nil {
			tools = append(tools, tool)
		}
		of[tool] = append(of[tool], p)
	}
	var out []result.Finding
	for _, tool := range tools {
		out = append(out, a.crumbFinding(tool, of[tool]))
	}
	return out
}

func (a *Analysis) crumbFinding(tool int32, crumbs []*sweep.Piece) result.Finding {
	slices.SortStableFunc(crumbs, func(p, q *sweep.Piece) int { return cmp.Compare(p.Freed, q.Freed) })
	first, last := crumbs[0], crumbs[len(crumbs)-1]
	f := result.NewFinding(result.RuleSliver, result.LevelWarning, a.clock.LineOf(first.Freed),
		a.clock.TimeS(first.Freed), "")
	f.LastLine, f.LastTimeS, f.Tool = a.clock.LineOf(last.Freed), a.clock.TimeS(last.Freed), int(tool)
	f.Unresolved, f.At, f.HasAt = true, first.Centroid, true
	low, high := first.AreaMM2, first.AreaMM2
	worstLine := 0
	take := func(p *sweep.Piece, margin, holdN, loadN float64, mode result.Mode, line int) {
		if math.IsNaN(f.Margin) || margin < f.Margin {
			f.Margin, f.HoldN, f.LoadN, f.Mode, f.At, worstLine = margin, holdN, loadN, mode, p.Centroid, line
		}
	}
	for _, p := range crumbs {
		low, high = math.Min(low, p.AreaMM2), math.Max(high, p.AreaMM2)
		if t, doubt, ok := a.leastOf(p.ID); ok {
			take(p, t.margin*doubt.learned, t.holdN, t.loadN, t.mode, t.line)
		}
		if a.unheld(p) {
			take(p, 0, 0, math.NaN(), result.NoMode, a.clock.LineOf(p.Freed))
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
		f.Level = result.LevelError
	}
	return f
}

// unheld tells whether a freed piece lies below no clamp and on no open zone, or has lost its vacuum. One that is
// milled away loses its area, not its vacuum.
func (a *Analysis) unheld(p *sweep.Piece) bool {
	if len(a.clamps.PressesOn(p, p.Freed)) > 0 {
		return false
	}
	if pieces.MilledAway(p) {
		return a.held[p.ID].FirstMM2 == 0
	}
	return a.heldArea(p.ID) == 0
}

// remnant tells whether less is left of an island at the end of an epoch than the section of the tool at work.
func (a *Analysis) remnant(e *epoch, tool, id int32) bool {
	left, milled := e.leftMM2[id]
	return milled && left < a.cutters.SectionMM2(tool)
}

// milledFindings reports the islands that are milled away.
func (a *Analysis) milledFindings() []result.Finding {
	var out []result.Finding
	for i := range a.rec.Pieces {
		p := &a.rec.Pieces[i]
		if !pieces.MilledAway(p) || a.cutters.Crumb(p) {
			continue
		}
		gone := a.islands.Gone(p)
		f := result.NewFinding(result.RuleMilledAway, result.LevelWarning, a.clock.LineOf(p.Freed),
			a.clock.TimeS(p.Freed), fmt.Sprintf(
				"%s is free and is milled away by line %d: the last of it, smaller than tool %d, can be thrown",
				a.Result.Pieces[i].Name(a.units), a.clock.LineOf(gone), a.cutters.At(gone)))
		f.LastLine, f.LastTimeS, f.Piece, f.Tool = a.clock.LineOf(gone), a.clock.TimeS(gone), p.ID,
			int(a.cutters.At(gone))
		f.Unresolved, f.At, f.HasAt = true, p.Centroid, true
		out = append(out, f)
	}
	return out
}

// pieceFindings reports freed pieces that are narrow slivers; those below the tool section are in crumbFindings.
func (a *Analysis) pieceFindings() []result.Finding {
	var out []result.Finding
	for i := range a.rec.Pieces {
		p := &a.rec.Pieces[i]
		if !p.ComesFree() || p.Class == sweep.Part || a.cutters.Crumb(p) {
			continue
		}
		f := result.NewFinding(result.RuleSliver, result.LevelWarning, a.clock.LineOf(p.Freed), a.clock.TimeS(p.Freed),
			fmt.Sprintf("%s is a sliver of %s, narrower than half the tool that frees it: it can be thrown",
				a.Result.Pieces[i].Name(a.units), a.units.Area().Text(p.AreaMM2)))
		f.Piece, f.At, f.HasAt = p.ID, p.Centroid, true
		out = append(out, f)
	}
	return out
}
