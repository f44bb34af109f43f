package hold

import (
	"fmt"
	"math"
	"slices"

	"github.com/paulmach/orb"
	"github.com/paulmach/orb/planar"

	"staydown/hold/internal/pieces"
	"staydown/hold/internal/progcheck"
	"staydown/hold/internal/steploads"
	"staydown/hold/wording"
	"staydown/parse"
	"staydown/parse/units"
)

const (
	skinSegments = 48 // stretches of skin round a piece
	// skinRoom is how much thicker than the tolerance a skin must be: 1 sheet of 40 loses one of that thickness.
	skinRoom        = 1.2
	skinStep        = 1.4 // of a skin for the whole program to the next one that is tried, at least
	tabSpacingWidth = 3   // a tab and its gaps take this many tab widths of the rim
	tabPlaces       = 4   // where round the rim the first tab may lie: nobody says where, so all of them have to hold
	// of the rim that a skin holds by: the smallest section round a piece may be shorter than its rim
	leastSkinWidth = 0.95
)

// unitMM is the unit of the sizes that are tried.
func (w writing) unitMM() float64 { return w.shop.Length().Size }

// skins are the thicknesses of skin that are tried, in units of the shop.
func (w writing) skins() []float64 {
	if w.shop == units.Inch {
		return []float64{0.004, 0.006, 0.008, 0.010, 0.012, 0.016, 0.020, 0.024, 0.030, 0.040}
	}
	return []float64{0.1, 0.15, 0.2, 0.25, 0.3, 0.4, 0.5, 0.6, 0.8, 1}
}

func (p remedySearch) leaveSkin() string {
	t := p.thinnestSkin()
	if t == 0 {
		return ""
	}
	w, cut := p.a.writing(), p.closingCut(t)
	z := up(p.a.rec.Stock.BottomMM+t, w.zStepMM())
	at := fmt.Sprintf("%s higher", w.shop.Length().Up(z-cut.lowMM))
	if !p.a.prog.MovedZ {
		at = fmt.Sprintf("at Z%s (%s)", w.z(z), at)
	}
	return fmt.Sprintf("leave a skin of %s under piece %d: end its cut %s in %s, and break it by hand", w.length(t),
		p.piece.ID, at, wording.Lines(cut.ranges...))
}

// thinnestSkin finds the thinnest useful skin under a freed piece that holds it, mm, thicker than the tolerance of the
// blank; 0 when none does.
func (p remedySearch) thinnestSkin() float64 {
	if p.rim() == nil {
		return 0
	}
	w, limits := p.a.writing(), p.a.job.Limits
	for _, t := range w.skins() {
		t *= w.unitMM()
		if t > p.thickMM()/3 {
			break
		}
		if t < limits.LeastSkinMM-roomOnTheSafe || t < skinRoom*p.a.job.Stock.ToleranceMM-roomOnTheSafe ||
			!p.standsOnSkin(t) {
			continue
		}
		return t
	}
	return 0
}

// standsOnSkin tells whether a skin holds the piece in all blocks that cut its rim, when they are raised for it, and in
// those of its findings.
func (p remedySearch) standsOnSkin(mm float64) bool {
	c := change{Change: steploads.Change{SkinMM: mm, Raised: p.closingCut(mm).lines}}
	for _, s := range pieces.Segments(p.rim(), skinSegments) {
		if p.borders(s.Middle) {
			c.webs = append(c.webs, p.a.web(s.Middle, leastSkinWidth*s.LengthMM, mm, 0))
		}
	}
	return len(c.webs) > 0 && p.cures(c, nil) && p.rimHolds(c, mm)
}

func (p remedySearch) thickMM() float64 { return p.piece.TopMM - p.a.rec.Stock.BottomMM }

// tabPlan is a number of tabs and their size in units of the shop.
type tabPlan struct {
	count      int
	wide, high float64
}

// tabPlans are the tabs that are tried, the easiest to break first.
func (w writing) tabPlans() []tabPlan {
	if w.shop == units.Inch {
		return []tabPlan{{2, 0.16, 0.04}, {3, 0.16, 0.04}, {4, 0.16, 0.04}, {3, 0.25, 0.04}, {4, 0.25, 0.04},
			{4, 0.25, 0.06}, {4, 0.32, 0.06},
			{4, 0.32, 0.08}, {6, 0.32, 0.08}, {6, 0.4, 0.12}}
	}
	return []tabPlan{{2, 4, 1}, {3, 4, 1}, {4, 4, 1}, {3, 6, 1}, {4, 6, 1}, {4, 6, 1.5}, {4, 8, 1.5}, {4, 8, 2},
		{6, 8, 2}, {6, 10, 3}}
}

func (p remedySearch) leaveTabs() string {
	w := p.a.writing()
	i := p.easiestTabs()
	if i < 0 {
		return ""
	}
	plan := w.tabPlans()[i]
	wide, high := plan.wide*w.unitMM(), plan.high*w.unitMM()
	down := ""
	if feed := p.plungeFeed(high); feed > 0 {
		down = ", and plunge beside them at no more than " + p.a.prog.FeedWord(p.a.units, feed)
	}
	return fmt.Sprintf("leave %d tabs, %s wide and %s high, evenly around piece %d%s", plan.count, w.length(wide),
		w.length(high), p.piece.ID, down)
}

