package hold

import (
	"math"
	"slices"
	"sort"

	"github.com/paulmach/orb"
	"github.com/paulmach/orb/planar"

	"staydown/hold/contact"
	"staydown/hold/internal/toolpath"
	"staydown/parse"
	"staydown/sweep"
)

// The joins of a piece carry load until they are cut: floor that the current pass has not reached, skin, tabs, bridges,
// the last bit of the closing cut. Once they are only necks the piece is checked on its own, at every moment at which
// the cutter touches it, with the joins of that moment. In ductile work vacuum and joins add up; brittle work breaks
// first, so only the stronger of the two counts. There is no damage memory: the piece comes loose at its first moment
// below margin 1.

// whileHung lists, for every step, the pieces on necks that the cutter touches in it. The cutter counts as touching
// what lies within its radius and two cells.
func whileHung(a *Analysis) map[int][]int32 {
	out := map[int][]int32{}
	for i := range a.rec.Pieces {
		p := &a.rec.Pieces[i]
		if len(p.Sections) == 0 {
			continue
		}
		from, near := p.OnNeckFrom(), p.Outline.Bound()
		first := sort.Search(a.rec.Steps.Len(), func(k int) bool { return a.rec.Settled(a.rec.Steps.At(k)) > from })
		a.eachStepNear(near, first, p.Freed, func(k int) {
			if a.touches(a.rec.Steps.At(k), p, near) {
				out[k] = append(out[k], int32(p.ID))
			}
		})
	}
	return out
}

// groupSteps is the number of steps in a row that share a box.
const groupSteps = 32

// newStepBoxes gives a box round what the cutter may touch in each group of steps, and a cell more.
func (a *Analysis) newStepBoxes() []orb.Bound {
	out := make([]orb.Bound, 0, a.rec.Steps.Len()/groupSteps+1)
	for k, s := range a.rec.Steps.All() {
		m := a.prog.Moves.At(int(s.Move))
		one := toolpath.Bound(&m).Pad(a.reachMM(s) + a.rec.Grid.CellMM)
		if k%groupSteps == 0 {
			out = append(out, one)
		}
		box := &out[len(out)-1]
		*box = box.Union(one)
	}
	return out
}

// eachStepNear visits the steps from the first on that begin before a moment, but for most of those at which the cutter
// touches nothing in a box.
func (a *Analysis) eachStepNear(box orb.Bound, first int, until sweep.Progress, visit func(step int)) {
	for k := first; k < a.rec.Steps.Len() && a.rec.Steps.At(k).Begin() < until; k++ {
		if group := k / groupSteps; !a.stepBoxes[group].Intersects(box) {
			k = (group+1)*groupSteps - 1
			continue
		}
		visit(k)
	}
}

func (a *Analysis) reachMM(s *sweep.Step) float64 {
	return a.job.Tools[int(a.prog.Moves.At(int(s.Move)).Tool)].DiameterMM/2 + 2*a.rec.Grid.CellMM
}

// touches tells whether the cutter comes to the outline of a piece in a step.
func (a *Analysis) touches(s *sweep.Step, p *sweep.Piece, bound orb.Bound) bool {
	reach := a.reachMM(s)
	return a.comesTo(s, bound.Pad(reach), func(at orb.Point) bool {
		return planar.MultiPolygonContains(p.Outline, at) || planar.DistanceFrom(p.Outline, at) <= reach
	})
}

// comesTo tells whether the tool's axis comes to a place in a box that is near enough.
func (a *Analysis) comesTo(s *sweep.Step, box orb.Bound, near func(orb.Point) bool) bool {
	m := a.prog.Moves.At(int(s.Move))
	samples := 1 + int(math.Ceil(m.LengthMM*float64(s.To-s.From)/math.Max(a.reachMM(s)/2, a.rec.Grid.CellMM)))
	for i := 0; i <= samples; i++ {
		at := m.At(float64(s.From) + float64(s.To-s.From)*float64(i)/float64(samples))
		if point := (orb.Point{at.X, at.Y}); box.Contains(point) && near(point) {
			return true
		}
	}
	return false
}

// touchedIn lists the pieces to check that a step touches, the hung ones among them.
func (a *Analysis) touchedIn(step int) []int32 {
	s := a.rec.Steps.At(step)
	all, hung := a.rec.Touched(s), a.hung[step]
	if len(hung) > 0 {
		all = append(slices.Clone(all), hung...)
		slices.Sort(all)
		all = slices.Compact(all)
	}
	if a.options.OnlyCutOut && slices.ContainsFunc(all, a.stock) {
		return slices.DeleteFunc(slices.Clone(all), a.stock)
	}
	return all
}

