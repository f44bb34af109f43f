package picture

import (
	"fmt"
	"image/color"
	"io"
	"math"
	"strings"

	"staydown/hold/chart"
	"staydown/hold/dryrun"
	"staydown/report/words"
)

// Where things lie on the picture of a chart, points from the lower left of 1200 x 675.
const (
	shapeBottom = 96.0
	shapeTop    = 590.0
	shapeGap    = 26.0 // between panels
)

// ChartPNG draws a chart as a PNG of 1600 x 900 pixels: a panel for each shape, with the smallest size over the depth
// of the closing pass, a curve for each feed. Errors are those of w.
func ChartPNG(w io.Writer, r *chart.Result) error {
	return writePNG(w, func(p *pen) { drawChart(p, r) })
}

// ChartSVG draws the picture of ChartPNG as SVG, with text as text.
func ChartSVG(w io.Writer, r *chart.Result) error {
	return writeSVG(w, func(p *pen) { drawChart(p, r) })
}

// curveStyle is the look of a feed's curve; feeds differ in dashes and marks as well as in color.
func curveStyle(feed int) stroke {
	styles := []stroke{
		{vacuumColour, 2.2, nil}, {inkColour, 1.8, []float64{9, 3}}, {askedColour, 2, []float64{4, 3}},
		{alarmColour, 2, []float64{10, 3, 2, 3}}, {dimColour, 2, []float64{2, 2}}, {sliverState, 2.6, []float64{14, 4}},
	}
	return styles[feed%len(styles)]
}

// shapePanel is the panel of one shape.
type shapePanel struct {
	*pen
	r           *chart.Result
	box         box
	size, depth Axis
}

func drawChart(p *pen, r *chart.Result) {
	p.rect(paperColour, box{0, 0, p.w, p.h})
	p.textAt(spot{timelineLeft, 650}, p.fit("What holds: "+words.ChartHeadline(r), titleSize, 900), titleSize,
		inkColour,
		align{0, 0},
		bold)
	feeds := len(r.FeedsMMMin)
	n := len(r.Curves) / feeds
	wide := (timelineRight - timelineLeft - float64(n-1)*shapeGap) / float64(n)
	for i := range n {
		x := timelineLeft + float64(i)*(wide+shapeGap)
		panel := shapePanel{pen: p, r: r, box: box{x, shapeBottom, x + wide, shapeTop}}
		panel.size = Axis{Lo: r.SizesMM[0] * 0.8, Hi: r.SizesMM[len(r.SizesMM)-1] * 1.25, From: shapeBottom,
			To: shapeTop, Log: true}
		panel.depth = Axis{Lo: r.DepthsMM[0] * 0.9, Hi: r.ThickMM * 1.1, From: x, To: x + wide, Log: true}
		panel.draw(r.Curves[i*feeds:(i+1)*feeds], r.Cares[i*feeds:(i+1)*feeds], i == 0)
	}
	p.textAt(spot{(timelineLeft + timelineRight) / 2, shapeBottom - 38}, fmt.Sprintf("depth of the closing pass (%s); "+
		"at the right end all in one pass", r.Units.Length().Name), labelSize, inkColour, align{-0.5, 0})
	p.textAt(spot{30, (shapeBottom + shapeTop) / 2}, fmt.Sprintf("smallest part that would hold (%s)",
		r.Units.Length().Name), labelSize, inkColour, align{-0.5, 0}, turned)
	for i, line := range words.Wrap(words.Caution, 170) {
		p.textAt(spot{timelineLeft, 34 - 11*float64(i)}, line, smallSize, dimColour, align{0, 0})
	}
	curveKey(p, r)
}

func (c *shapePanel) draw(curves []chart.Curve, cares []chart.Care, first bool) {
	c.regions(cares[c.usual()])
	unit := c.r.Units.Length()
	for _, k := range logTicks(unit.In(c.size.Lo), unit.In(c.size.Hi)) {
		y := c.size.At(k.value * unit.Size)
		c.line(stroke{gridColour, 0.7, nil}, spot{c.box.x0, y}, spot{c.box.x1, y})
		if first {
			c.textAt(spot{c.box.x0 - 7, y}, k.label, labelSize, inkColour, align{-1, -0.4})
		}
	}
	for _, k := range logTicks(unit.In(c.depth.Lo), unit.In(c.depth.Hi)) {
		x := c.depth.At(k.value * unit.Size)
		c.line(stroke{gridColour, 0.7, nil}, spot{x, c.box.y0}, spot{x, c.box.y1})
		c.textAt(spot{x, c.box.y0 - 8}, k.label, labelSize, inkColour, align{-0.5, -1})
	}
	c.band(curves[c.usual()], curveStyle(c.usual()).colour)
	for i := range curves {
		c.curve(curves[i], curveStyle(i))
	}
	c.outline(stroke{inkColour, 0.9, nil}, c.box.corners())
	name := map[chart.Shape]string{chart.Square: "square: side", chart.Disc: "disc: diameter",
		chart.Strip: "strip 4:1: width"}
	c.textAt(spot{c.box.x0, c.box.y1 + 20}, name[curves[0].Shape], labelSize, inkColour, align{0, 0}, bold)
	c.textAt(spot{c.box.x0, c.box.y1 + 6}, c.tips(curves[0].Shape), smallSize, inkColour, align{0, 0})
}