// easiestTabs finds the smallest evenly spaced tabs that hold a freed piece, wherever the first one lies: the index of
// their plan, -1 when none do.
func (p remedySearch) easiestTabs() int {
	rim := p.rim()
	if rim == nil || !p.bordersAllRound() {
		return -1
	}
	w := p.a.writing()
	total := planar.Length(rim)
	for i, plan := range w.tabPlans() {
		wide, high := plan.wide*w.unitMM(), plan.high*w.unitMM()
		if high > p.thickMM()/2 || high <= p.a.job.Stock.ToleranceMM ||
			float64(plan.count)*tabSpacingWidth*wide > total {
			continue
		}
		if p.standsOnTabs(plan.count, wide, high) {
			return i
		}
	}
	return -1
}

// standsOnTabs tries tabs at several places.
func (p remedySearch) standsOnTabs(count int, wideMM, highMM float64) bool {
	kerf := p.a.job.Tools[p.worst.tool].DiameterMM
	places := pieces.Segments(p.rim(), tabPlaces*count)
	for first := range tabPlaces {
		c := change{}
		for i := first; i < len(places); i += tabPlaces {
			c.webs = append(c.webs, p.a.web(places[i].Middle, wideMM, highMM, kerf))
		}
		if !p.cures(c, nil) || !p.rimHolds(c, highMM) {
			return false
		}
		// After each tab the tool plunges again.
		c.Plunge, c.FeedMMMin = true, p.plungeFeed(highMM)
		if !p.othersStandPlunges(highMM) || !p.rimHolds(c, highMM) {
			return false
		}
	}
	return true
}

// othersStandPlunges tells whether the other pieces that are free already beside the rim stand the plunges behind tabs
// of a height, as far as they stand the cut as it is. The piece itself stands them on its tabs.
func (p remedySearch) othersStandPlunges(highMM float64) bool {
	stand, known := p.plunges[highMM]
	if !known {
		stand = p.noneMissesPlunges(highMM)
		p.plunges[highMM] = stand
	}
	return stand
}

func (p remedySearch) noneMissesPlunges(highMM float64) bool {
	c := change{Change: steploads.Change{Plunge: true, FeedMMMin: p.plungeFeed(highMM)}}
	states := map[int][2]*epochState{}
	for _, step := range p.rimSteps(highMM) {
		others := slices.DeleteFunc(slices.Clone(p.a.touchedIn(step)),
			func(id int32) bool { return id == p.id() || !p.a.rec.Pieces[id-1].ComesFree() })
		if len(others) == 0 {
			continue
		}
		index := p.a.epochOf(step)
		t, ok := states[index]
		if !ok {
			t = [2]*epochState{p.a.epochState(index, p.a.ownChuck(index), c),
				p.a.epochState(index, p.a.ownChuck(index),
					change{})}
			states[index] = t
		}
		missed, _, err := t[0].misses(step, others, p.a.required)
		if err != nil {
			return false
		}
		if len(missed) > 0 {
			if before, _, err := t[1].misses(step, missed, p.a.required); err != nil || len(before) < len(missed) {
				return false
			}
		}
	}
	return true
}

// plungeFeed is the least feed with which the closing cut goes straight down, mm/min; 0 when it does not.
func (p remedySearch) plungeFeed(aboveMM float64) float64 {
	if least := p.closingCut(aboveMM).plungeMMMin; !math.IsInf(least, 1) {
		return least
	}
	return 0
}

// bordersAllRound reports whether a tab anywhere on the rim would join the piece to something.
func (p remedySearch) bordersAllRound() bool {
	for _, s := range pieces.Segments(p.rim(), skinSegments) {
		if !p.borders(s.Middle) {
			return false
		}
	}
	return true
}

// acrossDirections is the number of directions in which borders looks.
const acrossDirections = 16

// borders tells whether what the piece is cut from lies across the kerf from a place on its rim when the piece goes
// free. The edge of the stock, and pieces that were freed before, are nothing to hang on.
func (p remedySearch) borders(rim orb.Point) bool {
	grid := p.a.rec.Grid
	across := p.a.job.Tools[p.worst.tool].DiameterMM + 2*grid.CellMM
	for k := range acrossDirections {
		sin, cos := math.Sincos(2 * math.Pi * float64(k) / acrossDirections)
		ix := int(math.Floor((rim[0] + across*cos - grid.OriginX) / grid.CellMM))
		iy := int(math.Floor((rim[1] + across*sin - grid.OriginY) / grid.CellMM))
		if ix < 0 || iy < 0 || ix >= grid.NX || iy >= grid.NY || p.a.rec.CutAt(ix, iy) <= p.piece.Freed {
			continue
		}
		if p.a.rec.PieceAt(p.a.rec.Label(ix, iy), p.piece.Freed) == int32(p.piece.Parent) {
			return true
		}
	}
	return false
}

