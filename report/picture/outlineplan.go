package picture

import (
	"fmt"
	"io"
	"math"
	"strconv"

	"github.com/paulmach/orb"

	"staydown/hold/dryrun"
	"staydown/hold/outline"
	"staydown/hold/result"
	"staydown/hold/wording"
	"staydown/report/words"
)

// OutlinePNG draws the parts of a drawing on the table as a PNG of 1600 x 900 pixels, each by its answer, with what is
// cut out of holes, zones and grooves. Errors are those of w.
func OutlinePNG(w io.Writer, r *outline.Result) error {
	return writePNG(w, func(p *pen) { drawOutlines(p, r) })
}

// classState is the state whose color and hatching stand for an answer.
func classState(c dryrun.Class) result.State {
	return [...]result.State{result.StateHeld, result.StateAtRisk, result.StateLoose}[c]
}

func drawOutlines(p *pen, r *outline.Result) {
	table := &result.Result{Job: r.Job}
	b := planBound(table)
	for _, i := range r.Items {
		if i.Kind == outline.PartItem {
			b = b.Union(i.Outline.Bound())
		}
	}
	pad := 0.02 * math.Max(b.Max[0]-b.Min[0], b.Max[1]-b.Min[1])
	d := &plan{pen: p, r: table, view: planView(b.Pad(pad), planArea)}
	d.frame = d.box()
	p.rect(paperColour, box{0, 0, p.w, p.h})
	p.textAt(spot{planArea.x0, 650}, p.fit(words.Visible(r.Path), titleSize, 560), titleSize, inkColour, align{0, 0},
		bold)
	p.textAt(spot{legendRight, 650}, fmt.Sprintf("before a program: %s", r.Class), labelSize, inkColour, align{-1, 0})
	p.rect(shelfColour, d.box())
	d.axes()
	d.zoneFloors()
	d.fill(shelf2Colour, d.rings(r.Job.StockOutline)...)
	d.outline(stroke{inkColour, 0.9, nil}, d.rings(r.Job.StockOutline)...)
	for _, kind := range []outline.Kind{outline.PartItem, outline.OffcutItem} {
		for _, i := range r.Items {
			switch {
			case i.Kind != kind:
			case i.MilledAway:
				d.fill(paperColour, d.rings(orb.MultiPolygon{i.Outline})...)
				d.outline(stroke{inkColour, 0.9, nil}, d.rings(orb.MultiPolygon{i.Outline})...)
			default:
				d.piece(classState(i.Class), d.rings(orb.MultiPolygon{i.Outline}))
			}
		}
	}
	d.zoneBorders()
	d.obstacles()
	d.obstacleLabels()
	d.outlineLabels(r)
	k := newKey(d.pen, planArea.y1)
	for _, c := range []dryrun.Class{dryrun.WouldHold, dryrun.WithCare, dryrun.WouldNotHold} {
		k.swatch(c.String(), func(b box) { d.piece(classState(c), [][]spot{b.corners()}) })
	}
	k.swatch("sheet", func(b box) { d.rect(shelf2Colour, b) })
	k.swatch("hole that is milled away", func(b box) {
		d.rect(paperColour, b)
		d.outline(stroke{inkColour, 0.9, nil}, b.corners())
	})
	k.note("label: part, least margin in one pass")
	k.note("a drawing has no order, depth or feed")
	k.y -= 8
	k.rule("zone, open", zoneStroke)
	k.rule("zone, closed", closedZoneStroke)
	k.rule("groove", grooveStroke)
	d.obstacleKey(k)
}

// outlineLabels writes number and least margin of parts, the worst first, as long as there is room.
func (d *plan) outlineLabels(r *outline.Result) {
	n := 0
	for _, c := range []dryrun.Class{dryrun.WouldNotHold, dryrun.WithCare, dryrun.WouldHold} {
		for _, i := range r.Items {
			if i.Kind != outline.PartItem || i.Class != c || n >= maxPlanLabels {
				continue
			}
			n++
			m := orb.MultiPolygon{i.Outline}
			middle, ok := labelPoint(result.Piece{Outline: m, Centroid: i.Outline.Bound().Center()})
			if !ok {
				continue
			}
			number := strconv.Itoa(i.Part)
			text := number
			if t := i.Trials[outline.OnePass]; t.Tried && !math.IsNaN(t.Margin) && !math.IsInf(t.Margin, 0) {
				text += ": " + wording.Margin(t.Margin)
			}
			at, own := d.at(middle), d.extent(i.Outline.Bound())
			for _, label := range []string{text, number} {
				w := d.textWidth(label, labelSize)
				place := box{at.x - w/2 - labelPadX, at.y - 2.5, at.x + w/2 + labelPadX, at.y + labelSize}
				if w < own.x1-own.x0 && 2*labelSize < own.y1-own.y0 && !d.covered(place) {
					d.halo(spot{at.x - w/2, at.y}, label, labelSize)
					break
				}
				if label == number && c != dryrun.WouldHold {
					d.labelNear(at, math.Max(10, (own.y1-own.y0)/2+4), text, labelSize)
				}
			}
		}
	}
}
