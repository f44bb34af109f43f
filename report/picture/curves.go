package picture

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"staydown/hold/result"
)

// curves are the samples of a result as lines over time, in the units of a picture. Pictures and pages share them.
type curves struct {
	r     *result.Result
	pick  []int // samples to draw
	time  Axis
	span  float64
	pixel float64 // width of one column of the picture
}

// newCurves lays the time axis from left to right with columns pixel wide.
func newCurves(r *result.Result, left, right, pixel float64) curves {
	span := SpanS(r)
	return curves{r: r, span: span, pixel: pixel, time: Axis{Lo: 0, Hi: span, From: left, To: right},
		pick: Thin(r.Timeline, span, int((right-left)/pixel))}
}

// crowded tells whether samples are left out.
func (c *curves) crowded() bool { return len(c.pick) < len(c.r.Timeline) }

// areaAxis is that of the held area, mm2.
func (c *curves) areaAxis(from, to float64) Axis {
	most := 0.0
	for _, s := range c.r.Timeline {
		most = math.Max(most, s.HeldAreaMM2)
	}
	return Axis{Lo: 0, Hi: roundUpIn(most, c.r.Units.TableArea()), From: from, To: to}
}

// areaTitle names the axis of the held area.
func (c *curves) areaTitle() string {
	return "held area (" + strings.Replace(c.r.Units.TableArea().Name, "2", "²", 1) + ")"
}

// heldAreas gives the held area of the stock, and with that of the freed pieces on it, over time.
func (c *curves) heldAreas(a Axis) (stock, all []spot) {
	freed := 0
	for k, i := range c.pick {
		s := c.r.Timeline[i]
		x := c.time.At(s.TimeS)
		if k > 0 && s.FreedPieces != freed {
			stock = append(stock, spot{x, stock[len(stock)-1].y}) // a piece changes hands at one moment
			all = append(all, spot{x, all[len(all)-1].y})
		}
		freed = s.FreedPieces
		stock = append(stock, spot{x, a.At(s.StockHeldMM2)})
		all = append(all, spot{x, a.At(s.HeldAreaMM2)})
	}
	return stock, all
}

// vacuumAxis is that of the vacuum, kPa.
func (c *curves) vacuumAxis(from, to float64) Axis {
	most := math.Max(c.r.Vacuum.StartKPa, c.r.Job.AlarmKPa)
	for _, s := range c.r.Timeline {
		if !math.IsNaN(s.VacuumKPa) && !math.IsInf(s.VacuumKPa, 0) {
			most = math.Max(most, s.VacuumKPa)
		}
	}
	return Axis{Lo: 0, Hi: roundUpIn(most*1.04, c.r.Units.Pressure()), From: from, To: to}
}

// vacuumRuns is the vacuum over time, with gaps where it is not known.
func (c *curves) vacuumRuns(a Axis) [][]spot {
	var runs [][]spot
	var run []spot
	for _, i := range c.pick {
		s := c.r.Timeline[i]
		if math.IsNaN(s.VacuumKPa) || math.IsInf(s.VacuumKPa, 0) {
			runs, run = append(runs, run), nil
			continue
		}
		run = append(run, spot{c.time.At(s.TimeS), a.At(s.VacuumKPa)})
	}
	return append(runs, run)
}

// asked is the required margin; 1 if it is no number.
func (c *curves) asked() float64 {
	if math.IsNaN(c.r.Margin) || math.IsInf(c.r.Margin, 0) {
		return 1
	}
	return c.r.Margin
}

// likelyMargin, lowEnd and highEnd are the least margin of a sample and the ends of its range, the margin itself where
// these are not known.
func likelyMargin(s result.Sample) float64 { return s.LeastMargin }

func LowEnd(s result.Sample) float64 {
	if s.LeastLow <= s.LeastMargin {
		return s.LeastLow
	}
	return s.LeastMargin
}

func HighEnd(s result.Sample) float64 {
	if s.LeastHigh >= s.LeastMargin && !math.IsInf(s.LeastHigh, 1) {
		return s.LeastHigh
	}
	return s.LeastMargin
}

