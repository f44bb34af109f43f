package outline

import (
	"fmt"
	"math"

	"staydown/hold/dryrun"
	"staydown/hold/job"
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
	skinStepMM   = 0.05 // to which skins are rounded up
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
	chosen, err := dryrun.Choose(j, o.Tool, o.RPM)
	if err != nil {
		return nil, err
	}
	c := &choices{care: o.Care, tool: chosen.Tool,
		cut: dryrun.Cut{Tool: chosen.Number, FeedMMMin: o.FeedMMMin, RPM: chosen.RPM}}
	if chosen.Flat > 1 {
		c.assume("tool %d cuts the outlines, the first of %d flat ones", chosen.Number, chosen.Flat)
	}
	if chosen.WhatAssumed != "" {
		c.assume("%s", chosen.WhatAssumed)
	}
	if c.cut.FeedMMMin == 0 {
		c.cut.FeedMMMin = math.Round(chosen.FeedMMMin)
		c.assume("feed F%.0f: a chip of %.3g mm, a hundredth of the tool's diameter (%s)", c.cut.FeedMMMin,
			chosen.ChipMM, practiceOnly)
	}
	c.chooseCare(j)
	return c, nil
}

// chooseCare settles what thin pass, skin and tabs are for the thickness.
func (c *choices) chooseCare(j *job.Job) {
	c.thickMM = j.Stock.TopMM() - j.Stock.BottomMM
	usual := dryrun.UsualCare(j, c.thickMM)
	if c.care.ClosingMM == 0 {
		c.care.ClosingMM = math.Max(closingMM, j.Limits.LeastPassMM)
		c.assume("a thin last pass takes %.4g mm (%s)", c.care.ClosingMM, practiceOnly)
	}
	if c.care.SkinMM == 0 {
		c.care.SkinMM = math.Ceil(usual.SkinMM/skinStepMM-1e-9) * skinStepMM
		c.assume("a skin is %.4g mm thick: the thinnest that is of use and above the tolerance of the blank",
			c.care.SkinMM)
	}
	if c.care.Tabs == 0 {
		c.care.Tabs = usual.Tabs
	}
	if c.care.TabWideMM == 0 {
		c.care.TabWideMM = usual.TabWideMM
	}
	if c.care.TabHighMM == 0 {
		c.care.TabHighMM = usual.TabHighMM
		c.assume("up to %d tabs, %.4g mm wide and %.4g mm high (%s)", c.care.Tabs, c.care.TabWideMM, c.care.TabHighMM,
			practiceOnly)
	}
	c.assume("passes before a thin last pass are no deeper than the tool's diameter (%s)", practiceOnly)
	for _, limit := range []struct {
		way  Way
		mm   float64
		what string
	}{{ThinPass, c.care.ClosingMM, "a last pass"}, {Skin, c.care.SkinMM, "a skin"}, {Tabs, c.care.TabHighMM, "tabs"}} {
		if limit.mm > c.thickMM*dryrun.MostOfStock*1.001 && limit.way != ThinPass || limit.mm >= c.thickMM {
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
