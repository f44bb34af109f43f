package picture

import (
	"errors"
	"fmt"
	"image/color"
	"io"
	"math"
	"slices"

	"staydown/hold/result"
	"staydown/hold/wording"
	"staydown/report/words"
)

// heatArea is the part of the canvas for the cells of a heat map, points.
var heatArea = box{190, 90, timelineRight, 600}

// HeatMapPNG draws variants of two keys as a PNG of 1600 x 900 pixels: the first key down, the second across, each cell
// in the color of its verdict with the least margin and the verdict in it. It fails for other numbers of keys; further
// errors are those of w.
func HeatMapPNG(w io.Writer, v *result.Variants) error {
	if len(v.Keys) != 2 {
		return errors.New("a heat map has two keys")
	}
	return writePNG(w, func(p *pen) { drawHeatMap(p, v) })
}

func drawHeatMap(p *pen, v *result.Variants) {
	down, across := valuesOf(v, 0), valuesOf(v, 1)
	p.rect(paperColour, box{0, 0, p.w, p.h})
	p.textAt(spot{heatArea.x0, 650}, p.fit(words.Visible(v.Program), titleSize, 560), titleSize, inkColour, align{0, 0},
		bold)
	p.textAt(spot{legendRight, 650}, "verdict and least margin", labelSize, inkColour, align{-1, 0})
	high, wide := (heatArea.y1-heatArea.y0)/float64(len(down)), (heatArea.x1-heatArea.x0)/float64(len(across))
	for _, one := range v.Rows {
		i, k := slices.Index(down, one.Values[0]), slices.Index(across, one.Values[1])
		x, y := heatArea.x0+float64(k)*wide, heatArea.y1-float64(i+1)*high
		p.heatCell(box{x, y, x + wide, y + high}, one.Result)
	}
	for i, value := range down {
		at := spot{heatArea.x0 - 8, heatArea.y1 - (float64(i)+0.5)*high}
		p.textAt(at, p.fit(words.Visible(value), labelSize, 126), labelSize, inkColour, align{-1, -0.4})
	}
	for k, value := range across {
		at := spot{heatArea.x0 + (float64(k)+0.5)*wide, heatArea.y0 - 8}
		p.textAt(at, p.fit(words.Visible(value), labelSize, wide-6), labelSize, inkColour, align{-0.5, -1})
	}
	middle := spot{(heatArea.x0 + heatArea.x1) / 2, (heatArea.y0 + heatArea.y1) / 2}
	p.textAt(spot{middle.x, heatArea.y0 - 44}, p.fit(words.Visible(v.Keys[1]), labelSize, 700), labelSize, inkColour,
		align{-0.5, 0}, bold)
	p.textAt(spot{36, middle.y}, p.fit(words.Visible(v.Keys[0]), labelSize, 480), labelSize, inkColour, align{-0.5, 0},
		bold,
		turned)
	for i, line := range words.Wrap(words.Caution, 150) {
		p.textAt(spot{heatArea.x0, 26 - 11*float64(i)}, line, smallSize, dimColour, align{0, 0})
	}
	heatKey(p, v)
}

// valuesOf lists the values of a key in the order of the rows, each once.
func valuesOf(v *result.Variants, key int) (out []string) {
	for _, one := range v.Rows {
		if !slices.Contains(out, one.Values[key]) {
			out = append(out, one.Values[key])
		}
	}
	return out
}

// heatCell draws one variant. What does not fit into the cell is left out, the verdict first: its color tells it too.
func (p *pen) heatCell(b box, r *result.Result) {
	fill, ink := verdictFill(r.Verdict)
	p.rect(fill, b)
	p.outline(stroke{paperColour, 1.5, nil}, b.corners())
	x, y := (b.x0+b.x1)/2, (b.y0+b.y1)/2
	lines := []string{"", ""}
	if least, ok := r.LeastPiece(); ok {
		lines[0] = wording.Margin(least.Least.Margin)
		if whole := words.LeastMargin(r); p.textWidth(whole, titleSize) <= b.x1-b.x0-8 {
			lines[0] = whole
		}
	}
	lines[1] = r.Verdict.String()
	size := math.Min(titleSize, (b.y1-b.y0)/3)
	if p.textWidth(lines[0], size) <= b.x1-b.x0-4 {
		p.textAt(spot{x, y}, lines[0], size, ink, align{-0.5, 0}, bold)
	}
	if p.textWidth(lines[1], size*0.75) <= b.x1-b.x0-4 {
		p.textAt(spot{x, y - 4}, lines[1], size*0.75, ink, align{-0.5, -1})
	}
}

// verdictFill is the color of a verdict in a heat map, with that of the text on it.
func verdictFill(v result.Verdict) (fill, ink color.NRGBA) {
	switch v {
	case result.Held:
		return heldState, inkColour
	case result.AtRisk:
		return atRiskState, inkColour
	case result.Loose:
		return looseState, paperColour
	}
	return unknownState, inkColour
}

func heatKey(p *pen, v *result.Variants) {
	k := newKey(p, heatArea.y1)
	for _, verdict := range []result.Verdict{result.Held, result.AtRisk, result.Loose, result.Incomplete} {
		k.swatch(verdict.String(), func(b box) {
			fill, _ := verdictFill(verdict)
			p.rect(fill, b)
			p.outline(stroke{inkColour, 0.6, nil}, b.corners())
		})
	}
	k.note("number: least margin")
	if asked, one := marginAsked(v); one {
		k.note(fmt.Sprintf("required: %s", wording.Margin(asked)))
	}
}

// marginAsked is the required margin where it is the same for all variants.
func marginAsked(v *result.Variants) (asked float64, one bool) {
	for i, row := range v.Rows {
		if i > 0 && row.Result.Margin != asked {
			return 0, false
		}
		asked = row.Result.Margin
	}
	return asked, len(v.Rows) > 0 && asked > 0
}
