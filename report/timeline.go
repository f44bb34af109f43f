package report

import (
	"fmt"
	"io"
	"math"
	"strconv"

	"staydown/hold"
	"staydown/hold/wording"
)

// Where things lie on the timeline picture, points from the lower left of 1200 x 675.
const (
	timelineLeft   = 84.0
	timelineRight  = 1000.0
	legendLeft     = 1016.0
	legendRight    = 1192.0
	timelineRows   = 3 // rows of line numbers over the margin panel
	freedRows      = 2 // rows of piece numbers over the area panel
	rowHeight      = 12.0
	labelGap       = 5.0
	timeTickCount  = 9
	valueTickCount = 5
	maxMarkLabels  = 2000 // labels tried
	leastShade     = 1.5  // narrowest shade, points
	boldFactor     = 1.08 // bold letters over regular ones in width
)

var (
	toolStrip   = box{timelineLeft, 616, timelineRight, 634}
	areaPanel   = box{timelineLeft, 436, timelineRight, 580}
	vacuumPanel = box{timelineLeft, 284, timelineRight, 412}
	marginPanel = box{timelineLeft, 62, timelineRight, 232}
)

// TimelinePNG draws the program over time as a PNG of 1600 x 900 pixels: tools, held area, vacuum and least margin,
// with freed pieces and risky stretches marked. Errors are those of w.
func TimelinePNG(w io.Writer, r *hold.Result) error {
	return writePNG(w, func(p *pen) { drawTimeline(p, r) })
}

// TimelineSVG draws the picture of TimelinePNG as SVG, with text as text.
func TimelineSVG(w io.Writer, r *hold.Result) error {
	return writeSVG(w, func(p *pen) { drawTimeline(p, r) })
}

// timeline is a result laid out for drawing.
type timeline struct {
	*pen
	r     *hold.Result
	pick  []int // samples to draw
	time  axis
	span  float64
	pixel float64 // width of one picture column, points
}

func drawTimeline(p *pen, r *hold.Result) {
	span := spanS(r)
	pixel := 72.0 / pictureDPI
	t := &timeline{pen: p, r: r, span: span, pixel: pixel,
		time: axis{lo: 0, hi: span, from: timelineLeft, to: timelineRight},
		pick: thin(r.Timeline, span, int((timelineRight-timelineLeft)/pixel))}
	p.rect(paperColour, box{0, 0, p.w, p.h})
	t.title()
	t.tools()
	t.risks()
	t.area()
	t.vacuum()
	t.margins()
	t.timeAxis()
	if len(r.Timeline) == 0 {
		p.textAt(spot{(timelineLeft + timelineRight) / 2, (marginPanel.y0 + marginPanel.y1) / 2},
			"no samples: nothing was simulated", titleSize, dimColour, align{-0.5, -0.5})
	}
}

func (t *timeline) title() {
	left := Visible(t.r.Program.Path)
	t.textAt(spot{timelineLeft, 650}, t.fit(left, titleSize, 560), titleSize, inkColour, align{0, 0}, bold)
	facts := fmt.Sprintf("verdict: %s;  %s;  %s", t.r.Verdict, wording.Clock(t.r.Program.DurationS), piecesInWords(t.r))
	t.textAt(spot{legendRight, 650}, facts, labelSize, inkColour, align{-1, 0})
}

