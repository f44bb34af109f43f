package picture

import (
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"

	"github.com/paulmach/orb"

	"staydown/hold/result"
	"staydown/hold/wording"
	"staydown/report/words"
)

// planArea is the part of the canvas that the plan may fill, points.
var planArea = box{70, 62, timelineRight, 626}

// Limits of the plan, so that a result of any size gives a picture in bounded time.
const (
	maxPlanLabels  = 400
	maxPlanEntries = 20_000
	maxPlanPlaces  = 400
	maxPlaceLabels = 60 // program lines beside them
)

// PlanPNG draws the table from above as a PNG of 1600 x 900 pixels: every piece by how it fares, zones and grooves,
// where tools go into the material and where pieces come loose. Errors are those of w.
func PlanPNG(w io.Writer, r *result.Result) error {
	return writePNG(w, func(p *pen) { drawPlan(p, r) })
}

// PlanSVG draws the picture of PlanPNG as SVG, with text as text.
func PlanSVG(w io.Writer, r *result.Result) error {
	return writeSVG(w, func(p *pen) { drawPlan(p, r) })
}

// plan is a result laid out for drawing from above.
type plan struct {
	*pen
	view
	labelRoom
	r        *result.Result
	unranged int // pieces whose label had no room for the range of their margin
}

func drawPlan(p *pen, r *result.Result) *plan {
	b := planBound(r)
	pad := 0.02 * math.Max(b.Max[0]-b.Min[0], b.Max[1]-b.Min[1])
	d := &plan{pen: p, r: r, view: planView(b.Pad(pad), planArea)}
	d.frame = d.box()
	p.rect(paperColour, box{0, 0, p.w, p.h})
	p.textAt(spot{planArea.x0, 650}, p.fit(words.Visible(r.Program.Path), titleSize, 560), titleSize, inkColour,
		align{0, 0},
		bold)
	p.textAt(spot{legendRight, 650}, fmt.Sprintf("verdict: %s; %s", r.Verdict, words.Pieces(r)), labelSize, inkColour,
		align{-1, 0})
	p.rect(shelfColour, d.box())
	d.axes()
	d.zoneFloors()
	d.pieces(false)
	d.kerf()
	d.pieces(true)
	d.zoneBorders()
	d.obstacles()
	d.entries()
	d.places()
	d.obstacleLabels()
	d.pieceLabels()
	d.key()
	return d
}

// axes draws the border with ticks in the units of the shop.
func (d *plan) axes() {
	b := d.box()
	x := Axis{Lo: d.bound.Min[0], Hi: d.bound.Max[0], From: b.x0, To: b.x1}
	y := Axis{Lo: d.bound.Min[1], Hi: d.bound.Max[1], From: b.y0, To: b.y1}
	unit := d.r.Units.Length()
	across, up := "X ("+unit.Name+")", "Y ("+unit.Name+")"
	if d.turned {
		x, y = y, x
		x.From, x.To, y.From, y.To = b.x0, b.x1, b.y1, b.y0
		across, up = up, across
	}
	for _, k := range linearTicks(x.Lo, x.Hi, 10, unit) {
		at := x.At(k.value)
		d.line(stroke{inkColour, 0.8, nil}, spot{at, b.y0 - 4}, spot{at, b.y0})
		d.textAt(spot{at, b.y0 - 7}, k.label, labelSize, inkColour, align{-0.5, -1})
	}
	for _, k := range linearTicks(y.Lo, y.Hi, 8, unit) {
		at := y.At(k.value)
		d.line(stroke{inkColour, 0.8, nil}, spot{b.x0 - 4, at}, spot{b.x0, at})
		d.textAt(spot{b.x0 - 7, at}, k.label, labelSize, inkColour, align{-1, -0.4})
	}
	d.textAt(spot{(b.x0 + b.x1) / 2, b.y0 - 36}, across, labelSize, inkColour, align{-0.5, 0})
	d.textAt(spot{b.x0 - 40, (b.y0 + b.y1) / 2}, up, labelSize, inkColour, align{-0.5, 0}, turned)
	d.outline(stroke{inkColour, 0.9, nil}, b.corners())
}

