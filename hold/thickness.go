package hold

import (
	"fmt"
	"math"

	"staydown/hold/doubt"
	"staydown/hold/internal/steploads"
	"staydown/hold/result"
	"staydown/hold/wording"
	"staydown/sweep"
)

// thicknessFindings notes cuts that depend on the tolerance of the blank: through cuts so shallow that thicker stock
// keeps a skin, and skins so thin that thinner stock is cut through. Each kind is one note, with the closest case.
func (a *Analysis) thicknessFindings() []result.Finding {
	if a.job.Stock.ToleranceMM <= 0 {
		return nil
	}
	return append(a.shallowFinding(), a.thinSkinFinding()...)
}

// shallowFinding notes through cuts that end within the tolerance below the table side.
func (a *Analysis) shallowFinding() []result.Finding {
	least := a.job.Stock.ToleranceMM - depthToleranceMM
	var worst *sweep.Step
	found := steploads.Blocks{}
	for i := range a.rec.Steps.Len() {
		s := a.rec.Steps.At(i)
		if s.Flags&sweep.Breakthrough == 0 {
			continue
		}
		below := a.belowMM(s)
		if below >= a.job.Stock.ToleranceMM-depthToleranceMM {
			continue
		}
		found[a.prog.Moves.At(int(s.Move)).Line] = true
		if worst == nil || below < least {
			worst, least = s, below
		}
	}
	if worst == nil {
		return nil
	}
	tolerance := a.units.Length().Text(a.job.Stock.ToleranceMM)
	change := fmt.Sprintf("in stock %s thicker", tolerance)
	if a.rec.Stock.BottomMM == 0 { // zero lies on the table, not on the stock
		change = fmt.Sprintf("where the table lies %s lower", tolerance)
	}
	more := ""
	if n := len(found) - 1; n > 0 {
		more = fmt.Sprintf(" (and in %s)", wording.Count(n, "more block", "more blocks"))
	}
	return []result.Finding{a.stepFinding(result.RuleThickness, result.LevelNote, worst,
		fmt.Sprintf("the last pass ends %s below the table side%s; %s a skin remains",
			a.units.Depth().Text(math.Max(0, least)), more,
			change))}
}

// belowMM is how deep below the table side the tools go in the end where a step goes.
func (a *Analysis) belowMM(s *sweep.Step) float64 {
	g := a.rec.Grid
	m := a.prog.Moves.At(int(s.Move))
	at := m.At(float64(s.From+s.To) / 2)
	below := a.rec.Stock.BottomMM - float64(s.TipMM)
	ix, iy := int(math.Floor((at.X-g.OriginX)/g.CellMM)), int(math.Floor((at.Y-g.OriginY)/g.CellMM))
	if ix >= 0 && iy >= 0 && ix < g.NX && iy < g.NY {
		below = math.Max(below, a.rec.LayerDepthMM(ix, iy))
	}
	return below
}

// sheetStatements tells of a thicker sheet that was not looked at. A thinner one is a warning: see thinSkinFinding.
func (a *Analysis) sheetStatements() []string {
	if !a.notSwept[1] {
		return nil
	}
	return []string{"in so long a program, thicker sheets, in which some cuts would leave a skin, are not run as well"}
}

// skinCovers is the share of the line round a piece from which what stands on it is a skin.
const skinCovers = 0.5

// thinSkinFinding notes pieces that hang on a skin no thicker than the tolerance.
func (a *Analysis) thinSkinFinding() []result.Finding {
	var thinnest *sweep.Piece
	least, n := math.Inf(1), 0
	within, on, more, level := a.job.Stock.ToleranceMM, "a skin", "", result.LevelNote
	if a.notSwept[0] {
		within *= farthestFlip / doubt.Score95
		on, more, level = "a skin or tabs", "; the program is too long to be run over such a sheet as well",
			result.LevelWarning
	}
	for _, k := range a.rec.Hanging {
		p := &a.rec.Pieces[k]
		thin := math.Inf(1)
		if end := &p.Sections[len(p.Sections)-1]; end.Covered() > skinCovers || a.notSwept[0] {
			for _, j := range end.Joins {
				thin = math.Min(thin, j.HeightMM)
			}
		}
		if thin > within+depthToleranceMM {
			continue
		}
		n++
		if thin < least {
			thinnest, least = p, thin
		}
	}
	if thinnest == nil {
		return nil
	}
	who := fmt.Sprintf("piece %d hangs", thinnest.ID)
	if n > 1 {
		who = fmt.Sprintf("%d pieces hang", n)
	}
	change := "in stock %s thinner"
	if a.rec.Stock.BottomMM == 0 {
		change = "where the table lies %s higher"
	}
	f := result.NewFinding(result.RuleThickness, level, a.clock.LineOf(thinnest.Hung), a.clock.TimeS(thinnest.Hung),
		fmt.Sprintf(
			"%s on %s of %s; "+change+" it is cut through%s", who, on, a.units.Depth().Text(least),
			a.units.Length().Text(within), more))
	if n == 1 {
		f.Piece = thinnest.ID
	}
	f.At, f.HasAt = thinnest.Centroid, true
	return []result.Finding{f}
}
