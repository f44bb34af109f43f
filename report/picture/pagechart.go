package picture

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"staydown/hold/result"
	"staydown/hold/wording"
)

// The chart of a page is not the picture of TimelineSVG: lines and areas stretch with the page, letters are text of the
// page and keep their size. What lies where is given in hundredths of the width and height.

// Size of the box in which lines are drawn before the page stretches it.
const (
	chartWidth  = 1000.0
	chartHeight = 100.0
	PageColumns = 1000 // of the timeline's data
)

// Labels along the time axis are placed for two widths of the chart, pixels: beside the plan, and on a small screen.
const (
	wideChart    = 500.0
	slimChart    = 280.0
	chartLetter  = 7.7 // width of a letter, pixels, at most: of a digit in a wide font at 12 pixels
	chartGap     = 4.0
	chartRows    = 2
	chartTickMax = 4
	leastTickGap = 15.0 // hundredths of the height of a panel
)

type PageChart struct {
	Tools  []chartSpan
	Panels []chartPanel
	Clock  []chartTick
	Hits   []chartHit
}

type chartPanel struct {
	Name, Title string
	Ticks       []chartTick
	Shades      []chartSpan
	Lines       []chartLine
	Rules       []chartRule
	Labels      []chartLabels
	Key         []chartKey
}

type chartSpan struct {
	Class, Text string
	Left, Width float64
}

type chartTick struct {
	At   float64
	Text string
}

type chartLine struct{ Class, Path string }

type chartRule struct {
	Class string
	At    float64
}

// chartLabels are the labels of one width of the chart.
type chartLabels struct {
	Class  string
	Labels []chartLabel
}

type chartLabel struct {
	Text   string
	At     float64
	Row    int
	Strong bool
}

type chartKey struct{ Class, Text string }

type chartHit struct {
	Entry int // of the list
	TimeS float64
	chartSpan
}

// LayChart lays out the program over time. entry is the place of a finding in the list of the page, or -1.
func LayChart(r *result.Result, entry func(finding int) int) PageChart {
	c := newCurves(r, 0, chartWidth, chartWidth/PageColumns)
	out := PageChart{Panels: []chartPanel{c.areaPanel(), c.vacuumPanel(), c.marginPanel()}}
	for _, u := range r.Tools {
		if span, ok := c.chartSpan(u.FromS, u.ToS); ok {
			span.Text = "T" + strconv.Itoa(u.Tool)
			out.Tools = append(out.Tools, span)
		}
	}
	for _, k := range timeTicks(c.span, chartTickMax) {
		out.Clock = append(out.Clock, chartTick{round2(100 * k.value / c.span), k.label})
	}
	for i, f := range r.Findings {
		if n := entry(i); n >= 0 && len(out.Hits) < maxPlanPlaces && f.Line > 0 {
			span, _ := c.chartSpan(f.TimeS, f.LastTimeS)
			out.Hits = append(out.Hits, chartHit{n, f.TimeS, span})
		}
	}
	return out
}

// chartSpan is a part of the time; false where it has no length.
func (c *curves) chartSpan(fromS, toS float64) (chartSpan, bool) {
	x0, x1 := c.time.At(fromS), c.time.At(toS)
	return chartSpan{Left: round2(x0 / 10), Width: round2((x1 - x0) / 10)}, x1 > x0
}

// chartTicks puts ticks on an axis that runs upwards from chartHeight, those of whole powers of ten first where not all
// have room.
func chartTicks(ticks []tick, a Axis) []chartTick {
	var out []chartTick
	for _, decades := range []bool{true, false} {
		for _, k := range ticks {
			at := chartTick{chartLevel(a, k.value), k.label}
			whole := a.Log && math.Mod(math.Log10(k.value), 1) == 0
			if whole == decades && !slices.ContainsFunc(out, func(o chartTick) bool {
				return math.Abs(o.At-at.At) < leastTickGap
			}) {
				out = append(out, at)
			}
		}
	}
	return out
}

// chartLevel is the height of a value above the foot of a panel.
func chartLevel(a Axis, v float64) float64 { return round2(100 - a.At(v)) }

func chartPath(runs ...[]spot) string {
	var b strings.Builder
	for _, run := range runs {
		for i, s := range run {
			fmt.Fprintf(&b, "%s%s %s", map[bool]string{true: "M", false: "L"}[i == 0], Short(s.x), Short(s.y))
		}
	}
	return b.String()
}

