package hold

import (
	"fmt"
	"math"
	"slices"

	"github.com/paulmach/orb"

	"staydown/hold/edit"
	"staydown/hold/internal/pieces"
	"staydown/hold/internal/progcheck"
	"staydown/hold/result"
	"staydown/hold/wording"
	"staydown/parse"
	"staydown/parse/units"
	"staydown/sweep"
)

// measures finds what may be done for the whole program, the cheapest for the shop first: another order, the closing
// cut thinner, less feed, another place of closing, a skin, tabs, tack, screws, a larger pump. A value is that of the
// piece that asks for most among those that it cures.
func (s *actionSearch) measures() []*measure {
	var out []*measure
	if len(s.shapes) == 0 {
		return nil
	}
	for _, seek := range []func(*actionSearch) *measure{(*actionSearch).cutFirst, (*actionSearch).cutLast,
		(*actionSearch).thinPass, (*actionSearch).lowFeed, (*actionSearch).closeElsewhere,
		(*actionSearch).skin, (*actionSearch).tabs, (*actionSearch).tack, (*actionSearch).screws,
		(*actionSearch).pump} {
		if m := seek(s); m != nil && !m.none() {
			out = append(out, m)
		}
	}
	return out
}

// each gives the value that a search finds for every shape, and which shapes have one.
func (s *actionSearch) each(seek func(p remedySearch) float64) (values []float64, cures []bool) {
	values, cures = make([]float64, len(s.shapes)), make([]bool, len(s.shapes))
	for i, p := range s.shapes {
		values[i] = seek(p)
		cures[i] = values[i] > 0
	}
	return values, cures
}

// leastValue is the least of the values that are there.
func leastValue(values []float64) float64 {
	least := math.Inf(1)
	for _, v := range values {
		if v > 0 {
			least = math.Min(least, v)
		}
	}
	return least
}

// closing are the blocks that cut pieces free.
type closing struct {
	ranges []wording.LineRange // as they are named
	lowMM  float64             // the lowest Z of them; +Inf when there are none
	sameMM bool                // all of them end there
}

// closing finds the blocks that go below a height above the table where pieces are cut free: those of the pieces with
// findings if they are few, else those of all.
func (s *actionSearch) closing(aboveMM float64) closing {
	find := func(ids []int) closing {
		c := closing{lowMM: math.Inf(1), sameMM: true}
		var all []wording.LineRange
		for _, id := range ids {
			p := remedySearch{a: s.a, piece: &s.a.rec.Pieces[id-1], cuts: map[float64]closingCut{}}
			p.atRim = p.stepsAtRim()
			cut := p.closingCut(aboveMM)
			if len(cut.ranges) == 0 {
				continue
			}
			all = append(all, cut.ranges...)
			c.sameMM = c.sameMM && (math.IsInf(c.lowMM, 1) || math.Abs(c.lowMM-cut.lowMM) < progcheck.DepthToleranceMM)
			c.lowMM = math.Min(c.lowMM, cut.lowMM)
		}
		c.ranges = wording.Named(all...)
		return c
	}
	var weak []int
	for _, runs := range s.a.tooWeak {
		if id := int(runs[0].piece); s.a.rec.Pieces[id-1].ComesFree() {
			weak = append(weak, id)
		}
	}
	if c := find(weak); len(c.ranges) > 1 || len(weak) <= 1 {
		return c
	}
	var all []int
	for i := range s.a.rec.Pieces {
		if p := &s.a.rec.Pieces[i]; p.ComesFree() && p.Class == sweep.Part {
			all = append(all, p.ID)
		}
	}
	return find(all)
}

// cuts tells which moves of the blocks go below a height, other than those of drills.
func (s *actionSearch) cuts(ranges []wording.LineRange, zMM float64) func(*parse.Move) bool {
	return func(m *parse.Move) bool {
		return m.Kind != parse.Rapid && m.Kind != parse.Dwell && m.LowestZ() < zMM-progcheck.DepthToleranceMM &&
			s.a.job.Tools[int(m.Tool)].Shape != sweep.Drill && inRanges(ranges, int(m.Line))
	}
}

func inRanges(ranges []wording.LineRange, line int) bool {
	return slices.ContainsFunc(ranges, func(r wording.LineRange) bool { return line >= r.First && line <= r.Last })
}

// zText names a height as it stands in the program, or how much higher than the lowest Z it is.
func (s *actionSearch) zText(zMM float64, c closing) string {
	w := s.a.writing()
	if s.a.prog.MovedZ {
		return w.shop.Length().Up(zMM-c.lowMM) + " higher"
	}
	return "at Z" + w.z(zMM)
}