// zoneFloors paints the chuck where no material lies on it: open zones white, closed ones left in the color of the
// table.
func (d *plan) zoneFloors() {
	for _, z := range d.r.Job.Zones {
		if z.Open {
			d.fill(paperColour, d.rings(orb.MultiPolygon{z.Area})...)
		}
	}
}

func (d *plan) zoneBorders() {
	for _, z := range d.r.Job.Zones {
		for _, l := range grooveLines(z) {
			d.line(grooveStroke, d.at(orb.Point{l[0].x, l[0].y}), d.at(orb.Point{l[1].x, l[1].y}))
		}
	}
	for _, z := range d.r.Job.Zones {
		rings := d.rings(orb.MultiPolygon{z.Area})
		s := zoneStroke
		if !z.Open {
			s = closedZoneStroke
		}
		if z.Gasket {
			s.width *= 2
		}
		d.outline(s, rings...)
		if len(rings) == 0 {
			continue
		}
		text := ZoneName(z)
		zone := d.extent(z.Area.Bound())
		at := spot{zone.x0 + 4, zone.y1 - 12}
		d.halo(at, d.fit(text, smallSize, zone.x1-at.x-2), smallSize)
	}
}

// ZoneName puts a zone into words.
func ZoneName(z result.ZoneFacts) string {
	s := "zone " + words.Visible(z.Name)
	if z.Gasket {
		s += ", gasket"
	}
	if !z.Open {
		s += ", closed"
	}
	return s
}

// halo writes text on a strip of paper, from a spot to the right, and keeps the place.
func (d *plan) halo(at spot, text string, size float64) {
	if text == "" {
		return
	}
	b := labelBox(at, d.textWidth(text, size), size)
	d.onPaper(b, text, size)
	d.keep(b)
}

// onPaper writes the text of a label.
func (d *plan) onPaper(b box, text string, size float64) {
	d.rect(paperColour, b)
	d.textAt(b.textStart(), text, size, inkColour, align{})
}

// pieces paints the stock or the freed pieces in the color and hatching of their state.
func (d *plan) pieces(freed bool) {
	for _, p := range d.r.Pieces {
		if p.Freed == freed {
			d.piece(p.State, d.rings(p.Outline))
		}
	}
}

func (d *plan) piece(s result.State, rings [][]spot) {
	d.fill(stateColour(s), rings...)
	for _, h := range stateHatch(s) {
		d.hatch(h.stroke, h.angle, h.gap, rings...)
	}
	d.outline(stroke{inkColour, 0.9, nil}, rings...)
}

type hatching struct {
	stroke
	angle, gap float64
}

// stateHatch tells the states apart without color: held is plain, at risk has one family of lines, loose a dense one
// the other way, slivers are crossed, what is not known has few upright lines.
func stateHatch(s result.State) []hatching {
	switch s {
	case result.StateAtRisk:
		return []hatching{{stroke{inkColour, 0.6, nil}, -math.Pi / 4, 9}}
	case result.StateLoose:
		return []hatching{{stroke{paperColour, 0.8, nil}, math.Pi / 4, 5}}
	case result.StateUnknown:
		return []hatching{{stroke{inkColour, 0.4, nil}, math.Pi / 2, 12}}
	case result.StateSliver:
		return []hatching{{stroke{paperColour, 0.7, nil}, math.Pi / 4, 4}, {stroke{paperColour, 0.7, nil}, -math.Pi / 4,
			4}}
	}
	return nil
}

func (d *plan) entries() {
	for i, e := range d.r.Entries {
		if i >= maxPlanEntries {
			break
		}
		if Finite(e.At[0]) && Finite(e.At[1]) {
			d.entryMark(d.at(e.At))
		}
	}
}

