package picture

import (
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"

	"staydown/hold/result"
	"staydown/hold/wording"
	"staydown/report/words"
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
func TimelinePNG(w io.Writer, r *result.Result) error {
	return writePNG(w, func(p *pen) { drawTimeline(p, r) })
}

// TimelineSVG draws the picture of TimelinePNG as SVG, with text as text.
func TimelineSVG(w io.Writer, r *result.Result) error {
	return writeSVG(w, func(p *pen) { drawTimeline(p, r) })
}

// timeline is a result laid out for drawing.
type timeline struct {
	*pen
	curves
}

func drawTimeline(p *pen, r *result.Result) {
	t := &timeline{pen: p, curves: newCurves(r, timelineLeft, timelineRight, 72.0/pictureDPI)}
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
	left := words.Visible(t.r.Program.Path)
	t.textAt(spot{timelineLeft, 650}, t.fit(left, titleSize, 560), titleSize, inkColour, align{0, 0}, bold)
	facts := fmt.Sprintf("verdict: %s;  %s;  %s", t.r.Verdict, wording.Clock(t.r.Program.DurationS), words.Pieces(t.r))
	t.textAt(spot{legendRight, 650}, facts, labelSize, inkColour, align{-1, 0})
}

// tools draws the strip of tool changes along the top.
func (t *timeline) tools() {
	t.textAt(spot{timelineLeft - 8, (toolStrip.y0 + toolStrip.y1) / 2}, "tool", labelSize, inkColour, align{-1, -0.4})
	for i, u := range t.r.Tools {
		b := box{t.time.At(u.FromS), toolStrip.y0, t.time.At(u.ToS), toolStrip.y1}
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
	atRisk, loose := RiskySpans(t.r, 1.5*t.pixel*t.span/(timelineRight-timelineLeft))
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
	set, left := placeLabels(t.riskLabels(func(s string) float64 { return t.textWidth(s, smallSize) * boldFactor }),
		timelineLeft, timelineRight, labelGap, timelineRows)
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
func (t *timeline) shade(s Span, panel box) box {
	x0, x1 := t.time.At(s.FromS), t.time.At(s.ToS)
	if x1-x0 < leastShade {
		mid := (x0 + x1) / 2
		x0, x1 = math.Max(panel.x0, mid-leastShade/2), math.Min(panel.x1, mid+leastShade/2)
	}
	return box{x0, panel.y0, x1, panel.y1}
}

// frame draws grid lines, border, value ticks and the title of a panel.
func (t *timeline) frame(b box, ticks []tick, a Axis, title string) {
	for _, k := range ticks {
		y := a.At(k.value)
		t.line(stroke{gridColour, 0.7, nil}, spot{b.x0, y}, spot{b.x1, y})
		t.line(stroke{inkColour, 0.8, nil}, spot{b.x0 - 4, y}, spot{b.x0, y})
		t.textAt(spot{b.x0 - 7, y}, k.label, labelSize, inkColour, align{-1, -0.4})
	}
	t.textAt(spot{20, (b.y0 + b.y1) / 2}, title, labelSize, inkColour, align{-0.5, 0}, turned)
}

func (t *timeline) border(b box) { t.outline(stroke{inkColour, 0.9, nil}, b.corners()) }

// area stacks the held area of the stock and of the freed pieces and marks where pieces come free.
func (t *timeline) area() {
	a := t.areaAxis(areaPanel.y0, areaPanel.y1)
	t.frame(areaPanel, linearTicks(a.Lo, a.Hi, valueTickCount, t.r.Units.TableArea()), a, t.areaTitle())
	if lower, upper := t.heldAreas(a); len(lower) > 1 {
		stock := append(slices.Clone(lower), spot{lower[len(lower)-1].x, a.From}, spot{lower[0].x, a.From})
		t.fill(stockColour, stock)
		part := slices.Clone(upper)
		for _, s := range slices.Backward(lower) {
			part = append(part, s)
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
		x := t.time.At(p.FreedTimeS)
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
	v, unit := t.r.Vacuum, t.r.Units.Pressure()
	a := t.vacuumAxis(vacuumPanel.y0, vacuumPanel.y1)
	t.frame(vacuumPanel, linearTicks(a.Lo, a.Hi, valueTickCount, unit), a, "vacuum ("+unit.Name+")")
	if t.r.Job.AlarmKPa > 0 {
		y := a.At(t.r.Job.AlarmKPa)
		t.line(alarmStroke, spot{vacuumPanel.x0, y}, spot{vacuumPanel.x1, y})
	}
	if v.AlarmSetpointKPa > 0 { // false for NaN
		y := a.At(v.AlarmSetpointKPa)
		t.line(setpointStroke, spot{vacuumPanel.x0, y}, spot{vacuumPanel.x1, y})
	}
	t.strokeRuns(stroke{vacuumColour, 1.8, nil}, t.vacuumRuns(a))
	t.border(vacuumPanel)
	k := newKey(t.pen, vacuumPanel.y1)
	k.rule("vacuum below ambient", stroke{vacuumColour, 1.8, nil})
	if t.r.Job.AlarmKPa > 0 {
		k.rule("alarm of the machine, "+unit.Text(t.r.Job.AlarmKPa), alarmStroke)
	}
	if v.AlarmSetpointKPa > 0 {
		k.rule("setpoint found, "+unit.Text(v.AlarmSetpointKPa), setpointStroke)
	}
}

// margins draws the least margin with its range on a logarithmic scale, the limit 1 and the margin asked for.
func (t *timeline) margins() {
	a, lo, hi := t.marginAxis(marginPanel.y0, marginPanel.y1)
	asked := t.asked()
	t.frame(marginPanel, logTicks(a.Lo, a.Hi), a, "least margin (-)")
	// Many samples in one pixel column would paint a dark band over the limits: it is drawn pale, and its lower edge,
	// which is what counts, as the curve.
	crowded := t.crowded()
	pick := t.pick
	if crowded {
		t.strokeRuns(bandStroke, t.marginRuns(a, t.pick, likelyMargin))
		pick = t.lowest(likelyMargin)
	}
	bands := t.rangeBands(a)
	t.hatch(rangeHatch, 0, 3, bands...)
	t.outline(rangeStroke, bands...)
	t.strokeRuns(marginStroke, t.marginRuns(a, pick, likelyMargin))
	t.line(limitStroke, spot{marginPanel.x0, a.At(1)}, spot{marginPanel.x1, a.At(1)})
	if asked > 1 {
		t.line(askedStroke, spot{marginPanel.x0, a.At(asked)}, spot{marginPanel.x1, a.At(asked)})
	}
	t.border(marginPanel)
	k := newKey(t.pen, marginPanel.y1)
	k.rule("least margin of all pieces", marginStroke)
	k.swatch("its range, 5 to 95 %", func(b box) {
		t.hatch(rangeHatch, 0, 3, b.corners())
		t.outline(rangeStroke, b.corners())
	})
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
	if lo < a.Lo {
		k.note("below " + strconv.FormatFloat(a.Lo, 'g', 3, 64) + ": on the lower edge")
	}
	if hi > a.Hi {
		k.note("above " + strconv.FormatFloat(a.Hi, 'g', 3, 64) + ": on the upper edge")
	}
}

func (t *timeline) strokeRuns(s stroke, runs [][]spot) {
	for _, run := range runs {
		t.line(s, run...)
	}
}

func (t *timeline) timeAxis() {
	for _, k := range timeTicks(t.span, timeTickCount) {
		x := t.time.At(k.value)
		for _, b := range []box{areaPanel, vacuumPanel, marginPanel} {
			t.line(stroke{inkColour, 0.8, nil}, spot{x, b.y0 - 4}, spot{x, b.y0})
		}
		t.textAt(spot{x, marginPanel.y0 - 8}, k.label, labelSize, inkColour, align{-0.5, -1})
	}
	t.textAt(spot{(timelineLeft + timelineRight) / 2, 18}, "time from the start of the program (h:mm:ss)", labelSize,
		inkColour, align{-0.5, 0})
}