// tools draws the strip of tool changes along the top.
func (t *timeline) tools() {
	t.textAt(spot{timelineLeft - 8, (toolStrip.y0 + toolStrip.y1) / 2}, "tool", labelSize, inkColour, align{-1, -0.4})
	for i, u := range t.r.Tools {
		b := box{t.time.at(u.FromS), toolStrip.y0, t.time.at(u.ToS), toolStrip.y1}
		if b.x1 <= b.x0 {
			continue
		}
		fill := shelfColour
		if i%2 == 1 {
			fill = shelf2Colour
		}
		t.rect(fill, b)
		t.line(stroke{dimColour, 0.8, nil}, spot{b.x0, b.y0}, spot{b.x0, b.y1})
		name := "T" + strconv.Itoa(u.Tool)
		if u.Tool == 0 {
			name = "none"
		}
		if t.textWidth(name, labelSize)+4 < b.x1-b.x0 {
			t.textAt(spot{(b.x0 + b.x1) / 2, (b.y0 + b.y1) / 2}, name, labelSize, inkColour, align{-0.5, -0.4})
		}
		if i > 0 {
			t.line(stroke{dimColour, 0.8, []float64{1.5, 3}}, spot{b.x0, marginPanel.y0}, spot{b.x0, toolStrip.y0})
		}
	}
	t.outline(stroke{dimColour, 0.8, nil}, toolStrip.corners())
}

// risks shades the times with too little margin behind the vacuum and the margin panel and writes the lines of the
// findings between the two.
func (t *timeline) risks() {
	atRisk, loose := riskySpans(t.r, 1.5*t.pixel*t.span/(timelineRight-timelineLeft))
	for _, panel := range []box{vacuumPanel, marginPanel} {
		for _, s := range atRisk {
			t.rect(atRiskShade, t.shade(s, panel))
		}
		for _, s := range loose {
			b := t.shade(s, panel)
			t.rect(looseShade, b)
			t.hatch(looseHatch, math.Pi/4, 6, b.corners())
		}
	}
	base := marginPanel.y1 + 6
	set, left := placeLabels(t.riskLabels(), timelineLeft, timelineRight, labelGap, timelineRows)
	for _, l := range set {
		y := base + 4 + float64(l.row)*rowHeight
		colour := dimColour
		if l.strong {
			colour = inkColour
		}
		foot := spot{l.x, base + 1}
		t.line(stroke{colour, 0.8, nil}, spot{l.x, marginPanel.y1}, foot)
		if l.row == 0 {
			t.line(stroke{colour, 0.8, nil}, foot, spot{l.at, base + 3})
		} else {
			t.line(stroke{colour, 0.5, nil}, foot, spot{l.x, y - 1})
		}
		if l.strong {
			t.textAt(spot{l.at, y}, l.text, smallSize, colour, align{-0.5, 0}, bold)
		} else {
			t.textAt(spot{l.at, y}, l.text, smallSize, colour, align{-0.5, 0})
		}
	}
	t.textAt(spot{legendLeft, base + 4}, "numbers: lines of findings", smallSize, dimColour, align{0, 0})
	if left > 0 {
		t.textAt(spot{legendLeft, base + 4 + rowHeight}, fmt.Sprintf("(%d more do not fit)", left), smallSize,
			dimColour, align{0, 0})
	}
}

// shade is the part of a panel that a span of time covers, never too narrow to be seen.
func (t *timeline) shade(s span, panel box) box {
	x0, x1 := t.time.at(s.fromS), t.time.at(s.toS)
	if x1-x0 < leastShade {
		mid := (x0 + x1) / 2
		x0, x1 = math.Max(panel.x0, mid-leastShade/2), math.Min(panel.x1, mid+leastShade/2)
	}
	return box{x0, panel.y0, x1, panel.y1}
}

// riskLabels names each finding by its line, those without a margin by their rule as well. The least margin is placed
// first, then errors, then warnings; notes are left out.
func (t *timeline) riskLabels() []label {
	var out []label
	for _, f := range t.r.Findings {
		if f.Level == hold.LevelNote || f.Line == 0 || len(out) >= maxMarkLabels {
			continue
		}
		l := label{text: strconv.Itoa(f.Line), x: t.time.at(f.TimeS), strong: f.Level == hold.LevelError}
		switch {
		case f.Risky():
			l.urgent = f.Margin / 1e6 // before all others, by margin
		case l.strong:
			l.text, l.urgent = l.text+" "+f.Rule, 1e6
		default:
			l.text, l.urgent = l.text+" "+f.Rule, 2e6
		}
		l.width = t.textWidth(l.text, smallSize) * boldFactor
		out = append(out, l)
	}
	return out
}