func (d *plan) entryMark(s spot) {
	d.fill(paperColour, []spot{{s.x, s.y - 1}, {s.x - 4.5, s.y + 7}, {s.x + 4.5, s.y + 7}})
	d.fill(vacuumColour, []spot{s, {s.x - 3.2, s.y + 6}, {s.x + 3.2, s.y + 6}})
}

// obstacles draws clamps, fixtures and the edge of the table.
func (d *plan) obstacles() {
	if len(d.r.Job.Table) > 0 {
		d.outline(tableStroke, d.rings(RingPolygon(d.r.Job.Table))...)
	}
	for _, f := range d.r.Job.Fixtures {
		d.fixture(d.rings(RingPolygon(f.Footprint)))
	}
	for _, c := range d.r.Job.Clamps {
		d.clamp(d.rings(RingPolygon(c.Footprint)))
	}
}

func (d *plan) obstacleLabels() {
	for _, o := range obstacles(d.r) {
		if len(o.Footprint) > 0 {
			d.labelNear(d.at(o.Footprint.Bound().Center()), 8, d.fit(words.Visible(o.Name), smallSize, 160), smallSize)
		}
	}
}

func RingPolygon(ring orb.Ring) orb.MultiPolygon { return orb.MultiPolygon{{ring}} }

func (d *plan) clamp(rings [][]spot) {
	d.fill(bandColour, rings...)
	d.hatch(stroke{inkColour, 0.8, nil}, 0, 4, rings...)
	d.outline(stroke{inkColour, 1.4, nil}, rings...)
}

func (d *plan) fixture(rings [][]spot) {
	d.fill(dimColour, rings...)
	d.outline(stroke{inkColour, 1.4, nil}, rings...)
}

// places marks where pieces come loose, the most dangerous first, with the program line. All marks come before the
// first line number, so that none hides a number.
func (d *plan) places() {
	var shown []result.Finding
	for _, level := range []result.Level{result.LevelError, result.LevelWarning} {
		for _, f := range d.r.Findings {
			if f.HasAt && f.Level == level && onPlan(f) && Finite(f.At[0]) && Finite(f.At[1]) &&
				len(shown) < maxPlanPlaces {
				shown = append(shown, f)
			}
		}
	}
	slices.SortStableFunc(shown, words.CompareGravity)
	for _, f := range slices.Backward(shown) { // the most dangerous on top
		if f.Rule == result.RuleCollision {
			d.collisionMark(d.at(f.At))
			continue
		}
		d.placeMark(d.at(f.At), f.Level)
	}
	for _, f := range shown[:min(len(shown), maxPlaceLabels)] {
		d.labelNear(d.at(f.At), 8, "line "+strconv.Itoa(f.Line), smallSize)
	}
}

// onPlan tells whether the place of a finding is marked: of pieces that come loose and of tools that meet something.
func onPlan(f result.Finding) bool { return words.Kind(f) != f.Rule || f.Rule == result.RuleCollision }

// collisionMark is a square with a cross.
func (d *plan) collisionMark(s spot) {
	square := func(r float64) []spot { return box{s.x - r, s.y - r, s.x + r, s.y + r}.corners() }
	d.fill(paperColour, square(7))
	d.outline(stroke{alarmColour, 1.8, nil}, square(5.5))
	d.line(stroke{alarmColour, 1.8, nil}, spot{s.x - 5.5, s.y - 5.5}, spot{s.x + 5.5, s.y + 5.5})
	d.line(stroke{alarmColour, 1.8, nil}, spot{s.x - 5.5, s.y + 5.5}, spot{s.x + 5.5, s.y - 5.5})
	d.taken = append(d.taken, box{s.x - 7, s.y - 7, s.x + 7, s.y + 7})
}