// thinPass takes the last of the material in a pass of its own.
func (s *actionSearch) thinPass() *measure {
	values, cures := s.each(func(p remedySearch) float64 {
		if p.rim() == nil || p.runsThrough() == 0 {
			return 0
		}
		return p.lastPass()
	})
	return s.thinPassOf(leastValue(values), cures)
}

func (s *actionSearch) thinPassOf(mm float64, cures []bool) *measure {
	w := s.a.writing()
	least := math.Max(s.a.job.Limits.LeastPassMM, w.stepMM())
	if mm = down(mm, w.stepMM()); math.IsInf(mm, 1) || mm < least-roomOnTheSafe {
		return nil
	}
	c := s.closing(mm)
	if len(c.ranges) == 0 {
		return nil
	}
	z := down(s.a.rec.Stock.BottomMM+mm, w.zStepMM())
	at := fmt.Sprintf("%s above the table side", w.length(mm))
	if !s.a.prog.MovedZ {
		at = "Z" + w.z(z)
	}
	return &measure{
		what: fmt.Sprintf("closing pass %s deep: one more pass down to %s before it (%s)", w.length(mm), at,
			wording.Lines(c.ranges...)),
		cures: cures,
		apply: func(d *draft) {
			d.moves, d.motion = edit.PassBefore(d.moves, s.cuts(c.ranges, z), z, s.a.clearMM()), true
		},
		stronger: func() *measure { return s.thinPassOf(passStep*passStep*mm, cures) },
	}
}

// clearMM is the highest Z of the program.
func (a *Analysis) clearMM() float64 {
	high := a.rec.Stock.TopMM()
	for i := range a.prog.Moves.Len() {
		high = math.Max(high, a.prog.Moves.At(i).End.Z)
	}
	return high
}

// lowFeed slows the blocks of all findings.
func (s *actionSearch) lowFeed() *measure {
	now := 0.0
	values, cures := s.each(func(p remedySearch) float64 {
		feed, before := p.highestFeed()
		now = math.Max(now, before)
		return feed
	})
	return s.lowFeedOf(leastValue(values), now, cures)
}

func (s *actionSearch) lowFeedOf(mmMin, now float64, cures []bool) *measure {
	unit := s.a.prog.Units.Length().Size
	if math.IsInf(mmMin, 1) {
		return nil
	}
	if mmMin = down(mmMin, math.Max(unit, unit*units.DigitStep(mmMin/unit, 2))); mmMin < unit {
		return nil
	}
	var all []wording.LineRange
	for _, runs := range s.a.tooWeak {
		for _, run := range runs {
			all = append(all, wording.LineRange{First: run.first.line, Last: run.lastLine})
		}
	}
	ranges := wording.Named(all...)
	return &measure{
		what: fmt.Sprintf("feed at most %s (now %s) in %s", s.a.prog.FeedWord(s.a.units, mmMin),
			s.a.prog.FeedWord(s.a.units, now),
			wording.Lines(ranges...)),
		cures: cures,
		apply: func(d *draft) {
			edit.CapFeed(d.moves, func(m *parse.Move) bool {
				return m.Kind != parse.Rapid && inRanges(ranges, int(m.Line))
			}, mmMin)
		},
		stronger: func() *measure {
			if mmMin*0.8 < result.LeastFeedShare*now {
				return nil
			}
			return s.lowFeedOf(0.8*mmMin, now, cures)
		},
	}
}

// skin ends the cuts higher. With a skin under every piece no kerf opens the layer, and neighbors that share a kerf
// hang on each other, which the search for a single piece does not count on: where it finds no skin, the run of the
// whole program tells.
func (s *actionSearch) skin() *measure {
	values, cures := s.each(remedySearch.thinnestSkin)
	mm := slices.Max(values)
	if !slices.ContainsFunc(s.shapes, func(p remedySearch) bool { return p.rim() != nil }) {
		return nil
	}
	for i := range cures {
		cures[i] = true
	}
	if mm == 0 {
		mm = s.usualSkinMM()
	}
	return s.skinOf(mm, cures)
}

// usualSkinMM is twice the least useful skin, and thicker than the tolerance of the blank; 0 where the work is too
// thin.
func (s *actionSearch) usualSkinMM() float64 {
	w, limits := s.a.writing(), s.a.job.Limits
	for _, t := range w.skins() {
		if t *= w.unitMM(); t >= max(2*limits.LeastSkinMM, skinRoom*s.a.job.Stock.ToleranceMM)-roomOnTheSafe &&
			t <= s.shapes[0].thickMM()/3 {
			return t
		}
	}
	return 0
}

