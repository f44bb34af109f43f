package picture

import (
	"bytes"
	"fmt"
	"image"
	"image/color"
	"io"
	"math"
	"slices"
	"sort"

	xfont "golang.org/x/image/font"
	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/font/liberation"
	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
	"gonum.org/v1/plot/vg/vgimg"
	"gonum.org/v1/plot/vg/vgsvg"
)

// Pictures are this wide and high, in pixels at pictureDPI.
const (
	pictureWidthPx  = 1600
	pictureHeightPx = 900
	pictureDPI      = 96

	canvasWidth  = pictureWidthPx * 72 / pictureDPI // points
	canvasHeight = pictureHeightPx * 72 / pictureDPI
)

// Sizes of letters, points. At 96 dots per inch 12 points are 16 pixels.
const (
	titleSize = 14
	labelSize = 10.5
	smallSize = 9
)

// pen draws on a canvas in points, origin at the lower left.
type pen struct {
	c     draw.Canvas
	fonts text.Handler
	w, h  float64
}

func newPen(canvas vg.CanvasSizer) *pen {
	w, h := canvas.Size()
	return &pen{c: draw.New(canvas), fonts: text.Plain{Fonts: font.NewCache(liberation.Collection())}, w: w.Points(),
		h: h.Points()}
}

// writePNG renders a picture of the standard size as PNG.
func writePNG(w io.Writer, paint func(*pen)) error {
	c := vgimg.NewWith(vgimg.UseWH(pictureWidthPx*vg.Inch/pictureDPI, pictureHeightPx*vg.Inch/pictureDPI),
		vgimg.UseDPI(pictureDPI))
	paint(newPen(c))
	_, err := vgimg.PngCanvas{Canvas: c}.WriteTo(w)
	return err
}

// writeSVG renders a picture of the standard size as SVG. Letters stay text, each line as wide as it was laid out.
func writeSVG(w io.Writer, paint func(*pen)) error {
	c := &svgCanvas{Canvas: vgsvg.NewWith(vgsvg.UseWH(pictureWidthPx*vg.Inch/pictureDPI,
		pictureHeightPx*vg.Inch/pictureDPI))}
	paint(newPen(c))
	var b bytes.Buffer
	if _, err := c.WriteTo(&b); err != nil {
		return err
	}
	_, err := w.Write(c.withWidths(b.Bytes()))
	return err
}

// svgCanvas notes the width of every line of text, so that a viewer that lacks the font neither cuts nor overlaps it.
type svgCanvas struct {
	*vgsvg.Canvas
	widths []float64 // points, in the order of the picture
}

func (c *svgCanvas) FillString(f font.Face, at vg.Point, s string) {
	c.widths = append(c.widths, f.Width(s).Points())
	c.Canvas.FillString(f, at, s)
}

// withWidths adds the widths to a picture. Text is escaped in it, so that only an element begins with a bracket.
func (c *svgCanvas) withWidths(picture []byte) []byte {
	parts := bytes.Split(picture, []byte("<text "))
	var b bytes.Buffer
	b.Write(parts[0])
	for i, part := range parts[1:] {
		fmt.Fprintf(&b, `<text textLength="%.5g" lengthAdjust="spacingAndGlyphs" `, c.widths[i])
		b.Write(part)
	}
	return b.Bytes()
}

// stroke is a line style: width in points, dashes in points.
type stroke struct {
	colour color.NRGBA
	width  float64
	dashes []float64
}

func (s stroke) style() draw.LineStyle {
	l := draw.LineStyle{Color: s.colour, Width: vg.Points(s.width)}
	for _, d := range s.dashes {
		l.Dashes = append(l.Dashes, vg.Points(d))
	}
	return l
}

// spot is a place on the canvas, points.
type spot struct{ x, y float64 }

// drawable tells whether a spot is a number near the canvas; the raster canvas never ends on others.
func (s spot) drawable() bool { return math.Abs(s.x) < 1e5 && math.Abs(s.y) < 1e5 }

func (s spot) vg() vg.Point { return vg.Point{X: vg.Points(s.x), Y: vg.Points(s.y)} }

// box is a rectangle on the canvas, points.
type box struct{ x0, y0, x1, y1 float64 }

func (b box) corners() []spot { return []spot{{b.x0, b.y0}, {b.x1, b.y0}, {b.x1, b.y1}, {b.x0, b.y1}} }

func (p *pen) line(s stroke, pts ...spot) {
	if len(pts) < 2 {
		return
	}
	v := make([]vg.Point, len(pts))
	for i, q := range pts {
		if !q.drawable() {
			return
		}
		v[i] = q.vg()
	}
	p.c.StrokeLines(s.style(), v)
}

func (p *pen) outline(s stroke, rings ...[]spot) {
	for _, r := range rings {
		if len(r) > 1 {
			p.line(s, append(slices.Clone(r), r[0])...)
		}
	}
}