// placeMark is a ringed cross for a piece that comes loose, an open ring for one at risk.
func (d *plan) placeMark(s spot, level result.Level) {
	disc := func(r float64) []spot {
		var out []spot
		for i := range 24 {
			sin, cos := math.Sincos(2 * math.Pi * float64(i) / 24)
			out = append(out, spot{s.x + r*cos, s.y + r*sin})
		}
		return out
	}
	d.fill(paperColour, disc(7))
	d.outline(stroke{alarmColour, 1.8, nil}, disc(5.5))
	if level == result.LevelError {
		d.line(stroke{alarmColour, 1.8, nil}, spot{s.x - 3.5, s.y - 3.5}, spot{s.x + 3.5, s.y + 3.5})
		d.line(stroke{alarmColour, 1.8, nil}, spot{s.x - 3.5, s.y + 3.5}, spot{s.x + 3.5, s.y - 3.5})
	}
	d.taken = append(d.taken, box{s.x - 7, s.y - 7, s.x + 7, s.y + 7})
}

// labelNear writes text near a spot where it covers no other text; if there is no free place it is left out.
func (d *plan) labelNear(s spot, away float64, text string, size float64) {
	b, leader, led, ok := d.near(s, away, d.textWidth(text, size), size)
	if !ok {
		return
	}
	if led {
		d.line(stroke{inkColour, 0.6, nil}, leader[:]...)
	}
	d.onPaper(b, text, size)
}

// pieceLabels writes the number of every piece with how it fares, the endangered ones first, as long as there is room.
func (d *plan) pieceLabels() {
	n := 0
	for _, s := range []result.State{result.StateLoose, result.StateSliver, result.StateAtRisk, result.StateUnknown,
		result.StateHeld} {
		for _, p := range d.r.Pieces {
			middle, ok := labelPoint(p)
			if p.State != s || !ok {
				continue
			}
			if n++; n > maxPlanLabels {
				return
			}
			d.pieceLabel(p, d.at(middle))
		}
	}
}

// pieceLabel writes the label of a piece whose middle is given: on it, or beside it if it is too small. The range of
// its margin goes behind, on a second line, or is left out where there is no room.
func (d *plan) pieceLabel(p result.Piece, at spot) {
	text, own := pieceName(p)+marginPart(p), d.extent(p.Outline.Bound())
	ranged := pieceName(p) + rangePart(p)
	wide := func(text string) bool { return d.textWidth(text, labelSize)+2*labelPadX > own.x1-own.x0 }
	if IsStock(p) {
		// The middle of the stock is likely cut away: its name goes to its lower right corner.
		at, text = spot{own.x1 - 4 - d.textWidth(ranged, labelSize)/2, own.y0 + 5}, ranged
	}
	centred := func(at spot, text string) box {
		w := d.textWidth(text, labelSize)
		return labelBox(spot{at.x - w/2, at.y}, w, labelSize)
	}
	if !wide(ranged) && !d.covered(centred(at, ranged)) {
		text = ranged
	}
	number := strconv.Itoa(p.ID)
	full, bare := centred(at, text), centred(at, number)
	small := !IsStock(p) && (wide(text) || own.y1-own.y0 < 2*labelSize)
	switch {
	case small && own.x1-own.x0 > bare.x1-bare.x0+4 && own.y1-own.y0 > 2*labelSize && !d.covered(bare):
		d.halo(bare.textStart(), number, labelSize)
	case !IsStock(p) && p.State == result.StateHeld && d.covered(bare):
		// no leader for a piece that needs no attention
	case small: // a label on it would hide it; color and hatching tell the state
		d.taken = append(d.taken, own)
		d.labelNear(at, math.Max(10, (own.y1-own.y0)/2+4), number+marginPart(p), labelSize)
	case d.covered(full):
		d.labelNear(at, 10, text, labelSize)
	default:
		d.halo(full.textStart(), text, labelSize)
		below := centred(spot{at.x, at.y - labelSize - 2*labelPadY}, rangeAlone(p))
		if text != ranged && !wide(rangeAlone(p)) && below.y0 > own.y0 && !d.covered(below) {
			d.halo(below.textStart(), rangeAlone(p), labelSize)
			text = ranged
		}
	}
	if text != ranged {
		d.unranged++
	}
}