func (s *actionSearch) skinOf(mm float64, cures []bool) *measure {
	c := s.closing(mm)
	if mm == 0 || len(c.ranges) == 0 {
		return nil
	}
	w := s.a.writing()
	z := up(s.a.rec.Stock.BottomMM+mm, w.zStepMM())
	not := ""
	if c.sameMM && !s.a.prog.MovedZ {
		not = ", not Z" + w.z(c.lowMM)
	}
	return &measure{
		what: fmt.Sprintf("end the closing pass %s%s (%s) and break the skin of %s by hand", s.zText(z, c), not,
			wording.Lines(c.ranges...), w.length(mm)),
		cures: cures,
		apply: func(d *draft) {
			edit.Raise(d.moves, s.cuts(c.ranges, z), z)
			d.motion = true
		},
		stronger: func() *measure {
			for _, t := range w.skins() {
				if t *= w.unitMM(); t > skinStep*mm-roomOnTheSafe && t <= s.shapes[0].thickMM()/3 {
					return s.skinOf(t, cures)
				}
			}
			return nil
		},
	}
}

// tabs leaves tabs round the pieces with findings.
func (s *actionSearch) tabs() *measure {
	values, cures := s.each(func(p remedySearch) float64 { return float64(p.easiestTabs() + 1) })
	return s.tabsOf(int(slices.Max(values))-1, cures)
}

func (s *actionSearch) tabsOf(plan int, cures []bool) *measure {
	w := s.a.writing()
	if plan < 0 || plan >= len(w.tabPlans()) {
		return nil
	}
	t := w.tabPlans()[plan]
	wide, high := t.wide*w.unitMM(), t.high*w.unitMM()
	var tabs []edit.Tab
	var first []orb.Point
	parts, plunge := 0, math.Inf(1)
	for _, runs := range s.a.tooWeak {
		p := remedySearch{a: s.a, piece: &s.a.rec.Pieces[runs[0].piece-1], cuts: map[float64]closingCut{}, runs: runs,
			worst: worstOf(runs)}
		rim := p.rim()
		if rim == nil || !p.bordersAllRound() {
			continue
		}
		parts++
		p.atRim = p.stepsAtRim()
		feed := p.plungeFeed(high)
		if feed > 0 {
			plunge = math.Min(plunge, feed)
		}
		for _, place := range pieces.Segments(rim, t.count) {
			tabs = append(tabs, edit.Tab{Rim: rim, At: place.Middle, WideMM: wide, TopMM: s.a.rec.Stock.BottomMM + high,
				PlungeMMMin: feed})
			if parts == 1 {
				first = append(first, place.Middle)
			}
		}
	}
	if parts == 0 {
		return nil
	}
	down := ""
	if !math.IsInf(plunge, 1) {
		down = ", plunging beside them at no more than " + s.a.prog.FeedWord(s.a.units, plunge)
	}
	where := "at " + result.Places(first, s.a.units)
	if parts > 1 {
		where = fmt.Sprintf("evenly around each of %d parts (%s, ...)", parts, result.Places(first[:1], s.a.units))
	}
	return &measure{
		what: fmt.Sprintf("leave %d tabs, %s wide and %s high, %s%s", t.count, w.length(wide), w.length(high), where,
			down),
		cures: cures,
		apply: func(d *draft) {
			radius := func(tool int32) float64 { return s.a.job.Tools[int(tool)].DiameterMM / 2 }
			d.moves, d.motion = edit.Tabs(d.moves, tabs, radius, 2*s.a.rec.Grid.CellMM), true
		},
		stronger: func() *measure { return s.tabsOf(plan+1, cures) },
	}
}

// tack is a layer with an adhesive face.
func (s *actionSearch) tack() *measure {
	if s.a.job.Layer == nil {
		return nil
	}
	values, cures := s.each(remedySearch.leastTack)
	tack := slices.Max(values)
	return &measure{
		what:  s.a.tackText(tack),
		cures: cures,
		apply: func(d *draft) { d.job.Layer.TackPa += tack },
	}
}

// screws hold the frame of the stock.
func (s *actionSearch) screws() *measure {
	_, cures := s.each(func(p remedySearch) float64 {
		if p.anchor() == "" {
			return 0
		}
		return 1
	})
	return &measure{what: "also screw or clamp the sheet", cures: cures,
		apply: func(d *draft) { d.job.Stock.Anchored = true }}
}

// pump is a larger pump of the same kind.
func (s *actionSearch) pump() *measure {
	if s.a.noVacuum {
		return nil
	}
	values, cures := s.each(remedySearch.leastPump)
	own, flow := s.a.job.Pump, slices.Max(values)
	if flow == 0 {
		return nil
	}
	return &measure{
		what:  s.a.pumpText(flow),
		cures: cures,
		apply: func(d *draft) { d.job.Pump = scaledPump(own, flow) },
	}
}
