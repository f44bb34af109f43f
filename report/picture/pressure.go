package picture

import (
	"fmt"
	"image"
	"io"
	"math"

	"github.com/paulmach/orb"

	"staydown/hold/result"
	"staydown/hold/wording"
	"staydown/parse/units"
	"staydown/report/words"
)

// PressureBands is the number of color steps: few enough that a reader can name the step a place has.
const PressureBands = 10

// maxFieldCells bounds the raster of one pressure picture.
const maxFieldCells = 4_000_000

// PressurePNG draws the pressure difference that presses the material on the table, at each moment that the result
// carries a field for, as a PNG of 1600 x 900 pixels. All moments share one scale. Errors are those of w.
func PressurePNG(w io.Writer, r *result.Result) error {
	return writePNG(w, func(p *pen) { drawPressure(p, r) })
}

// PressureTop is the upper end of the scale, kPa.
func PressureTop(r *result.Result) float64 {
	most := r.Vacuum.StartKPa
	for _, f := range r.Fields {
		for _, v := range f.KPa {
			if Finite(float64(v)) {
				most = math.Max(most, float64(v))
			}
		}
	}
	return roundUpIn(most, r.Units.Pressure())
}

func drawPressure(p *pen, r *result.Result) {
	p.rect(paperColour, box{0, 0, p.w, p.h})
	p.textAt(spot{40, 650}, p.fit(words.Visible(r.Program.Path), titleSize, 560), titleSize, inkColour, align{0, 0},
		bold)
	p.textAt(spot{legendRight, 650}, "pressure difference on the material ("+r.Units.Pressure().Name+")", labelSize,
		inkColour, align{-1, 0})
	if len(r.Fields) == 0 {
		p.textAt(spot{p.w / 2, p.h / 2}, "no pressure field in this result", titleSize, dimColour, align{-0.5, 0})
		return
	}
	n := min(len(r.Fields), result.MaxFields)
	columns := 1
	for columns*columns < n {
		columns++
	}
	rows := (n + columns - 1) / columns
	top := PressureTop(r)
	area := box{40, 30, timelineRight, 632}
	w, h := (area.x1-area.x0)/float64(columns), (area.y1-area.y0)/float64(rows)
	bound := planBound(r)
	for i, f := range r.Fields[:n] {
		cell := box{area.x0 + float64(i%columns)*w, area.y1 - float64(i/columns+1)*h, area.x0 + float64(i%columns+1)*w,
			area.y1 - float64(i/columns)*h}
		v := newView(bound, box{cell.x0 + 6, cell.y0 + 6, cell.x1 - 6, cell.y1 - 20}, false)
		p.textAt(spot{cell.x0 + 6, cell.y1 - 14}, wording.Clock(f.TimeS), labelSize, inkColour, align{0, 0})
		drawField(p, v, f, top)
		for _, piece := range r.Pieces {
			if !piece.Freed || piece.FreedTimeS <= f.TimeS {
				p.outline(stroke{inkColour, 0.7, nil}, v.rings(piece.Outline)...)
			}
		}
		p.outline(stroke{dimColour, 0.8, nil}, v.box().corners())
	}
	pressureKey(p, top, r.Units.Pressure())
}

// drawField paints one field as an image of whole picture columns, so that no smoothing invents values between cells.
func drawField(p *pen, v view, f result.Field, top float64) {
	if f.NX <= 0 || f.NY <= 0 || f.NX > maxFieldCells/f.NY || len(f.KPa) < f.NX*f.NY || !(f.CellMM > 0) {
		return
	}
	lo := v.at(orb.Point{f.OriginX, f.OriginY})
	hi := v.at(orb.Point{f.OriginX + float64(f.NX)*f.CellMM, f.OriginY + float64(f.NY)*f.CellMM})
	if !lo.drawable() || !hi.drawable() {
		return
	}
	const pixelsPerPoint = pictureDPI / 72.0
	w, h := int(math.Round((hi.x-lo.x)*pixelsPerPoint)), int(math.Round((hi.y-lo.y)*pixelsPerPoint))
	if w < 1 || h < 1 || w > 4*pictureWidthPx || h > 4*pictureHeightPx {
		return
	}
	img := image.NewNRGBA(image.Rect(0, 0, w, h))
	for y := range h {
		row := min(f.NY-1, int((float64(h-1-y)+0.5)/float64(h)*float64(f.NY)))
		for x := range w {
			col := min(f.NX-1, int((float64(x)+0.5)/float64(w)*float64(f.NX)))
			if k := float64(f.KPa[row*f.NX+col]); !math.IsNaN(k) {
				img.SetNRGBA(x, y, PressureColour(band(k, top)))
			}
		}
	}
	p.image(box{lo.x, lo.y, hi.x, hi.y}, img)
}

// band rounds a pressure to the middle of its color step and gives it as a share of the scale.
func band(k, top float64) float64 {
	i := math.Floor(k / top * PressureBands)
	return (math.Max(0, math.Min(i, PressureBands-1)) + 0.5) / PressureBands
}

// BandInWords tells from where to where a band of the scale goes.
func BandInWords(i int, top float64, unit units.Unit) string {
	one := unit.In(top) / PressureBands
	return fmt.Sprintf("%.4g to %.4g", float64(i)*one, float64(i+1)*one)
}

func pressureKey(p *pen, top float64, unit units.Unit) {
	k := newKey(p, 620)
	for i := PressureBands - 1; i >= 0; i-- {
		k.swatch(BandInWords(i, top, unit),
			func(b box) {
				p.rect(PressureColour((float64(i)+0.5)/PressureBands), b)
				p.outline(stroke{dimColour, 0.5, nil}, b.corners())
			})
	}
	k.swatch("no material", func(b box) { p.outline(stroke{dimColour, 0.5, nil}, b.corners()) })
	k.rule("outline of a piece", stroke{inkColour, 0.7, nil})
}