// frame draws grid lines, border, value ticks and the title of a panel.
func (t *timeline) frame(b box, ticks []tick, a axis, title string) {
	for _, k := range ticks {
		y := a.at(k.value)
		t.line(stroke{gridColour, 0.7, nil}, spot{b.x0, y}, spot{b.x1, y})
		t.line(stroke{inkColour, 0.8, nil}, spot{b.x0 - 4, y}, spot{b.x0, y})
		t.textAt(spot{b.x0 - 7, y}, k.label, labelSize, inkColour, align{-1, -0.4})
	}
	t.textAt(spot{20, (b.y0 + b.y1) / 2}, title, labelSize, inkColour, align{-0.5, 0}, turned)
}

func (t *timeline) border(b box) { t.outline(stroke{inkColour, 0.9, nil}, b.corners()) }

// area stacks the held area of the stock and of the freed pieces and marks where pieces come free.
func (t *timeline) area() {
	most := 0.0
	for _, s := range t.r.Timeline {
		most = math.Max(most, s.HeldAreaMM2/100)
	}
	a := axis{lo: 0, hi: roundUp(most), from: areaPanel.y0, to: areaPanel.y1}
	t.frame(areaPanel, linearTicks(a.lo, a.hi, valueTickCount), a, "held area (cm²)")
	var lower, upper []spot
	freed := 0
	for k, i := range t.pick {
		s := t.r.Timeline[i]
		x := t.time.at(s.TimeS)
		if k > 0 && s.FreedPieces != freed {
			lower = append(lower, spot{x, lower[len(lower)-1].y}) // a piece changes hands at one moment
			upper = append(upper, spot{x, upper[len(upper)-1].y})
		}
		freed = s.FreedPieces
		lower = append(lower, spot{x, a.at(s.StockHeldMM2 / 100)})
		upper = append(upper, spot{x, a.at(s.HeldAreaMM2 / 100)})
	}
	if len(lower) > 1 {
		stock := append([]spot{}, lower...)
		stock = append(stock, spot{lower[len(lower)-1].x, a.from}, spot{lower[0].x, a.from})
		t.fill(stockColour, stock)
		part := append([]spot{}, upper...)
		for i := len(lower) - 1; i >= 0; i-- {
			part = append(part, lower[i])
		}
		t.fill(partColour, part)
		t.hatch(partHatch, -math.Pi/4, 7, part)
		t.line(stroke{inkColour, 1.2, nil}, upper...)
		t.line(stroke{inkColour, 0.8, nil}, lower...)
	}
	t.freedMarks()
	t.border(areaPanel)
	k := newKey(t.pen, areaPanel.y1)
	k.swatch("stock", func(b box) { t.rect(stockColour, b) })
	k.swatch("freed pieces", func(b box) {
		t.rect(partColour, b)
		t.hatch(partHatch, -math.Pi/4, 5, b.corners())
	})
	k.swatch("piece comes free", func(b box) { t.freedMark(spot{(b.x0 + b.x1) / 2, b.y0}) })
}

func (t *timeline) freedMark(s spot) {
	t.fill(inkColour, []spot{s, {s.x - 3.5, s.y + 7}, {s.x + 3.5, s.y + 7}})
}

func (t *timeline) freedMarks() {
	var labels []label
	n := 0
	for _, p := range t.r.Pieces {
		if p.Freed {
			n++
		}
	}
	for _, p := range t.r.Pieces {
		if !p.Freed {
			continue
		}
		x := t.time.at(p.FreedTimeS)
		if n <= 60 { // more lines than that would hide the areas
			t.line(stroke{inkColour, 0.8, []float64{2, 3}}, spot{x, areaPanel.y0}, spot{x, areaPanel.y1})
		}
		t.freedMark(spot{x, areaPanel.y1})
		if len(labels) < maxMarkLabels {
			text := strconv.Itoa(p.ID)
			labels = append(labels, label{text: text, x: x, urgent: float64(p.State), width: t.textWidth(text,
				smallSize)})
		}
	}
	for i := range labels {
		labels[i].urgent = -labels[i].urgent // loose pieces first
	}
	set, _ := placeLabels(labels, timelineLeft-6, timelineRight+6, labelGap, freedRows)
	for _, l := range set {
		t.textAt(spot{l.at, areaPanel.y1 + 9 + float64(l.row)*(rowHeight-1.5)}, l.text, smallSize, inkColour,
			align{-0.5, 0})
	}
	if n > 0 {
		t.textAt(spot{timelineLeft - 8, areaPanel.y1 + 14}, "piece", labelSize, inkColour, align{-1, 0})
	}
}

