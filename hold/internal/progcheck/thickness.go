package progcheck

import (
	"fmt"
	"math"

	"staydown/hold/doubt"
	"staydown/hold/internal/steploads"
	"staydown/hold/result"
	"staydown/hold/wording"
	"staydown/sweep"
)

// Thickness notes cuts that depend on the tolerance of the blank: through cuts so shallow that thicker stock
// keeps a skin, and skins so thin that thinner stock is cut through. Each kind is one note, with the closest case.
func (c *Checks) Thickness() []result.Finding {
	if c.Job.Stock.ToleranceMM <= 0 {
		return nil
	}
	return append(c.shallowFinding(), c.thinSkinFinding()...)
}

// shallowFinding notes through cuts that end within the tolerance below the table side.
func (c *Checks) shallowFinding() []result.Finding {
	least := c.Job.Stock.ToleranceMM - DepthToleranceMM
	var worst *sweep.Step
	found := steploads.Blocks{}
	for i := range c.Rec.Steps.Len() {
		s := c.Rec.Steps.At(i)
		if s.Flags&sweep.Breakthrough == 0 {
			continue
		}
		below := c.BelowMM(s)
		if below >= c.Job.Stock.ToleranceMM-DepthToleranceMM {
			continue
		}
		found[c.Prog.Moves.At(int(s.Move)).Line] = true
		if worst == nil || below < least {
			worst, least = s, below
		}
	}
	if worst == nil {
		return nil
	}
	tolerance := c.Units.Length().Text(c.Job.Stock.ToleranceMM)
	change := fmt.Sprintf("in stock %s thicker", tolerance)
	if c.Rec.Stock.BottomMM == 0 { // zero lies on the table, not on the stock
		change = fmt.Sprintf("where the table lies %s lower", tolerance)
	}
	more := ""
	if n := len(found) - 1; n > 0 {
		more = fmt.Sprintf(" (and in %s)", wording.Count(n, "more block", "more blocks"))
	}
	return []result.Finding{c.AtStep(result.RuleThickness, result.LevelNote, worst,
		fmt.Sprintf("the last pass ends %s below the table side%s; %s a skin remains",
			c.Units.Depth().Text(math.Max(0, least)), more,
			change))}
}

// BelowMM is how deep below the table side the tools go in the end where a step goes.
func (c *Checks) BelowMM(s *sweep.Step) float64 {
	g := c.Rec.Grid
	m := c.Prog.Moves.At(int(s.Move))
	at := m.At(float64(s.From+s.To) / 2)
	below := c.Rec.Stock.BottomMM - float64(s.TipMM)
	ix, iy := int(math.Floor((at.X-g.OriginX)/g.CellMM)), int(math.Floor((at.Y-g.OriginY)/g.CellMM))
	if ix >= 0 && iy >= 0 && ix < g.NX && iy < g.NY {
		below = math.Max(below, c.Rec.LayerDepthMM(ix, iy))
	}
	return below
}

// SheetStatements tells of a thicker sheet that was not looked at. A thinner one is a warning: see thinSkinFinding.
func (c *Checks) SheetStatements() []string {
	if !c.NotSwept[1] {
		return nil
	}
	return []string{"in so long a program, thicker sheets, in which some cuts would leave a skin, are not run as well"}
}

// skinCovers is the share of the line round a piece from which what stands on it is a skin.
const skinCovers = 0.5

// thinSkinFinding notes pieces that hang on a skin no thicker than the tolerance.
func (c *Checks) thinSkinFinding() []result.Finding {
	var thinnest *sweep.Piece
	least, n := math.Inf(1), 0
	within, on, more, level := c.Job.Stock.ToleranceMM, "a skin", "", result.LevelNote
	if c.NotSwept[0] {
		within *= FarthestSheet / doubt.Score95
		on, more, level = "a skin or tabs", "; the program is too long to be run over such a sheet as well",
			result.LevelWarning
	}
	for _, k := range c.Rec.Hanging {
		p := &c.Rec.Pieces[k]
		thin := math.Inf(1)
		if end := &p.Sections[len(p.Sections)-1]; end.Covered() > skinCovers || c.NotSwept[0] {
			for _, j := range end.Joins {
				thin = math.Min(thin, j.HeightMM)
			}
		}
		if thin > within+DepthToleranceMM {
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
	if c.Rec.Stock.BottomMM == 0 {
		change = "where the table lies %s higher"
	}
	f := result.NewFinding(result.RuleThickness, level, c.Clock.LineOf(thinnest.Hung), c.Clock.TimeS(thinnest.Hung),
		fmt.Sprintf(
			"%s on %s of %s; "+change+" it is cut through%s", who, on, c.Units.Depth().Text(least),
			c.Units.Length().Text(within), more))
	if n == 1 {
		f.Piece = thinnest.ID
	}
	f.At, f.HasAt = thinnest.Centroid, true
	return []result.Finding{f}
}
