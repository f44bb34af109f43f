package chart

import (
	"fmt"
	"math"
	"slices"

	"github.com/paulmach/orb"
	"github.com/paulmach/orb/planar"

	"staydown/hold/dryrun"
	"staydown/hold/job"
	"staydown/parse/units"
)

// feedShares are the feeds of a chart over the usual one.
var feedShares = []float64{0.25, 0.5, 0.75, 1, 1.5}

const (
	depths   = 12
	mostOpen = 0.9
	// webDiameters: so much of the sheet stays between a part's cut and the rim of the blank.
	webDiameters = 1.0
)

// ladder are the sizes tried, mm: preferred numbers, series R10 of ISO 3.
var ladder = []float64{10, 12.5, 16, 20, 25, 31.5, 40, 50, 63, 80, 100, 125, 160, 200, 250, 315}

// table is what a chart is drawn for.
type table struct {
	job     *job.Job // without clamps, and with the open part of the sheet cut out
	tool    job.Tool
	number  int
	rpm     float64
	feeds   []float64
	sizes   []float64
	depths  []float64
	thickMM float64
	blank   orb.Polygon
	free    orb.Bound // what is left of the blank for parts
	places  []place
	assumed []string
}

func (t *table) assume(format string, args ...any) {
	t.assumed = append(t.assumed, fmt.Sprintf(format, args...))
}

func newTable(given *job.Job, o Options) (*table, error) {
	j := *given
	t := &table{job: &j}
	if len(j.Clamps)+len(j.Fixtures) > 0 {
		j.Clamps, j.Fixtures = nil, nil
		t.assume("clamps and fixtures of the job are left out")
	}
	if err := t.chooseTool(o); err != nil {
		return nil, err
	}
	if err := t.layBlank(o); err != nil {
		return nil, err
	}
	if t.sizes = o.SizesMM; len(t.sizes) == 0 {
		t.sizes = ladder
	}
	if t.depths = append(slices.Clone(o.DepthsMM), t.thickMM); len(o.DepthsMM) == 0 {
		t.depths = closingDepths(j.Limits.LeastPassMM, t.thickMM)
	}
	t.assumed = append(t.assumed, j.Assumed.In(j.Units)...)
	t.places = t.findPlaces()
	return t, nil
}

// chooseTool settles tool, speed and feeds.
func (t *table) chooseTool(o Options) error {
	c, err := dryrun.Choose(t.job, o.Tool, 0)
	if err != nil {
		return err
	}
	t.number, t.tool, t.rpm = c.Number, c.Tool, c.RPM
	if c.Flat > 0 {
		t.assume("tool %d cuts, the first flat one of the job", t.number)
	}
	if c.WhatAssumed != "" {
		t.assume("%s", c.WhatAssumed)
	}
	if t.feeds = o.FeedsMMMin; len(t.feeds) == 0 {
		for _, share := range feedShares {
			t.feeds = append(t.feeds, twoDigits(share*c.FeedMMMin))
		}
		t.assume("feeds about F%.0f: a chip of %.3g mm per tooth, a hundredth of the tool's diameter (common "+
			"practice, no source)", c.FeedMMMin, c.ChipMM)
	}
	return nil
}

// layBlank settles the blank: its thickness and the part of it that is open already.
func (t *table) layBlank(o Options) error {
	j := t.job
	j.Stock.Blanks = slices.Clone(j.Stock.Blanks)
	largest := 0
	for i := range j.Stock.Blanks {
		b := &j.Stock.Blanks[i]
		if o.ThickMM > 0 {
			b.TopMM = j.Stock.BottomMM + o.ThickMM
		}
		if planar.Area(b.Outline) > planar.Area(j.Stock.Blanks[largest].Outline) {
			largest = i
		}
	}
	if o.ThickMM > 0 {
		t.assume("stock %.4g mm thick, in place of the job's", o.ThickMM)
	}
	b := &j.Stock.Blanks[largest]
	t.thickMM = b.TopMM - j.Stock.BottomMM
	t.free = b.Outline.Bound()
	if o.OpenShare > 0 {
		hole, err := t.openStrip(b.Outline, o.OpenShare)
		if err != nil {
			return err
		}
		b.Outline = append(slices.Clone(b.Outline), hole)
		t.assume("%.0f %% of the sheet is open already, as one opening along its far end in X; the same area in "+
			"kerfs leaks more along its edges", 100*o.OpenShare)
	} else {
		t.assume("what lies bare is what the blank of the job leaves bare")
	}
	t.blank = b.Outline
	return nil
}

// openStrip is a clockwise opening of that share of a rectangular blank, at its far end in X.
func (t *table) openStrip(outline orb.Polygon, share float64) (orb.Ring, error) {
	b := outline.Bound()
	area := (b.Max[0] - b.Min[0]) * (b.Max[1] - b.Min[1])
	switch {
	case share > mostOpen:
		return nil, fmt.Errorf("an open share of %.3g %% leaves no room for parts; at most %.0f %%", 100*share,
			100*mostOpen)
	case len(outline) > 1 || math.Abs(planar.Area(outline)) < area*(1-1e-9):
		return nil, fmt.Errorf("an open share goes with a rectangular blank without cut-outs; write what is open as " +
			"[[stock.cutout]] and leave out --open-share")
	}
	const rim = 1.0 // mm of the sheet that stay round the opening: an opening lies within its blank
	high := b.Max[1] - b.Min[1] - 2*rim
	x1 := b.Max[0] - rim
	x0 := x1 - share*area/high
	if x0 <= b.Min[0]+rim {
		return nil, fmt.Errorf("an open share of %.3g %% leaves no room for parts; choose a smaller one", 100*share)
	}
	t.free.Max[0] = x0
	y0, y1 := b.Min[1]+rim, b.Max[1]-rim
	return orb.Ring{{x0, y0}, {x0, y1}, {x1, y1}, {x1, y0}, {x0, y0}}, nil
}

// closingDepths are depths of the closing pass from the thinnest that is of use to the whole thickness, in about equal
// ratios, to two digits.
func closingDepths(leastMM, thickMM float64) (out []float64) {
	least := math.Min(leastMM, thickMM/2)
	for k := range depths - 1 {
		d := twoDigits(least * math.Pow(thickMM/least, float64(k)/(depths-1)))
		if d < thickMM && (len(out) == 0 || d > out[len(out)-1]) {
			out = append(out, d)
		}
	}
	return append(out, thickMM)
}

func twoDigits(v float64) float64 {
	unit := units.DigitStep(v, 2)
	return math.Round(math.Round(v/unit)*unit*1e6) / 1e6
}