func (c *curves) areaPanel() chartPanel {
	a := c.areaAxis(chartHeight, 0)
	p := chartPanel{Name: "area", Title: c.areaTitle(), Ticks: chartTicks(linearTicks(a.Lo, a.Hi, 3,
		c.r.Units.TableArea()), a),
		Key: []chartKey{{"stock", "stock"}, {"part", "freed pieces"}, {"freed", "piece comes free"}}}
	if stock, all := c.heldAreas(a); len(stock) > 1 {
		ground := []spot{{stock[len(stock)-1].x, chartHeight}, {stock[0].x, chartHeight}}
		p.Lines = []chartLine{{"part", chartPath(append(all, ground...)) + "Z"},
			{"stock", chartPath(append(stock, ground...)) + "Z"}}
	}
	var freed [][]spot
	for _, piece := range c.r.Pieces {
		if piece.Freed && len(freed) < maxMarkLabels {
			x := c.time.At(piece.FreedTimeS)
			freed = append(freed, []spot{{x, 0}, {x, 14}})
		}
	}
	p.Lines = append(p.Lines, chartLine{"freed", chartPath(freed...)})
	return p
}

func (c *curves) vacuumPanel() chartPanel {
	a, unit := c.vacuumAxis(chartHeight, 0), c.r.Units.Pressure()
	p := chartPanel{Name: "vacuum", Title: "vacuum (" + unit.Name + ")",
		Ticks:  chartTicks(linearTicks(a.Lo, a.Hi, 3, unit), a),
		Shades: c.shades(), Lines: []chartLine{{"vacuum", chartPath(c.vacuumRuns(a)...)}}}
	if kPa := c.r.Job.AlarmKPa; kPa > 0 {
		p.Rules = append(p.Rules, chartRule{"alarm", chartLevel(a, kPa)})
		p.Key = append(p.Key, chartKey{"alarm", "alarm of the machine, " + unit.Text(kPa)})
	}
	if kPa := c.r.Vacuum.AlarmSetpointKPa; kPa > 0 { // false for NaN
		p.Rules = append(p.Rules, chartRule{"setpoint", chartLevel(a, kPa)})
		p.Key = append(p.Key, chartKey{"setpoint", "setpoint found, " + unit.Text(kPa)})
	}
	return p
}

func (c *curves) marginPanel() chartPanel {
	a, _, _ := c.marginAxis(chartHeight, 0)
	p := chartPanel{Name: "margin", Title: "least margin", Ticks: chartTicks(logTicks(a.Lo, a.Hi), a),
		Shades: c.shades(), Rules: []chartRule{{"limit", chartLevel(a, 1)}}}
	if c.crowded() {
		p.Lines = append(p.Lines, chartLine{"band", chartPath(c.marginRuns(a, c.pick, likelyMargin)...)})
	}
	p.Lines = append(p.Lines, chartLine{"range", chartPath(c.rangeBands(a)...)},
		chartLine{"margin", chartPath(c.marginRuns(a, c.lowest(likelyMargin), likelyMargin)...)})
	p.Key = append(p.Key, chartKey{"range", "5 to 95 %"})
	if asked := c.asked(); asked > 1 {
		p.Rules = append(p.Rules, chartRule{"asked", chartLevel(a, asked)})
		p.Key = append(p.Key, chartKey{"asked", "required, " + wording.Margin(asked)})
	}
	p.Key = append(p.Key, chartKey{"limit", "limit 1"}, chartKey{"at-risk", "at risk"}, chartKey{"loose", "loose"})
	p.Labels = []chartLabels{{"wide", c.lineLabels(wideChart)}, {"slim", c.lineLabels(slimChart)}}
	return p
}

// shades are the times with too little margin.
func (c *curves) shades() []chartSpan {
	atRisk, loose := RiskySpans(c.r, 1.5*c.span/PageColumns)
	var out []chartSpan
	for class, spans := range [][]Span{atRisk, loose} {
		for _, s := range spans {
			shade, _ := c.chartSpan(s.FromS, s.ToS)
			shade.Class = [...]string{"at-risk", "loose"}[class]
			out = append(out, shade)
		}
	}
	return out
}

// lineLabels places the lines of the findings over a chart of some width, pixels.
func (c *curves) lineLabels(width float64) []chartLabel {
	wanted := c.riskLabels(func(s string) float64 { return chartLetter * float64(len(s)) })
	for i := range wanted {
		wanted[i].x *= width / chartWidth
	}
	var out []chartLabel
	set, _ := placeLabels(wanted, 0, width, chartGap, chartRows)
	for _, l := range set {
		out = append(out, chartLabel{Text: l.text, At: round2(100 * l.at / width), Row: l.row, Strong: l.strong})
	}
	return out
}
