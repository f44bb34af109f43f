package joins

import (
	"cmp"
	"math"
	"slices"

	"staydown/sweep/internal/pieces"
	"staydown/sweep/internal/raster"
)

const (
	// fallShare is how far a section may fall from one that is told to the next while the tool goes restSpokes spokes;
	// over a longer time it must not fall.
	fallShare   = 0.5
	restShare   = 0.999
	restSpokes  = 16
	leastLevel  = 0.02 // of the bound of a neck: what is less goes at once
	mostMoments = 96
)

// moment is the state of the middles after one of them fell.
type moment struct {
	at      raster.Tick
	areaMM2 float64
	bendMM2 float64
	thin    bool // nothing is above web height
}

// moments reads the falls of all middles before an end in order of time.
func (l *band) moments(end raster.Tick) []moment {
	type event struct {
		fall
		spoke int
	}
	var events []event
	high := make([]float64, len(l.spokes))
	var area, bend, wide float64
	thick := 0
	web := l.v.s.Opt.WebMM + raster.ThroughMM/2
	book := func(k *spoke, h, sign float64) {
		if h <= 0 {
			return
		}
		area += sign * k.stepMM * h
		bend += sign * k.stepMM * h * h / (2 * k.reachMM)
		wide += sign * k.stepMM
		if h > web {
			thick += int(sign)
		}
	}
	for i := range l.spokes {
		k := &l.spokes[i]
		l.fall(k)
		high[i] = l.v.uncut(k.mid)
		book(k, high[i], 1)
		for _, f := range k.falls {
			if f.at < end {
				events = append(events, event{f, i})
			}
		}
	}
	slices.SortStableFunc(events, func(a, b event) int { return cmp.Compare(a.at, b.at) })
	out := make([]moment, 0, len(events))
	for _, e := range events {
		k := &l.spokes[e.spoke]
		book(k, high[e.spoke], -1)
		high[e.spoke] = e.left
		book(k, e.left, 1)
		m := moment{at: e.at, areaMM2: max(0, area), bendMM2: math.Inf(1), thin: thick == 0}
		if share := pieces.Bends(wide / l.roundMM); share > 0 {
			m.bendMM2 = max(0, bend) / share
		}
		if len(out) > 0 && out[len(out)-1].at == m.at {
			out[len(out)-1] = m
		} else {
			out = append(out, m)
		}
	}
	return out
}

// sections tells what joins the piece from when that is a neck until its end, and the moment from which all of it is
// below web height; TickNever if that never is. ok is false when the line is not the one along which the piece comes
// free.
func (l *band) sections(freed raster.Tick) (out []pieces.Section, thin raster.Tick, ok bool) {
	ms := l.moments(freed)
	thin = raster.TickNever
	for i := range ms {
		if ms[i].thin {
			if ms[i].areaMM2 > 0 {
				thin = ms[i].at
			}
			break
		}
	}
	var end pieces.Section
	if freed != raster.TickNever {
		if l.sectionAt(freed-min(freed, looseTicks)).AreaMM2 == 0 {
			return nil, raster.TickNever, false
		}
		end = pieces.Section{At: l.v.c.Clock.Progress(freed), RoundMM: l.roundMM}
	} else if end = l.section(raster.Never); len(ms) == 0 || !l.v.necks.all.weakAtEnd(&end) {
		return []pieces.Section{end}, thin, true
	}
	first, neck := l.strong(ms, freed)
	if first < 0 {
		return []pieces.Section{end}, thin, true
	}
	from, to := ms[first].at, freed
	if to == raster.TickNever {
		to = ms[len(ms)-1].at + 1
	}
	f := history{l: l, neck: neck, rest: raster.Tick(restSpokes * max(1,
		l.roundMM/float64(len(l.spokes))/l.v.s.Grid.CellMM) * raster.TicksPerCell)}
	a := l.sectionAt(from)
	f.add(from, a)
	f.between(from, to, &a, &end)
	f.add(to, end)
	f.exact()
	if out = f.out; freed == raster.TickNever {
		last := end
		last.At = l.v.c.Clock.Progress(to)
		out[len(out)-1] = last
		out = append(out, end)
	}
	for i := len(out) - 2; i > 0; i-- {
		if !neck.weaker(&out[i]) {
			return out[i:], thin, true
		}
	}
	return out, thin, true
}

