package report

import (
	"bytes"
	"encoding/base64"
	"fmt"
	"html/template"
	"image"
	"image/color"
	"image/png"
	"math"
	"slices"
	"strconv"
	"strings"

	"github.com/paulmach/orb"

	"staydown/hold"
	"staydown/hold/wording"
)

// The plan of a page is drawn apart from the one of PlanPNG, because a reader moves through time in it: every piece is
// an element of its own. It uses the same colours, hatching and marks.

const (
	pagePlanWidth  = 1000.0 // units of the view box
	pagePlanPad    = 12.0
	maxPagePoints  = 40_000 // vertices of all outlines together
	maxPageEntries = 5_000
	maxPagePieces  = 5_000
	smallLetter    = 7.0 // width of a letter of the small text, at most
)

// pagePlan is the plan for the template.
type pagePlan struct {
	Width, Height float64
	Frame         pageRect
	Zones         []pageZone
	Grooves       string // path
	Clamps        []pageObstacle
	Fixtures      []pageObstacle
	Table         string // path
	Pieces        []pagePiece
	Fields        []pageField
	Entries       string // path
	Places        []pagePlace
	Left          int  // pieces left out
	Meets         bool // some place is one where a tool or its holder meets something
}

type pageRect struct{ X, Y, W, H float64 }

type pageZone struct {
	Name, Title  string
	Path         string
	X, Y         float64 // of the name
	Gasket, Open bool
}

type pageObstacle struct{ Path, Title string }

type pagePiece struct {
	ID     int
	Freed  bool
	TimeS  float64
	Class  string
	Path   string
	Label  string
	Title  string
	X, Y   float64
	Beside bool // the label stands beside the piece, which is too small for it
}

type pageField struct {
	TimeS float64
	At    pageRect
	URI   template.URL
}

type pagePlace struct {
	Finding int // index among the stretches of the page, or -1
	X, Y    float64
	TimeS   float64
	Class   string
	Title   string
	Meets   bool // a tool or its holder meets something
}

// layPlan lays out the plan; stretch gives the index of a finding among the stretches of the page.
func layPlan(r *hold.Result, stretch func(finding int) int) pagePlan {
	b := planBound(r)
	b = b.Pad(0.02 * math.Max(b.Max[0]-b.Min[0], b.Max[1]-b.Min[1]))
	scale := (pagePlanWidth - 2*pagePlanPad) / (b.Max[0] - b.Min[0])
	if h := scale * (b.Max[1] - b.Min[1]); h > pagePlanWidth { // a tall table
		scale *= pagePlanWidth / h
	}
	v := view{scale: scale, bound: b, dx: pagePlanPad - scale*b.Min[0], dy: pagePlanPad - scale*b.Min[1]}
	out := pagePlan{Width: round1(scale*(b.Max[0]-b.Min[0]) + 2*pagePlanPad), Height: round1(scale*(b.Max[1]-b.Min[1]) +
		2*pagePlanPad)}
	out.Frame = pageRect{pagePlanPad, pagePlanPad, round1(out.Width - 2*pagePlanPad),
		round1(out.Height - 2*pagePlanPad)}
	flip := func(s spot) spot { return spot{round1(s.x), round1(out.Height - s.y)} }
	tolerance := pageTolerance(r, 0.3/scale)
	path := func(m orb.MultiPolygon) string {
		var b strings.Builder
		for _, ring := range tidyRings(m, tolerance) {
			for i, p := range ring[:len(ring)-1] {
				s := flip(v.at(p))
				fmt.Fprintf(&b, "%s%s %s", map[bool]string{true: "M", false: "L"}[i == 0], short(s.x), short(s.y))
			}
			b.WriteString("Z")
		}
		return b.String()
	}
	var grooves strings.Builder
	for _, z := range r.Job.Zones {
		for _, l := range grooveLines(z) {
			a, c := flip(v.at(orb.Point{l[0].x, l[0].y})), flip(v.at(orb.Point{l[1].x, l[1].y}))
			fmt.Fprintf(&grooves, "M%s %sL%s %s", short(a.x), short(a.y), short(c.x), short(c.y))
		}
		if len(z.Area) == 0 {
			continue
		}
		zb := z.Area.Bound()
		at := flip(v.at(orb.Point{zb.Min[0], zb.Max[1]}))
		name := zoneName(z)
		if width := scale * (zb.Max[0] - zb.Min[0]); smallLetter*float64(len([]rune(name)))+12 > width {
			name = Visible(z.Name) // the rest is in the legend of lines and on the set-up sheet
		}
		out.Zones = append(out.Zones, pageZone{Name: name, Title: zoneName(z), Path: path(orb.MultiPolygon{z.Area}),
			X: at.x + 6, Y: at.y + 18, Gasket: z.Gasket, Open: z.Open})
	}
	out.Grooves = grooves.String()
	for _, c := range r.Job.Clamps {
		out.Clamps = append(out.Clamps, pageObstacle{path(ringPolygon(c.Footprint)), Visible(c.Name)})
	}
	for _, f := range r.Job.Fixtures {
		out.Fixtures = append(out.Fixtures, pageObstacle{path(ringPolygon(f.Footprint)), Visible(f.Name)})
	}
	out.Table = path(ringPolygon(r.Job.Table))
	for _, freed := range []bool{false, true} {
		for _, p := range r.Pieces {
			if p.Freed != freed {
				continue
			}
			if len(out.Pieces) >= maxPagePieces {
				out.Left++
				continue
			}
			pp := pagePiece{ID: p.ID, Freed: p.Freed, TimeS: p.FreedTimeS, Class: strings.ReplaceAll(p.State.String(),
				" ", "-"), Path: path(p.Outline),
				Title: pieceTitle(p)}
			if middle, ok := labelPoint(p); p.Freed && ok {
				at, pb := flip(v.at(middle)), p.Outline.Bound()
				label, width := strconv.Itoa(p.ID), scale*(pb.Max[0]-pb.Min[0])
				switch {
				case width > 12*float64(len(label)) && scale*(pb.Max[1]-pb.Min[1]) > 20:
					pp.Label, pp.X, pp.Y = label, at.x, round1(at.y+6)
				case p.State != hold.StateHeld:
					pp.Label, pp.X, pp.Y, pp.Beside = label, round1(at.x+width/2+6), round1(at.y+6), true
				}
			}
			out.Pieces = append(out.Pieces, pp)
		}
	}
	var entries strings.Builder
	for i, e := range r.Entries {
		if i >= maxPageEntries || !finite(e.At[0]) || !finite(e.At[1]) {
			continue
		}
		s := flip(v.at(e.At))
		fmt.Fprintf(&entries, "M%s %sl-4 -8h8z", short(s.x), short(s.y))
	}
	out.Entries = entries.String()
	for i, f := range r.Findings {
		if !f.HasAt || f.Level < hold.LevelWarning || !onPlan(f) || !finite(f.At[0]) || !finite(f.At[1]) ||
			len(out.Places) >= maxPlanPlaces {
			continue
		}
		s := flip(v.at(f.At))
		out.Places = append(out.Places, pagePlace{Finding: stretch(i), X: s.x, Y: s.y, TimeS: f.TimeS,
			Class: f.Level.String(), Title: place("line", f.Line, 0) + " " + Visible(f.Message),
			Meets: f.Rule == hold.RuleCollision})
	}
	out.Meets = slices.ContainsFunc(out.Places, func(p pagePlace) bool { return p.Meets })
	top := pressureTop(r)
	for _, f := range r.Fields[:min(len(r.Fields), hold.MaxFields)] {
		uri, ok := fieldURI(f, top)
		lo, hi := flip(v.at(orb.Point{f.OriginX, f.OriginY + float64(f.NY)*f.CellMM})),
			flip(v.at(orb.Point{f.OriginX + float64(f.NX)*f.CellMM, f.OriginY}))
		if ok && lo.drawable() && hi.drawable() {
			out.Fields = append(out.Fields, pageField{f.TimeS, pageRect{lo.x, lo.y, round1(hi.x - lo.x),
				round1(hi.y - lo.y)}, uri})
		}
	}
	return out
}

