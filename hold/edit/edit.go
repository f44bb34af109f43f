// Package edit changes the motion of a program as a programmer would: slower feeds, a cut that ends higher, a pass
// before the last one, tabs.
//
//	list of moves ──> CapFeed, Raise, PassBefore, Tabs ──> list of moves ──> parse.Program.Edit ──> sweep, hold
//
// Which moves are meant the caller says. It knows nothing of hold.
package edit

import (
	"math"

	"github.com/paulmach/orb"
	"github.com/paulmach/orb/planar"

	"staydown/parse"
)

// Moves lists the moves of a program.
func Moves(p *parse.Program) []parse.Edited {
	out := make([]parse.Edited, 0, p.Moves.Len())
	for i, m := range p.Moves.All() {
		out = append(out, parse.Edited{Move: m, From: i})
	}
	return out
}

// CapFeed lowers feeds to at most mmMin.
func CapFeed(list []parse.Edited, meant func(*parse.Move) bool, mmMin float64) {
	for i := range list {
		if m := &list[i]; m.FeedMMMin > mmMin && meant(&m.Move) {
			m.FeedMMMin, m.Changed = mmMin, true
		}
	}
}

// Raise keeps moves at or above a height, mm.
func Raise(list []parse.Edited, meant func(*parse.Move) bool, zMM float64) {
	for i := range list {
		if m := &list[i]; meant(&m.Move) {
			raise(m, zMM)
		}
	}
}

func raise(m *parse.Edited, zMM float64) {
	m.Start.Z, m.End.Z, m.Changed = math.Max(m.Start.Z, zMM), math.Max(m.End.Z, zMM), true
}

// PassBefore puts before every stretch of moves that are meant the same stretch once more, kept at or above a height,
// mm, with a rapid back to its start by way of a clearance height.
func PassBefore(list []parse.Edited, meant func(*parse.Move) bool, zMM, clearMM float64) []parse.Edited {
	var out []parse.Edited
	for i := 0; i < len(list); {
		end := i
		for end < len(list) && meant(&list[end].Move) {
			end++
		}
		if end == i {
			out = append(out, list[i])
			i++
			continue
		}
		stretch := list[i:end]
		for _, m := range stretch {
			m.From = stretch[0].From
			raise(&m, zMM)
			out = append(out, m)
		}
		start, last := stretch[0].Start, out[len(out)-1]
		back := last
		back.Kind, back.Centre, back.TurnRad, back.FeedMMMin = parse.Rapid, parse.Point{}, 0, 0
		for _, to := range []parse.Point{{X: last.End.X, Y: last.End.Y, Z: clearMM}, {X: start.X, Y: start.Y,
			Z: clearMM},
			start} {
			back.Start, back.End = back.End, to
			out = append(out, back)
		}
		out = append(out, stretch...)
		i = end
	}
	return out
}

// Tab is where material stays: everything below TopMM within half of WideMM of At, along Rim.
type Tab struct {
	Rim           orb.Ring
	At            orb.Point
	WideMM, TopMM float64
	PlungeMMMin   float64 // feed of the plunge behind it
}

// Tabs lifts the tool over tabs. Radius is that of a tool, nearMM how far beyond it a path still cuts along the rim.
func Tabs(list []parse.Edited, tabs []Tab, radius func(tool int32) float64, nearMM float64) []parse.Edited {
	var rims []rim
	for _, t := range tabs {
		if n := len(rims); n == 0 || &rims[n-1].line[0] != &t.Rim[0] {
			line := orb.LineString(t.Rim)
			rims = append(rims, rim{line: line, bound: line.Bound(), totalMM: planar.Length(line), topMM: t.TopMM,
				plungeMMMin: t.PlungeMMMin})
		}
		r := &rims[len(rims)-1]
		along, _ := r.nearest(t.At)
		r.tabs = append(r.tabs, span{along, t.WideMM / 2})
	}
	var out []parse.Edited
	for _, m := range list {
		out = append(out, lifted(m, rims, radius(m.Tool), nearMM)...)
	}
	return out
}