// vacuum draws the pressure difference under the stock with the alarm of the machine and the setpoint found.
func (t *timeline) vacuum() {
	v := t.r.Vacuum
	most := math.Max(v.StartKPa, t.r.Job.AlarmKPa)
	for _, s := range t.r.Timeline {
		if !math.IsNaN(s.VacuumKPa) && !math.IsInf(s.VacuumKPa, 0) {
			most = math.Max(most, s.VacuumKPa)
		}
	}
	a := axis{lo: 0, hi: roundUp(most * 1.04), from: vacuumPanel.y0, to: vacuumPanel.y1}
	t.frame(vacuumPanel, linearTicks(a.lo, a.hi, valueTickCount), a, "vacuum (kPa)")
	if t.r.Job.AlarmKPa > 0 {
		y := a.at(t.r.Job.AlarmKPa)
		t.line(alarmStroke, spot{vacuumPanel.x0, y}, spot{vacuumPanel.x1, y})
	}
	if v.AlarmSetpointKPa > 0 { // false for NaN
		y := a.at(v.AlarmSetpointKPa)
		t.line(setpointStroke, spot{vacuumPanel.x0, y}, spot{vacuumPanel.x1, y})
	}
	var pts []spot
	for _, i := range t.pick {
		s := t.r.Timeline[i]
		if math.IsNaN(s.VacuumKPa) || math.IsInf(s.VacuumKPa, 0) {
			t.line(stroke{vacuumColour, 1.8, nil}, pts...)
			pts = pts[:0]
			continue
		}
		pts = append(pts, spot{t.time.at(s.TimeS), a.at(s.VacuumKPa)})
	}
	t.line(stroke{vacuumColour, 1.8, nil}, pts...)
	t.border(vacuumPanel)
	k := newKey(t.pen, vacuumPanel.y1)
	k.rule("vacuum below ambient", stroke{vacuumColour, 1.8, nil})
	if t.r.Job.AlarmKPa > 0 {
		k.rule("alarm of the machine, "+kilopascal(t.r.Job.AlarmKPa), alarmStroke)
	}
	if v.AlarmSetpointKPa > 0 {
		k.rule("setpoint found, "+kilopascal(v.AlarmSetpointKPa), setpointStroke)
	}
}