// fill paints rings with the even-odd sense; outer rings must run against holes, since the raster canvas fills
// by winding number.
func (p *pen) fill(colour color.NRGBA, rings ...[]spot) {
	var path vg.Path
	for _, r := range rings {
		if len(r) < 3 || slices.ContainsFunc(r, func(s spot) bool { return !s.drawable() }) {
			continue
		}
		path.Move(r[0].vg())
		for _, q := range r[1:] {
			path.Line(q.vg())
		}
		path.Close()
	}
	if len(path) == 0 {
		return
	}
	p.c.SetColor(colour)
	p.c.Fill(path)
}

func (p *pen) rect(colour color.NRGBA, b box) { p.fill(colour, b.corners()) }

// image fills a box with a picture, each of its pixels a rectangle.
func (p *pen) image(b box, img image.Image) {
	p.c.DrawImage(vg.Rectangle{Min: spot{b.x0, b.y0}.vg(), Max: spot{b.x1, b.y1}.vg()}, img)
}

// align shifts text by a share of its own size: 0 starts at the spot, -0.5 is centered, -1 ends there.
type align struct{ x, y float64 }

// textAt writes a line of text. turned text runs upwards.
func (p *pen) textAt(s spot, txt string, size float64, colour color.NRGBA, at align, o ...textOption) {
	if txt == "" || !s.drawable() {
		return
	}
	p.c.FillText(p.textStyle(size, colour, at, o...), s.vg(), txt)
}

type textOption uint8

const (
	bold textOption = iota
	turned
)

func (p *pen) textStyle(size float64, colour color.NRGBA, at align, o ...textOption) text.Style {
	st := text.Style{Color: colour, XAlign: text.XAlignment(at.x), YAlign: text.YAlignment(at.y), Handler: p.fonts,
		Font: font.Font{Typeface: "Liberation", Variant: "Sans", Size: font.Points(size)}}
	if slices.Contains(o, bold) {
		st.Font.Weight = xfont.WeightBold
	}
	if slices.Contains(o, turned) {
		st.Rotation = math.Pi / 2
	}
	return st
}

// textWidth is the width of a line of text, points.
func (p *pen) textWidth(txt string, size float64) float64 {
	return p.textStyle(size, inkColour, align{}).Width(txt).Points()
}

// fit shortens text with an ellipsis until it is no wider than width points.
func (p *pen) fit(txt string, size, width float64) string {
	if p.textWidth(txt, size) <= width {
		return txt
	}
	runes := []rune(txt)
	short := func(n int) string { return string(runes[:n]) + "..." }
	n := sort.Search(len(runes), func(n int) bool { return p.textWidth(short(n), size) > width }) - 1
	if n < 1 {
		return ""
	}
	return short(n)
}

// hatch draws parallel lines at an angle (radians) inside rings, by the even-odd rule. gap is the distance between
// lines, points.
func (p *pen) hatch(s stroke, angle, gap float64, rings ...[]spot) {
	for _, l := range hatchLines(angle, gap, rings) {
		p.line(s, l[0], l[1])
	}
}

// maxHatchLines bounds the work for shapes of absurd size.
const maxHatchLines = 4000

// hatchLines finds the pieces of parallel lines inside rings: each scan line is cut by every edge, and the pieces
// between odd and even cuts lie inside.
func hatchLines(angle, gap float64, rings [][]spot) [][2]spot {
	sin, cos := math.Sincos(-angle)
	lo, hi := math.Inf(1), math.Inf(-1)
	type edge struct{ a, b spot }
	var edges []edge
	for _, r := range rings {
		for i, q := range r {
			n := r[(i+1)%len(r)]
			a := spot{float64(q.x*cos) - float64(q.y*sin), float64(q.x*sin) + float64(q.y*cos)}
			b := spot{float64(n.x*cos) - float64(n.y*sin), float64(n.x*sin) + float64(n.y*cos)}
			edges = append(edges, edge{a, b})
			lo, hi = math.Min(lo, a.y), math.Max(hi, a.y)
		}
	}
	if gap <= 0 || !(hi > lo) || (hi-lo)/gap > maxHatchLines {
		return nil
	}
	// Lines lie on multiples of gap from the canvas origin, so that neighboring shapes share one pattern.
	first, last := int(math.Ceil(lo/gap)), int(math.Floor(hi/gap))
	cuts := make([][]float64, last-first+1)
	for _, e := range edges {
		y0, y1 := math.Min(e.a.y, e.b.y), math.Max(e.a.y, e.b.y)
		for k := max(first, int(math.Ceil(y0/gap))); k <= last && float64(k)*gap < y1; k++ {
			y := float64(k) * gap
			t := (y - e.a.y) / (e.b.y - e.a.y)
			cuts[k-first] = append(cuts[k-first], e.a.x+float64(t*(e.b.x-e.a.x)))
		}
	}
	sin, cos = math.Sincos(angle)
	var out [][2]spot
	for i, xs := range cuts {
		slices.Sort(xs)
		y := float64(first+i) * gap
		for j := 0; j+1 < len(xs); j += 2 {
			out = append(out, [2]spot{
				{float64(xs[j]*cos) - float64(y*sin), float64(xs[j]*sin) + float64(y*cos)},
				{float64(xs[j+1]*cos) - float64(y*sin), float64(xs[j+1]*sin) + float64(y*cos)}})
		}
	}
	return out
}
