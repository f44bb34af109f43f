package picture

import (
	"bytes"
	"encoding/base64"
	"fmt"
	"html/template"
	"image"
	"image/color"
	"image/png"
	"math"
	"strconv"
	"strings"

	"github.com/paulmach/orb"

	"staydown/hold/result"
	"staydown/report/words"
)

// The plan of a page is not the one of PlanPNG: the reader moves through time in it, so every piece is an element of
// its own that the script shows and hides. Scale, colors, hatching and marks are shared.

const (
	pagePlanWidth  = 592.0 // units of the view box, which are pixels where the plan stands beside the timeline
	pagePlanHeight = 400.0
	slimPlanWidth  = 340.0  // pixels of the plan on a small screen
	planLetters    = 12.0   // height of letters, pixels
	maxPagePoints  = 40_000 // vertices of all outlines together
	maxPageEntries = 5_000
	maxPagePieces  = 5_000
)

// PagePlan is the plan for the template.
type PagePlan struct {
	Width, Height float64
	Frame         pageRect
	Zones         []pageZone
	Grooves       string // path
	Clamps        []pageObstacle
	Fixtures      []pageObstacle
	Table         string // path
	Pieces        []pagePiece
	Kerf          *pageImage  // all that is cut; nil: not known
	Through       []pageImage // what is cut through by a moment and was not by the one before
	Fields        []pageImage
	Labels        []planLabels
	Turned        bool
	Entries       string // path
	Places        []pagePlace
	Left          int  // pieces left out
	Meets         bool // some place is one where a tool or its holder meets something
}

type pageRect struct{ X, Y, W, H float64 }

type pageZone struct {
	Title        string
	Path         string
	Gasket, Open bool
}

type pageObstacle struct{ Path, Title string }

type pagePiece struct {
	ID    int
	Freed bool
	TimeS float64
	Class string
	Path  string
	Title string
}

type pageImage struct {
	TimeS float64
	At    pageRect
	URI   template.URL
}

// planLabels are the labels of one width of the plan: on a small screen letters are larger in units of the view box.
type planLabels struct {
	Class  string
	Size   float64
	Labels []planLabel
}

type planLabel struct {
	Text   string
	X, Y   float64
	Piece  int    // 0: the label of something else
	Leader string // path, "" for none
}

type pagePlace struct {
	Entry int // in the list of the page, or -1
	X, Y  float64
	TimeS float64
	Class string
	Title string
	Meets bool // a tool or its holder meets something
}

// pageLayout maps millimeters to the view box, Y down, and collects the plan.
type pageLayout struct {
	PagePlan
	view
	r           *result.Result
	zoneText    func(result.ZoneFacts) string
	toleranceMM float64 // of simplified outlines
}

// LayPlan lays out the plan; entry is the place of a finding in the list of the page, or -1.
// zoneText is the label of a zone.
func LayPlan(r *result.Result, entry func(finding int) int, zoneText func(result.ZoneFacts) string) PagePlan {
	b := planBound(r)
	b = b.Pad(0.02 * math.Max(b.Max[0]-b.Min[0], b.Max[1]-b.Min[1]))
	v := planView(b, box{0, 0, pagePlanWidth, pagePlanHeight})
	size := v.box() // without the empty strips beside or above the table
	v.dx, v.dy = v.dx-size.x0, v.dy-size.y0
	l := &pageLayout{view: v, r: r, zoneText: zoneText, toleranceMM: pageTolerance(r, 0.3/v.scale)}
	l.Width, l.Height, l.Turned = Round1(size.x1-size.x0), Round1(size.y1-size.y0), v.turned
	l.Frame = pageRect{0, 0, l.Width, l.Height}
	l.zones()
	for _, c := range r.Job.Clamps {
		l.Clamps = append(l.Clamps, pageObstacle{l.path(RingPolygon(c.Footprint)), words.Visible(c.Name)})
	}
	for _, f := range r.Job.Fixtures {
		l.Fixtures = append(l.Fixtures, pageObstacle{l.path(RingPolygon(f.Footprint)), words.Visible(f.Name)})
	}
	l.Table = l.path(RingPolygon(r.Job.Table))
	l.pieces()
	l.entries()
	l.places(entry)
	l.kerf()
	l.fields()
	l.Labels = []planLabels{l.labels("wide", planLetters), l.labels("slim", planLetters*l.Width/slimPlanWidth)}
	return l.PagePlan
}

// spot maps a point in mm to the view box.
func (l *pageLayout) spot(p orb.Point) spot {
	s := l.at(p)
	return spot{Round1(s.x), Round1(l.Height - s.y)}
}

// path is an outline as SVG path data.
func (l *pageLayout) path(m orb.MultiPolygon) string {
	var b strings.Builder
	for _, ring := range tidyRings(m, l.toleranceMM) {
		for i, p := range ring[:len(ring)-1] {
			s := l.spot(p)
			fmt.Fprintf(&b, "%s%s %s", map[bool]string{true: "M", false: "L"}[i == 0], Short(s.x), Short(s.y))
		}
		b.WriteString("Z")
	}
	return b.String()
}

func (l *pageLayout) zones() {
	var grooves strings.Builder
	for _, z := range l.r.Job.Zones {
		for _, g := range grooveLines(z) {
			a, c := l.spot(orb.Point{g[0].x, g[0].y}), l.spot(orb.Point{g[1].x, g[1].y})
			fmt.Fprintf(&grooves, "M%s %sL%s %s", Short(a.x), Short(a.y), Short(c.x), Short(c.y))
		}
		if len(z.Area) == 0 {
			continue
		}
		l.Zones = append(l.Zones, pageZone{Title: ZoneName(z), Path: l.path(orb.MultiPolygon{z.Area}), Gasket: z.Gasket,
			Open: z.Open})
	}
	l.Grooves = grooves.String()
}