// margins draws the least margin on a logarithmic scale with the limit 1 and the margin asked for.
func (t *timeline) margins() {
	lo, hi := math.Inf(1), 0.0
	for _, s := range t.r.Timeline {
		if !math.IsNaN(s.LeastMargin) && !math.IsInf(s.LeastMargin, 0) {
			lo, hi = math.Min(lo, s.LeastMargin), math.Max(hi, s.LeastMargin)
		}
	}
	asked := t.r.Margin
	if math.IsNaN(asked) || math.IsInf(asked, 0) {
		asked = 1
	}
	a := axis{log: true, from: marginPanel.y0, to: marginPanel.y1,
		lo: math.Max(0.05, math.Min(0.5, lo*0.8)), hi: math.Min(50, math.Max(hi*1.1, math.Max(5, asked*2)))}
	t.frame(marginPanel, logTicks(a.lo, a.hi), a, "least margin (-)")
	// Many samples in one pixel column would paint a dark band over the limits: it is drawn pale, and its lower edge,
	// which is what counts, as the curve.
	crowded := len(t.pick) < len(t.r.Timeline)
	if crowded {
		t.marginCurve(a, t.pick, bandStroke)
		t.marginCurve(a, t.lowest(), marginStroke)
	} else {
		t.marginCurve(a, t.pick, marginStroke)
	}
	t.line(limitStroke, spot{marginPanel.x0, a.at(1)}, spot{marginPanel.x1, a.at(1)})
	if asked > 1 {
		t.line(askedStroke, spot{marginPanel.x0, a.at(asked)}, spot{marginPanel.x1, a.at(asked)})
	}
	t.border(marginPanel)
	k := newKey(t.pen, marginPanel.y1)
	k.rule("least margin of all pieces", marginStroke)
	if crowded {
		k.rule("other values at the same time", bandStroke)
	}
	if asked > 1 {
		k.rule("required, "+wording.Margin(asked), askedStroke)
	}
	k.rule("limit 1: below it a piece moves", limitStroke)
	k.swatch("at risk: below the required one", func(b box) { t.rect(atRiskShade, b) })
	k.swatch("loose: below 1", func(b box) {
		t.rect(looseShade, b)
		t.hatch(looseHatch, math.Pi/4, 5, b.corners())
	})
	k.note("no line: nothing is loaded")
	if lo < a.lo {
		k.note("below " + strconv.FormatFloat(a.lo, 'g', 3, 64) + ": on the lower edge")
	}
	if hi > a.hi {
		k.note("above " + strconv.FormatFloat(a.hi, 'g', 3, 64) + ": on the upper edge")
	}
}

// lowest picks the sample with the least margin of every pixel column.
func (t *timeline) lowest() []int {
	var out []int
	last := -1
	columns := int((timelineRight - timelineLeft) / t.pixel)
	for _, i := range t.pick {
		m := t.r.Timeline[i].LeastMargin
		if math.IsNaN(m) || math.IsInf(m, 0) {
			continue
		}
		c := column(t.r.Timeline[i].TimeS, t.span, columns)
		switch {
		case c != last:
			out, last = append(out, i), c
		case m < t.r.Timeline[out[len(out)-1]].LeastMargin:
			out[len(out)-1] = i
		}
	}
	return out
}

// marginCurve draws each of the picked margins over the time it speaks for, and leaves gaps where nothing is loaded.
func (t *timeline) marginCurve(a axis, pick []int, style stroke) {
	var pts []spot
	end := math.Inf(-1)
	flush := func() {
		t.line(style, pts...)
		pts = pts[:0]
	}
	for _, i := range pick {
		s := t.r.Timeline[i]
		if math.IsNaN(s.LeastMargin) || math.IsInf(s.LeastMargin, 0) {
			continue
		}
		from := 0.0
		if i > 0 {
			from = t.r.Timeline[i-1].TimeS
		}
		x0, x1 := t.time.at(from), t.time.at(s.TimeS)
		if x1-x0 < t.pixel {
			x0 = x1 - t.pixel // an instant still shows
		}
		if x0-end > 1.5*t.pixel {
			flush()
		}
		pts = append(pts, spot{math.Max(x0, timelineLeft), a.at(s.LeastMargin)}, spot{x1, a.at(s.LeastMargin)})
		end = x1
	}
	flush()
}

func (t *timeline) timeAxis() {
	for _, k := range timeTicks(t.span, timeTickCount) {
		x := t.time.at(k.value)
		for _, b := range []box{areaPanel, vacuumPanel, marginPanel} {
			t.line(stroke{inkColour, 0.8, nil}, spot{x, b.y0 - 4}, spot{x, b.y0})
		}
		t.textAt(spot{x, marginPanel.y0 - 8}, k.label, labelSize, inkColour, align{-0.5, -1})
	}
	t.textAt(spot{(timelineLeft + timelineRight) / 2, 18}, "time from the start of the program (h:mm:ss)", labelSize,
		inkColour, align{-0.5, 0})
}