// strong is the last moment before the piece hangs on a neck for the first time, as far as the middles tell, with the
// bounds from then on;
// -1 without moments.
func (l *band) strong(ms []moment, freed raster.Tick) (first int, neck Neck) {
	s, clock := l.v.s, &l.v.c.Clock
	end := s.Moves.Len()
	if freed != raster.TickNever {
		end = clock.MoveOf(freed) + 1
	}
	from := 0
	for first = range ms {
		from = clock.MoveNear(max(ms[first].at, raster.FirstTick), min(from, s.Moves.Len()-1))
		to := end
		if first+1 < len(ms) {
			to = clock.MoveNear(max(ms[first+1].at, raster.FirstTick), from) + 1
		}
		if b := l.v.necks.between(from, to); ms[first].areaMM2 < b.SectionMM2 || ms[first].bendMM2 < b.BendMM2 {
			first = max(0, first-1)
			break
		}
	}
	if len(ms) == 0 {
		return -1, neck
	}
	return first, l.v.necks.between(clock.MoveOf(max(ms[first].at, raster.FirstTick)), end)
}

func (l *band) sectionAt(at raster.Tick) pieces.Section { return l.section(l.v.c.Clock.Progress(at)) }

// history gathers the sections of one piece.
type history struct {
	l    *band
	neck Neck
	rest raster.Tick // that the tool needs for restSpokes spokes
	at   []raster.Tick
	out  []pieces.Section
}

func (f *history) add(at raster.Tick, s pieces.Section) {
	f.at, f.out = append(f.at, at), append(f.out, s)
}

// exact adds the moments inside falls that matter: where the cut turns, and where a fall ends.
func (f *history) exact() {
	at, out := f.at, f.out
	f.at, f.out = nil, nil
	for k := range out {
		if k == 0 || out[k].AreaMM2 >= restShare*out[k-1].AreaMM2 {
			f.add(at[k], out[k])
			continue
		}
		from, to := at[k-1], at[k]
		if k+1 < len(out) && out[k+1].AreaMM2 >= restShare*out[k].AreaMM2 || out[k].AreaMM2 > 0 && k+1 == len(out) {
			// The fall ends before: find where.
			lo, hi, s := from, to, out[k]
			for hi-lo > 1 {
				m := lo + (hi-lo)/2
				if t := f.l.sectionAt(m); t.AreaMM2 > s.AreaMM2/restShare {
					lo = m
				} else {
					hi, s = m, t
				}
			}
			to = hi
			f.turns(from, to)
			f.add(to, s)
		} else {
			f.turns(from, to)
		}
		if at[k] > to || len(f.at) == 0 || f.at[len(f.at)-1] < at[k] {
			f.add(at[k], out[k])
		}
	}
}

// turns adds the moments at which the feed turns, all within a fall.
func (f *history) turns(from, to raster.Tick) {
	if to-from > f.rest {
		return
	}
	clock := &f.l.v.c.Clock
	for m := clock.MoveOf(from) + 1; m < f.l.v.s.Moves.Len() && clock.First[m] < to && len(f.out) < mostMoments; m++ {
		before, after := f.l.v.s.Moves.At(m-1), f.l.v.s.Moves.At(m)
		ax, ay, okA := before.Heading(1)
		bx, by, okB := after.Heading(0)
		if at := clock.First[m]; at > from && (okA != okB || okA && ax*bx+ay*by < turnCos) {
			f.add(at, f.l.sectionAt(at))
		}
	}
}

// turnCos is the cosine of the turn between two moves from which it counts.
const turnCos = 0.98

// between tells what lies between two moments whose sections are known. Sections only fall: where the later one is as
// large as the earlier, nothing happened.
func (f *history) between(from, to raster.Tick, a, b *pieces.Section) {
	share := restShare
	if to-from <= f.rest {
		if share = fallShare; a.AreaMM2 < leastLevel*f.neck.SectionMM2 {
			return
		}
	}
	if to-from < 2 || b.AreaMM2 >= share*a.AreaMM2 || len(f.out) >= mostMoments {
		return
	}
	if !f.neck.weaker(b) { // strong until then
		return
	}
	part := 0.5
	if to-from <= f.rest { // as if it fell evenly
		part = max(0.2, min(0.8, (1-fallShare)*a.AreaMM2/(a.AreaMM2-b.AreaMM2)))
	}
	at := from + max(1, raster.Tick(part*float64(to-from)))
	m := f.l.sectionAt(at)
	f.between(from, at, a, &m)
	f.add(at, m)
	f.between(at, to, &m, b)
}

// looseTicks is how long before a piece comes free, as the local grids tell, nothing may be left on its line.
const looseTicks = 3 * raster.TicksPerCell

// lastFall is the moment of the last of all falls.
func (l *band) lastFall() (at raster.Tick) {
	at = raster.FirstTick
	for i := range l.spokes {
		for _, f := range l.spokes[i].falls {
			at = max(at, f.at)
		}
	}
	return at
}

// areaAfter is the face that stands along the middles after a moment, mm2.
func (l *band) areaAfter(at raster.Tick) (mm2 float64) {
	for i := range l.spokes {
		k := &l.spokes[i]
		h := l.v.uncut(k.mid)
		for _, f := range k.falls {
			if f.at <= at {
				h = f.left
			}
		}
		mm2 += h * k.stepMM
	}
	return mm2
}
