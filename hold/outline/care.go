package outline

import (
	"fmt"
	"math"

	"staydown/hold/dryrun"
	"staydown/hold/job"
	"staydown/sweep"
)

// Options are the choices that a drawing leaves open. Zero values are chosen, and listed as assumed.
type Options struct {
	Tool      int // number; negative: the first flat one of the job
	FeedMMMin float64
	RPM       float64 // 0: that of the tool or the machine in the job
	Care      Care
	Workers   int
}

// Defaults, all of them common practice, no source.
const (
	closingMM    = 0.5
	tabCount     = 4
	tabWideMM    = 6.0
	tabHighMM    = 1.5
	chipShare    = 0.01 // feed per tooth over the diameter of the tool
	usualRPM     = 18000.0
	skinStepMM   = 0.05
	mostOfStock  = 1.0 / 3 // a skin, a thin pass and tabs take no more of the thickness
	practiceOnly = "common practice, no source"
)

// choices settles what the drawing leaves open.
type choices struct {
	cut     dryrun.Cut
	tool    job.Tool
	care    Care
	thickMM float64 // of the stock
	assumed []string
	// whyNot says why a way cannot be tried; "" where it can
	whyNot [ways]string
}

func (c *choices) assume(format string, args ...any) {
	c.assumed = append(c.assumed, fmt.Sprintf(format, args...))
}

func choose(j *job.Job, o Options) (*choices, error) {
	c := &choices{care: o.Care, cut: dryrun.Cut{Tool: o.Tool, FeedMMMin: o.FeedMMMin, RPM: o.RPM}}
	if o.Tool < 0 {
		flat := 0
		for n, t := range j.Tools {
			if t.Shape != sweep.Flat {
				continue
			}
			if flat++; c.cut.Tool < 0 || n < c.cut.Tool {
				c.cut.Tool = n
			}
		}
		if flat == 0 {
			return nil, fmt.Errorf("the job has no flat end mill, which cuts outlines; add a [[tool]]")
		}
		if flat > 1 {
			c.assume("tool %d cuts the outlines, the first of %d flat ones", c.cut.Tool, flat)
		}
	}
	var ok bool
	if c.tool, ok = j.Tools[c.cut.Tool]; !ok {
		return nil, fmt.Errorf("the job has no tool %d; add it, or choose another", c.cut.Tool)
	}
	if c.cut.RPM == 0 {
		if c.cut.RPM = c.tool.RPM; c.cut.RPM == 0 {
			c.cut.RPM = j.Machine.RPM
		}
		if c.cut.RPM == 0 {
			c.cut.RPM = usualRPM
			c.assume("spindle speed S%.0f, since neither tool nor machine of the job names one (%s)", usualRPM,
				practiceOnly)
		}
	}
	if c.cut.FeedMMMin == 0 {
		c.cut.FeedMMMin = math.Round(chipShare * c.tool.DiameterMM * float64(max(1, c.tool.Flutes)) * c.cut.RPM)
		c.assume("feed F%.0f: a chip of %.3g mm, a hundredth of the tool's diameter (%s)", c.cut.FeedMMMin,
			chipShare*c.tool.DiameterMM, practiceOnly)
	}
	c.chooseCare(j)
	return c, nil
}

// chooseCare settles what thin pass, skin and tabs are for the thickness.
func (c *choices) chooseCare(j *job.Job) {
	for _, b := range j.Stock.Blanks {
		c.thickMM = math.Max(c.thickMM, b.TopMM-j.Stock.BottomMM)
	}
	most := c.thickMM * mostOfStock
	if c.care.ClosingMM == 0 {
		c.care.ClosingMM = math.Max(closingMM, j.Limits.LeastPassMM)
		c.assume("a thin last pass takes %.4g mm (%s)", c.care.ClosingMM, practiceOnly)
	}
	if c.care.SkinMM == 0 {
		least := math.Max(j.Limits.LeastSkinMM, j.Stock.ToleranceMM+skinStepMM)
		c.care.SkinMM = math.Ceil(least/skinStepMM-1e-9) * skinStepMM
		c.assume("a skin is %.4g mm thick: the thinnest that is of use and above the tolerance of the blank",
			c.care.SkinMM)
	}
	if c.care.Tabs == 0 {
		c.care.Tabs = tabCount
	}
	if c.care.TabWideMM == 0 {
		c.care.TabWideMM = tabWideMM
	}
	if c.care.TabHighMM == 0 {
		c.care.TabHighMM = math.Min(tabHighMM, most)
		c.assume("up to %d tabs, %.4g mm wide and %.4g mm high (%s)", c.care.Tabs, c.care.TabWideMM, c.care.TabHighMM,
			practiceOnly)
	}
	c.assume("passes before a thin last pass are no deeper than the tool's diameter (%s)", practiceOnly)
	for _, limit := range []struct {
		way  Way
		mm   float64
		what string
	}{{ThinPass, c.care.ClosingMM, "a last pass"}, {Skin, c.care.SkinMM, "a skin"}, {Tabs, c.care.TabHighMM, "tabs"}} {
		if limit.mm > most*1.001 && limit.way != ThinPass || limit.mm >= c.thickMM {
			c.whyNot[limit.way] = fmt.Sprintf("%s of %.4g mm is too much of %.4g mm", limit.what, limit.mm, c.thickMM)
		}
	}
	if c.care.TabHighMM <= j.Stock.ToleranceMM {
		c.whyNot[Tabs] = "tabs would be no higher than the tolerance of the blank"
	}
}

// of gives the care of a way for one path; why is set when it cannot be tried.
func (c *choices) of(w Way, p dryrun.Path) (care dryrun.Care, why string) {
	if why := c.whyNot[w]; why != "" {
		return dryrun.Care{}, why
	}
	if w == OnePass {
		return dryrun.Care{PassMM: c.care.PassMM}, ""
	}
	care = dryrun.Care{PassMM: c.tool.DiameterMM, ClosingMM: c.care.ClosingMM}
	if c.care.PassMM > 0 {
		care.PassMM = math.Min(care.PassMM, c.care.PassMM)
	}
	switch w {
	case Skin:
		care.SkinMM = c.care.SkinMM
	case Tabs:
		care.TabWideMM, care.TabHighMM = c.care.TabWideMM, c.care.TabHighMM
		const fewest = 2
		for care.Tabs = c.care.Tabs; !p.HasRoomFor(care); care.Tabs-- {
			if care.Tabs <= fewest {
				return dryrun.Care{}, "no room for tabs"
			}
		}
	}
	if care.ClosingMM+care.SkinMM >= c.thickMM {
		care.ClosingMM = 0
	}
	return care, ""
}