// marginAxis is that of the least margin, logarithmic; lo and hi are the lowest and the highest end of its range.
func (c *curves) marginAxis(from, to float64) (a Axis, lo, hi float64) {
	lo = math.Inf(1)
	for _, s := range c.r.Timeline {
		if !math.IsNaN(s.LeastMargin) && !math.IsInf(s.LeastMargin, 0) {
			lo, hi = math.Min(lo, LowEnd(s)), math.Max(hi, HighEnd(s))
		}
	}
	return Axis{Log: true, From: from, To: to, Lo: math.Max(0.05, math.Min(0.5, lo*0.8)),
		Hi: math.Min(50, math.Max(hi*1.1, math.Max(5, c.asked()*2)))}, lo, hi
}

// lowest picks the sample of every column of which a margin is least.
func (c *curves) lowest(of func(result.Sample) float64) []int {
	var out []int
	last := -1
	columns := int((c.time.To - c.time.From) / c.pixel)
	for _, i := range c.pick {
		m := of(c.r.Timeline[i])
		if math.IsNaN(m) || math.IsInf(m, 0) {
			continue
		}
		at := column(c.r.Timeline[i].TimeS, c.span, columns)
		switch {
		case at != last:
			out, last = append(out, i), at
		case m < of(c.r.Timeline[out[len(out)-1]]):
			out[len(out)-1] = i
		}
	}
	return out
}

// rangeBands are the outlines of the range of the least margin over time, with gaps where nothing is loaded; of several
// samples in a column, of the one with the lowest low end.
func (c *curves) rangeBands(a Axis) [][]spot {
	pick := c.pick
	if c.crowded() {
		pick = c.lowest(LowEnd)
	}
	bands := c.marginRuns(a, pick, LowEnd)
	for i, upper := range c.marginRuns(a, pick, HighEnd) {
		for _, s := range slices.Backward(upper) {
			bands[i] = append(bands[i], s)
		}
	}
	return slices.DeleteFunc(bands, func(band []spot) bool { return len(band) == 0 })
}

// marginRuns is a margin of each of the picked samples over the time it speaks for, with gaps where nothing is loaded.
func (c *curves) marginRuns(a Axis, pick []int, of func(result.Sample) float64) [][]spot {
	var runs [][]spot
	var run []spot
	end := math.Inf(-1)
	for _, i := range pick {
		s := c.r.Timeline[i]
		if math.IsNaN(s.LeastMargin) || math.IsInf(s.LeastMargin, 0) {
			continue
		}
		from := 0.0
		if i > 0 {
			from = c.r.Timeline[i-1].TimeS
		}
		x0, x1 := c.time.At(from), c.time.At(s.TimeS)
		if x1-x0 < c.pixel {
			x0 = x1 - c.pixel // an instant still shows
		}
		if x0-end > 1.5*c.pixel {
			runs, run = append(runs, run), nil
		}
		run = append(run, spot{math.Max(x0, c.time.From), a.At(of(s))}, spot{x1, a.At(of(s))})
		end = x1
	}
	return append(runs, run)
}

// riskLabels names each finding by its line, those without a margin by their rule as well. The least margin is placed
// first, then errors, then warnings; notes are left out.
func (c *curves) riskLabels(width func(string) float64) []label {
	var out []label
	for _, f := range c.r.Findings {
		if f.Level == result.LevelNote || f.Line == 0 || len(out) >= maxMarkLabels {
			continue
		}
		l := label{text: strconv.Itoa(f.Line), x: c.time.At(f.TimeS), strong: f.Level == result.LevelError}
		switch {
		case f.Risky():
			l.urgent = f.Margin / 1e6 // before all others, by margin
		case l.strong:
			l.text, l.urgent = l.text+" "+f.Rule, 1e6
		default:
			l.text, l.urgent = l.text+" "+f.Rule, 2e6
		}
		l.width = width(l.text)
		out = append(out, l)
	}
	return out
}