// tips says from which heights on parts of the shape tip.
func (c *shapePanel) tips(s chart.Shape) string {
	var at []string
	for _, h := range c.r.Heights {
		if h.Shape != s {
			continue
		}
		words := words.Height(c.r, h, h.TipsMM)
		if !math.IsNaN(h.TipsMM) && !math.IsInf(h.TipsMM, 1) {
			words = "tips at " + words + " high"
		}
		at = append(at, fmt.Sprintf("%s wide: %s", c.r.Units.Length().Number(h.SizeMM), words))
	}
	return c.fit(strings.Join(at, "; "), smallSize, c.box.x1-c.box.x0)
}

// usual is the feed for which the regions are drawn: the middle one.
func (c *shapePanel) usual() int { return len(c.r.FeedsMMMin) / 2 }

// regions shades by size what care a part needs at the middle feed.
func (c *shapePanel) regions(care chart.Care) {
	at := func(mm float64) float64 { return c.size.At(math.Min(mm, c.size.Hi)) }
	noCare, thin := at(care.NoCareMM), at(math.Min(care.ThinPassMM, care.NoCareMM))
	join := math.Min(thin, at(math.Min(care.SkinMM, care.TabsMM)))
	if math.Min(care.SkinMM, care.TabsMM) == c.r.SizesMM[0] {
		join = c.box.y0
	}
	for _, region := range []struct {
		from, to float64
		fill     color.NRGBA
		name     string
	}{{noCare, c.box.y1, heldState, dryrun.WouldHold.String()},
		{thin, noCare, atRiskShade, dryrun.WithCare.String() + ": thin last pass"},
		{join, thin, looseShade, dryrun.WithCare.String() + ": skin or tabs"},
		{c.box.y0, join, shelf2Colour, dryrun.WouldNotHold.String()}} {
		if region.to-region.from < 1 {
			continue
		}
		c.rect(region.fill, box{c.box.x0, region.from, c.box.x1, region.to})
		if region.to-region.from > smallSize+2 {
			c.textAt(spot{c.box.x0 + 5, region.to - smallSize - 1}, region.name, smallSize, inkColour, align{0, 0},
				bold)
		}
	}
}

// band fills between the ends of the range of a curve, where they are known and differ.
func (c *shapePanel) band(curve chart.Curve, colour color.NRGBA) {
	var lower, upper []spot
	for _, p := range curve.Points {
		if math.IsInf(p.Smallest.Low, 0) || p.Smallest.Low == p.Smallest.High {
			continue
		}
		x := c.depth.At(p.DepthMM)
		lower = append(lower, spot{x, c.size.At(p.Smallest.Low)})
		upper = append([]spot{{x, c.size.At(math.Min(p.Smallest.High, c.size.Hi))}}, upper...)
	}
	c.fill(shade(colour), append(lower, upper...))
}

// shade is the color of a band behind its curve.
func shade(c color.NRGBA) color.NRGBA {
	c.A = 0x48
	return c
}

// curve draws the likely smallest sizes, with gaps where none holds.
func (c *shapePanel) curve(curve chart.Curve, s stroke) {
	var run []spot
	for _, p := range curve.Points {
		if math.IsInf(p.Smallest.Likely, 0) {
			c.line(s, run...)
			run = nil
			continue
		}
		at := spot{c.depth.At(p.DepthMM), c.size.At(p.Smallest.Likely)}
		c.rect(s.colour, box{at.x - 1.8, at.y - 1.8, at.x + 1.8, at.y + 1.8})
		run = append(run, at)
	}
	c.line(s, run...)
}

func curveKey(p *pen, r *chart.Result) {
	k := newKey(p, shapeTop)
	usual := words.Feed(r, r.FeedsMMMin[len(r.FeedsMMMin)/2])
	for i, feed := range r.FeedsMMMin {
		k.rule(words.Feed(r, feed)+" "+r.Units.Feed().Name, curveStyle(i))
	}
	if words.HasRanges(r) {
		k.swatch("range at "+usual, func(b box) { p.rect(shade(curveStyle(len(r.FeedsMMMin)/2).colour), b) })
	}
	k.note(fmt.Sprintf("margin %s%s", words.Number(r.Margin), words.MarginEnd(r)))
	k.note("regions: at " + usual)
	k.note("lines: likely; upper end: go by it")
	k.note("no line: none up to " + r.Units.Length().Text(r.SizesMM[len(r.SizesMM)-1]))
	k.note("on the lowest size: or less")
	for _, f := range words.ChartFacts(r) {
		if f.Label == "table" || f.Label == "pump" || f.Label == "tool" {
			for i, line := range words.Wrap(f.Label+": "+f.Value, 34) {
				if i < 4 {
					k.note(line)
				}
			}
		}
	}
}