// pieces draws the stock first and the freed pieces over it.
func (l *pageLayout) pieces() {
	for _, freed := range []bool{false, true} {
		for _, p := range l.r.Pieces {
			switch {
			case p.Freed != freed:
			case len(l.Pieces) >= maxPagePieces:
				l.Left++
			default:
				l.Pieces = append(l.Pieces, l.piece(p))
			}
		}
	}
}

func (l *pageLayout) piece(p result.Piece) pagePiece {
	return pagePiece{ID: p.ID, Freed: p.Freed, TimeS: p.FreedTimeS,
		Class: strings.ReplaceAll(p.State.String(), " ", "-"), Path: l.path(p.Outline), Title: pieceTitle(p)}
}

func (l *pageLayout) entries() {
	var b strings.Builder
	for _, e := range l.r.Entries[:min(len(l.r.Entries), maxPageEntries)] {
		if Finite(e.At[0]) && Finite(e.At[1]) {
			s := l.spot(e.At)
			fmt.Fprintf(&b, "M%s %sl-3 -6h6z", Short(s.x), Short(s.y))
		}
	}
	l.Entries = b.String()
}

func (l *pageLayout) places(entry func(finding int) int) {
	for i, f := range l.r.Findings {
		if !f.HasAt || f.Level < result.LevelWarning || !onPlan(f) || !Finite(f.At[0]) || !Finite(f.At[1]) ||
			len(l.Places) >= maxPlanPlaces {
			continue
		}
		s := l.spot(f.At)
		l.Places = append(l.Places, pagePlace{Entry: entry(i), X: s.x, Y: s.y, TimeS: f.TimeS,
			Class: f.Level.String(), Title: words.Place("line", f.Line, 0) + " " + words.Visible(f.Message),
			Meets: f.Rule == result.RuleCollision})
		l.Meets = l.Meets || f.Rule == result.RuleCollision
	}
}

// fields places the pictures of the pressure.
func (l *pageLayout) fields() {
	top := PressureTop(l.r)
	for _, f := range l.r.Fields[:min(len(l.r.Fields), result.MaxFields)] {
		uri, ok := fieldURI(f, l.turned, top)
		at, inside := l.rect(orb.Bound{Min: orb.Point{f.OriginX, f.OriginY},
			Max: orb.Point{f.OriginX + float64(f.NX)*f.CellMM, f.OriginY + float64(f.NY)*f.CellMM}})
		if ok && inside {
			l.Fields = append(l.Fields, pageImage{f.TimeS, at, uri})
		}
	}
}

// rect places a rectangle of the table; false where it is too far away to be drawn.
func (l *pageLayout) rect(b orb.Bound) (pageRect, bool) {
	e := l.extent(b)
	return pageRect{round2(e.x0), round2(l.Height - e.y1), round2(e.x1 - e.x0), round2(e.y1 - e.y0)},
		spot{e.x0, e.y0}.drawable() && spot{e.x1, e.y1}.drawable()
}

// pageTolerance widens the simplification of outlines until all of them together fit into a page, mm.
func pageTolerance(r *result.Result, start float64) float64 {
	for tolerance := start; ; tolerance *= 2 {
		n := 0
		for _, p := range r.Pieces {
			for _, ring := range tidyRings(p.Outline, tolerance) {
				n += len(ring)
			}
		}
		if n <= maxPagePoints || tolerance > 64*start {
			return tolerance
		}
	}
}

func pieceTitle(p result.Piece) string {
	s := "piece " + strconv.Itoa(p.ID)
	if IsStock(p) {
		s += " (stock)"
	}
	s += ", " + p.State.String()
	if p.Least.Mode != result.NoMode {
		s += fmt.Sprintf(", least margin %s, %s, line %d", words.Margin(p.Least), p.Least.Mode, p.Least.Line)
	}
	if p.Freed {
		s += fmt.Sprintf(", freed in line %d", p.FreedLine)
	}
	return s
}

// fieldURI renders a field as a small picture with one pixel a cell, transparent where no material lies.
func fieldURI(f result.Field, turned bool, top float64) (template.URL, bool) {
	if f.NX <= 0 || f.NY <= 0 || f.NX > maxFieldCells/f.NY || len(f.KPa) < f.NX*f.NY || !(f.CellMM > 0) {
		return "", false
	}
	palette := color.Palette{color.NRGBA{}}
	for i := range PressureBands {
		palette = append(palette, PressureColour((float64(i)+0.5)/PressureBands))
	}
	step := 1
	for f.NX/step > 400 || f.NY/step > 400 {
		step++
	}
	return pngURI(rasterImage((f.NX+step-1)/step, (f.NY+step-1)/step, turned, palette, func(i, j int) uint8 {
		k := float64(f.KPa[j*step*f.NX+i*step])
		if math.IsNaN(k) {
			return 0
		}
		return 1 + uint8(math.Round(band(k, top)*PressureBands-0.5))
	}))
}

// pngURI packs a picture into an address.
func pngURI(img image.Image) (template.URL, bool) {
	var b bytes.Buffer
	if err := (&png.Encoder{CompressionLevel: png.BestCompression}).Encode(&b, img); err != nil {
		return "", false
	}
	return template.URL("data:image/png;base64," + base64.StdEncoding.EncodeToString(b.Bytes())), true
}

func Round1(v float64) float64 { return math.Round(v*10) / 10 }

func Short(v float64) string { return strconv.FormatFloat(Round1(v), 'f', -1, 64) }

func round2(v float64) float64 { return math.Round(v*100) / 100 }