// rim is the outer ring of a freed piece, nil for the stock.
func (p remedySearch) rim() orb.Ring {
	if !p.piece.ComesFree() || len(p.piece.Outline) == 0 || len(p.piece.Outline[0]) == 0 {
		return nil
	}
	return p.piece.Outline[0][0]
}

// rimHolds tells whether the webs of a change hold the piece in every step along its rim that goes deeper than a height
// above the table: they are all that joins it to the rest from the first of these steps on, though it was freed only by
// the last.
func (p remedySearch) rimHolds(c change, aboveMM float64) bool {
	epoch := slices.IndexFunc(p.a.air, func(e epoch) bool { return e.patches[p.id()] != nil })
	if epoch < 0 {
		return false
	}
	t := p.a.epochState(epoch, p.a.ownChuck(epoch), c)
	t.unchanged = p.unchanged.at(epoch)
	for _, step := range p.rimSteps(aboveMM) {
		var err error
		s := p.a.rec.Steps.At(step)
		if t.loads, _, err = p.a.loads.All(s, c.Change, t.loads); err != nil {
			return false
		}
		supports, err := t.supports(p.id(), 0)
		if c := (check{loads: t.loads, supports: supports}); err != nil || len(t.loads) > 0 &&
			!c.stands(p.roomyFor(t.change)(p.id())) {
			return false
		}
	}
	return true
}

// rimSteps lists the steps at the rim that go deeper than a height above the table.
func (p remedySearch) rimSteps(aboveMM float64) []int {
	var out []int
	for _, step := range p.atRim {
		if float64(p.a.rec.Steps.At(step).TipMM) < p.a.rec.Stock.BottomMM+aboveMM-progcheck.DepthToleranceMM {
			out = append(out, step)
		}
	}
	return out
}

// stepsAtRim finds the steps up to the one that frees the piece that come to its outer ring, within the cutter's radius
// and two cells; none for the stock.
func (p remedySearch) stepsAtRim() (out []int) {
	rim := orb.LineString(p.rim())
	if len(rim) == 0 {
		return nil
	}
	bound := rim.Bound()
	p.a.eachStepNear(bound, 0, p.piece.Freed, func(step int) {
		s := p.a.rec.Steps.At(step)
		reach := p.a.reachMM(s)
		if p.a.comesTo(s, bound.Pad(reach), func(at orb.Point) bool { return planar.DistanceFrom(rim, at) <= reach }) {
			out = append(out, step)
		}
	})
	return out
}

// plungeFeeds gives the least feed of every block that goes straight down, mm/min, by line.
func plungeFeeds(moves *parse.Moves) map[int32]float64 {
	out := map[int32]float64{}
	for _, m := range moves.All() {
		if m.Kind != parse.Feed || m.End.Z >= m.Start.Z || !m.Upright() {
			continue
		}
		if least, known := out[m.Line]; !known || m.FeedMMMin < least {
			out[m.Line] = m.FeedMMMin
		}
	}
	return out
}

// closingCut is what a skin raises.
type closingCut struct {
	ranges []wording.LineRange
	lines  steploads.Blocks
	lowMM  float64 // its lowest Z
	// plungeMMMin is the least feed of its blocks that go straight down; +Inf when none does.
	plungeMMMin float64
}

// closingCut finds the runs of moves below a height above the table, each from going down to coming up, that come to
// the rim of the piece.
func (p remedySearch) closingCut(aboveMM float64) closingCut {
	if cut, known := p.cuts[aboveMM]; known {
		return cut
	}
	moves := &p.a.prog.Moves
	below := func(i int) bool {
		if i < 0 || i >= moves.Len() {
			return false
		}
		m := moves.At(i)
		return m.LowestZ() < p.a.rec.Stock.BottomMM+aboveMM-progcheck.DepthToleranceMM
	}
	out := closingCut{lines: steploads.Blocks{}, lowMM: math.Inf(1), plungeMMMin: math.Inf(1)}
	next := 0
	for _, step := range p.rimSteps(aboveMM) {
		first := int(p.a.rec.Steps.At(step).Move)
		if first < next || !below(first) {
			continue
		}
		for next = first; below(next); next++ {
		}
		for below(first - 1) {
			first--
		}
		r := wording.LineRange{First: math.MaxInt}
		for i := first; i < next; i++ {
			m := moves.At(i)
			if m.End.Z > m.Start.Z && m.Start.X == m.End.X && m.Start.Y == m.End.Y {
				continue // up and away
			}
			line := int(m.Line)
			out.lines[m.Line] = true
			out.lowMM = math.Min(out.lowMM, m.LowestZ())
			r = wording.LineRange{First: min(r.First, line), Last: max(r.Last, line)}
		}
		out.ranges = append(out.ranges, r)
	}
	for line := range out.lines {
		if feed, plunges := p.a.plungeMMMin[line]; plunges {
			out.plungeMMMin = math.Min(out.plungeMMMin, feed)
		}
	}
	p.cuts[aboveMM] = out
	return out
}
