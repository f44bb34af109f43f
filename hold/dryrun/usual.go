package dryrun

import (
	"errors"
	"fmt"
	"math"

	"staydown/hold/job"
	"staydown/sweep"
)

// What is usual where nobody says, all of it common practice, no source.
const (
	chipShare  = 0.01 // feed per tooth over the diameter of the tool
	usualRPM   = 18000.0
	skinMoreMM = 0.05 // of a skin above the tolerance of the blank
	tabCount   = 4
	tabWideMM  = 6.0
	tabHighMM  = 1.5
	// MostOfStock: a skin and tabs take no more of the thickness.
	MostOfStock = 1.0 / 3
)

// Choice is the tool of a dry run, its speed and its usual feed.
type Choice struct {
	Number      int
	Tool        job.Tool
	Flat        int // flat tools of the job, of which this is the first; 0: the tool was named
	RPM         float64
	FeedMMMin   float64 // by the chip
	ChipMM      float64 // per tooth
	WhatAssumed string  // of the speed, in words; "" where it is named
}

// Choose settles tool and speed: number is that of a tool of the job, or negative for its first flat one; rpm 0 is that
// of the tool or else of the machine. It fails if the job has no such tool.
func Choose(j *job.Job, number int, rpm float64) (Choice, error) {
	c := Choice{Number: number, RPM: rpm}
	if number < 0 {
		for n, t := range j.Tools {
			if t.Shape != sweep.Flat {
				continue
			}
			if c.Flat++; c.Number < 0 || n < c.Number {
				c.Number = n
			}
		}
		if c.Flat == 0 {
			return c, errors.New("the job has no flat end mill, which cuts outlines; add a [[tool]]")
		}
	}
	var ok bool
	if c.Tool, ok = j.Tools[c.Number]; !ok {
		return c, fmt.Errorf("the job has no tool %d; add it, or choose another with --tool", c.Number)
	}
	if c.RPM == 0 {
		c.RPM = c.Tool.RPM
	}
	if c.RPM == 0 {
		c.RPM = j.Machine.RPM
	}
	if c.RPM == 0 {
		c.RPM = usualRPM
		c.WhatAssumed = fmt.Sprintf("spindle speed S%.0f, since neither tool nor machine of the job names one (common "+
			"practice, no source)", usualRPM)
	}
	c.ChipMM = chipShare * c.Tool.DiameterMM
	c.FeedMMMin = c.ChipMM * float64(max(1, c.Tool.Flutes)) * c.RPM
	return c, nil
}

// UsualCare is the thinnest skin of use above the tolerance of the blank, and the tabs that are usual in stock of a
// thickness.
func UsualCare(j *job.Job, thickMM float64) Care {
	return Care{
		SkinMM: math.Max(j.Limits.LeastSkinMM, j.Stock.ToleranceMM+skinMoreMM),
		Tabs:   tabCount, TabWideMM: tabWideMM, TabHighMM: math.Min(tabHighMM, thickMM*MostOfStock),
	}
}