// pieceName is the number of a piece, with its state when it is not held.
func pieceName(p result.Piece) string {
	s := strconv.Itoa(p.ID)
	if IsStock(p) {
		s = "stock"
	}
	if p.State != result.StateHeld {
		s += " " + p.State.String()
	}
	return s
}

// rangePart is the least margin of a piece, when there is one, with its range.
func rangePart(p result.Piece) string {
	if marginPart(p) == "" {
		return ""
	}
	return ": " + words.Margin(p.Least)
}

// rangeAlone is the range of the least margin of a piece, in parentheses.
func rangeAlone(p result.Piece) string {
	return strings.TrimPrefix(rangePart(p), marginPart(p)+" ")
}

// marginPart is the least margin of a piece alone.
func marginPart(p result.Piece) string {
	if p.Least.Mode == result.NoMode || words.Number(p.Least.Margin) == "" {
		return ""
	}
	return ": " + wording.Margin(p.Least.Margin)
}

func (d *plan) key() {
	k := newKey(d.pen, planArea.y1)
	for _, s := range []result.State{result.StateHeld, result.StateAtRisk, result.StateLoose, result.StateSliver} {
		k.swatch(s.String(), func(b box) { d.piece(s, [][]spot{b.corners()}) })
	}
	k.note("label: piece, least margin (5 to 95 %)")
	if d.unranged > 0 {
		k.note(wording.Count(d.unranged, "range has", "ranges have") + " no room: see the report")
	}
	if kerfDrawable(d.r.Kerf) {
		k.swatch("kerf, through the stock", func(b box) { d.rect(throughKerf, b) })
		k.swatch("kerf, partway", func(b box) { d.rect(partwayKerf, b) })
	}
	k.y -= 8
	k.swatch("place where a piece comes loose", func(b box) {
		d.placeMark(spot{(b.x0 + b.x1) / 2, (b.y0 + b.y1) / 2},
			result.LevelError)
	})
	k.swatch("place below the required margin", func(b box) {
		d.placeMark(spot{(b.x0 + b.x1) / 2, (b.y0 + b.y1) / 2},
			result.LevelWarning)
	})
	k.swatch("tool enters the material", func(b box) { d.entryMark(spot{(b.x0 + b.x1) / 2, b.y0}) })
	k.y -= 8
	k.rule("zone, open", zoneStroke)
	k.rule("zone, closed", closedZoneStroke)
	gasket := zoneStroke
	gasket.width *= 2
	k.rule("zone with a gasket", gasket)
	k.rule("groove", grooveStroke)
	d.obstacleKey(k)
}

// obstacleKey explains what the plan shows of clamps, fixtures and collisions, as far as there are any.
func (d *plan) obstacleKey(k *key) {
	k.y -= 8
	if len(d.r.Job.Clamps) > 0 {
		k.swatch("clamp", func(b box) { d.clamp([][]spot{b.corners()}) })
	}
	if len(d.r.Job.Fixtures) > 0 {
		k.swatch("fixture", func(b box) { d.fixture([][]spot{b.corners()}) })
	}
	if len(d.r.Job.Table) > 0 {
		k.rule("edge of the table", tableStroke)
	}
	if slices.ContainsFunc(d.r.Findings, func(f result.Finding) bool { return f.Rule == result.RuleCollision }) {
		k.swatch("collision of tool or holder", func(b box) {
			d.collisionMark(spot{(b.x0 + b.x1) / 2,
				(b.y0 + b.y1) / 2})
		})
	}
}