// stock tells whether a piece is of the stock as it lies on the table at the start.
func (a *Analysis) stock(piece int32) bool { return a.rec.Pieces[piece-1].Freed == 0 }

// instant is a moment of a step at which a piece is checked: the place, as a fraction of the move, and the section that
// holds then, counted from 1; 0 for none. It speaks for the time since the one before it.
type instant struct {
	part    float64
	section int
	since   sweep.Progress
}

// turnCos is the cosine of the turn between two moves from which the load comes from another side.
const turnCos = 0.97

// loadChanges tells whether the load changes where a move begins: the tool turns, to the side, down or up, or cuts with
// another feed or speed.
func (a *Analysis) loadChanges(move int) bool {
	if move <= 0 || move >= a.prog.Moves.Len() {
		return true
	}
	before, after := a.prog.Moves.At(move-1), a.prog.Moves.At(move)
	if before.Tool != after.Tool || before.Kind == parse.Rapid != (after.Kind == parse.Rapid) ||
		before.FeedMMMin != after.FeedMMMin || before.RPM != after.RPM {
		return true
	}
	p, q := toolpath.Along(&before, 1), toolpath.Along(&after, 0)
	sinP, cosP := math.Sincos(p.RampRad)
	sinQ, cosQ := math.Sincos(q.RampRad)
	return cosP*cosQ*(p.CosF*q.CosF+p.SinF*q.SinF)+sinP*sinQ < turnCos
}

// wholeStep is the part of a stance at which the loads of all places of a step are put on a piece.
const wholeStep = -1

// instants gives the moments of a step at which a piece is checked: its ends and wherever a section is told. ok is
// false when it is not on its own yet; no moments mean that it is free, or the stock, all through the step.
func (a *Analysis) instants(s *sweep.Step, p *sweep.Piece, into []instant) (out []instant, ok bool) {
	out = into[:0]
	from, to := s.Begin(), a.rec.Settled(s)
	if len(p.Sections) == 0 {
		return out, p.Freed < sweep.Never && p.Freed <= to || p.Parent == 0
	}
	if from >= p.Freed {
		return out, true
	}
	on := p.OnNeckFrom()
	if from = max(from, on); from > to {
		return out, false
	}
	since := from
	add := func(at sweep.Progress) {
		part := math.Min(math.Max(float64(at)-float64(s.Move), float64(s.From)), float64(s.To))
		section := sort.Search(len(p.Sections), func(k int) bool { return p.Sections[k].At >= at })
		if section == len(p.Sections) || len(p.Sections[section].Joins) == 0 {
			section = -1
		}
		out = append(out, instant{part, section + 1, since})
		since = at
	}
	// While a section falls it is told often enough: only where the load changes do ends of steps add anything.
	if from == on || !falls(p, from) || s.From == 0 && a.loadChanges(int(s.Move)) {
		add(from)
	}
	for k := range p.Sections {
		if at := p.Sections[k].At; at > from && at < to {
			add(at)
		}
	}
	if to > from && (to >= p.Freed || !falls(p, to) || s.To == 1 && a.loadChanges(int(s.Move)+1)) {
		add(to)
	}
	return out, len(out) > 0
}

// falls tells whether what joins a piece is falling at a moment.
func falls(p *sweep.Piece, at sweep.Progress) bool {
	k := sort.Search(len(p.Sections), func(k int) bool { return p.Sections[k].At >= at })
	return k > 0 && k < len(p.Sections) && p.Sections[k].AreaMM2 < restShare*p.Sections[k-1].AreaMM2
}

// restShare is the share of a section from which it counts as resting.
const restShare = 0.999

// joins gives what a section has of webs.
func (a *Analysis) joins(s *sweep.Section) []contact.Web {
	out := make([]contact.Web, 0, len(s.Joins))
	for i := range s.Joins {
		j := &s.Joins[i]
		if high := j.HeightMM + a.loads.LowerMM; high > sweep.ThroughMM {
			w := a.web(j.At, j.WidthMM, high, j.UprightMM*s.Bends())
			w.WholeMM, w.EdgewiseMM = j.WholeMM, j.EdgewiseMM*s.Bends()
			out = append(out, w)
		}
	}
	return out
}