// pageTolerance widens the simplification of outlines until all of them together fit into a page, mm.
func pageTolerance(r *hold.Result, start float64) float64 {
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

func pieceTitle(p hold.Piece) string {
	s := "piece " + strconv.Itoa(p.ID)
	if !p.Freed {
		s += " (stock)"
	}
	s += ", " + p.State.String()
	if p.Least.Mode != hold.NoMode {
		s += fmt.Sprintf(", least margin %s (%s, line %d)", wording.Margin(p.Least.Margin), p.Least.Mode, p.Least.Line)
	}
	if p.Freed {
		s += fmt.Sprintf(", freed in line %d", p.FreedLine)
	}
	return s
}

// fieldURI renders a field as a small picture with one pixel a cell, transparent where no material lies.
func fieldURI(f hold.Field, top float64) (template.URL, bool) {
	if f.NX <= 0 || f.NY <= 0 || f.NX > maxFieldCells/f.NY || len(f.KPa) < f.NX*f.NY || !(f.CellMM > 0) {
		return "", false
	}
	palette := color.Palette{color.NRGBA{}}
	for i := range pressureBands {
		palette = append(palette, pressureColour((float64(i)+0.5)/pressureBands))
	}
	step := 1
	for f.NX/step > 400 || f.NY/step > 400 {
		step++
	}
	nx, ny := (f.NX+step-1)/step, (f.NY+step-1)/step
	img := image.NewPaletted(image.Rect(0, 0, nx, ny), palette)
	for j := range ny {
		for i := range nx {
			k := float64(f.KPa[j*step*f.NX+i*step])
			if !math.IsNaN(k) {
				img.SetColorIndex(i, ny-1-j, 1+uint8(math.Round(band(k, top)*pressureBands-0.5)))
			}
		}
	}
	var b bytes.Buffer
	if err := (&png.Encoder{CompressionLevel: png.BestCompression}).Encode(&b, img); err != nil {
		return "", false
	}
	return template.URL("data:image/png;base64," + base64.StdEncoding.EncodeToString(b.Bytes())), true
}

func round1(v float64) float64 { return math.Round(v*10) / 10 }

func short(v float64) string { return strconv.FormatFloat(round1(v), 'f', -1, 64) }