type span struct{ middleMM, halfMM float64 }

type rim struct {
	line               orb.LineString
	bound              orb.Bound
	totalMM            float64
	topMM, plungeMMMin float64
	tabs               []span // along it
}

// inTab tells whether a tool of a radius at a place cuts into a tab.
func (r *rim) inTab(at parse.Point, radiusMM, nearMM float64) bool {
	p := orb.Point{at.X, at.Y}
	if at.Z >= r.topMM || !r.bound.Pad(radiusMM+nearMM).Contains(p) {
		return false
	}
	along, off := r.nearest(p)
	if off > radiusMM+nearMM {
		return false
	}
	for _, t := range r.tabs {
		d := math.Abs(along - t.middleMM)
		if math.Min(d, r.totalMM-d) <= t.halfMM+radiusMM {
			return true
		}
	}
	return false
}

// nearest gives the length along the rim up to its point nearest to a place, and the distance of the place from it.
func (r *rim) nearest(at orb.Point) (along, off float64) {
	off = math.Inf(1)
	walked := 0.0
	for i := 1; i < len(r.line); i++ {
		a, b := r.line[i-1], r.line[i]
		d := planar.Distance(a, b)
		if d == 0 {
			continue
		}
		f := math.Max(0, math.Min(1, ((at[0]-a[0])*(b[0]-a[0])+(at[1]-a[1])*(b[1]-a[1]))/(d*d)))
		if gap := planar.Distance(at, orb.Point{a[0] + f*(b[0]-a[0]), a[1] + f*(b[1]-a[1])}); gap < off {
			along, off = walked+f*d, gap
		}
		walked += d
	}
	return along, off
}

// stepMM is the length in which a move is looked at for tabs.
const stepMM = 0.2

// lifted splits a move so that the tool stays above every tab that it would cut.
func lifted(m parse.Edited, rims []rim, radiusMM, nearMM float64) []parse.Edited {
	var near []*rim
	for i := range rims {
		r := &rims[i]
		if low, b := m.LowestZ(), r.bound.Pad(radiusMM+nearMM); m.Kind != parse.Rapid && m.Kind != parse.Dwell &&
			low < r.topMM && b.Intersects(boundOf(&m.Move)) {
			near = append(near, r)
		}
	}
	if near == nil {
		return []parse.Edited{m}
	}
	n := max(1, int(math.Ceil(m.LengthMM/stepMM)))
	over := func(k int) *rim {
		at := m.At((float64(k) + 0.5) / float64(n))
		for _, r := range near {
			if r.inTab(at, radiusMM, nearMM) {
				return r
			}
		}
		return nil
	}
	var out []parse.Edited
	for from := 0; from < n; {
		tab := over(from)
		to := from + 1
		for to < n && over(to) == tab {
			to++
		}
		if tab == nil && to-from == n {
			return []parse.Edited{m}
		}
		part := m
		part.Start, part.End = m.At(float64(from)/float64(n)), m.At(float64(to)/float64(n))
		part.TurnRad, part.Changed = m.TurnRad*float64(to-from)/float64(n), true
		if tab != nil {
			raise(&part, tab.topMM)
		}
		level := part // the tool goes up or down first
		level.Kind, level.Centre, level.TurnRad, level.End = parse.Feed, parse.Point{}, 0, part.Start
		for _, r := range near {
			if r.plungeMMMin > 0 {
				level.FeedMMMin = math.Min(level.FeedMMMin, r.plungeMMMin)
			}
		}
		if k := len(out); k > 0 {
			level.Start = out[k-1].End
		}
		out = append(out, level, part)
		from = to
	}
	return out
}

func boundOf(m *parse.Move) orb.Bound {
	low, high := m.Bounds()
	return orb.Bound{Min: orb.Point{low.X, low.Y}, Max: orb.Point{high.X, high.Y}}
}
