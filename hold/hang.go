package hold

import (
	"math"
	"slices"
	"sort"

	"github.com/paulmach/orb"
	"github.com/paulmach/orb/planar"

	"staydown/hold/contact"
	"staydown/sweep"
)

// A piece that only tabs or a skin still join to its surroundings can bend or tear them long before the surroundings move, so
// it is checked on its own, with the webs that are whole at the moment: those whose smallest section no cut has begun yet.

// whileHung lists, for every step, the hung pieces that the cutter touches in it. The cutter counts as touching what lies
// within its radius and two cells.
//
// opened gives the moment at which a piece that hangs to the end is first cut through beside: until then what joins it is a skin all
// round, as thick as the cut under way leaves it.
func whileHung(a *Analysis) (out map[int][]int32, opened map[int32]sweep.Progress) {
	out, opened = map[int][]int32{}, map[int32]sweep.Progress{}
	for i := range a.rec.Pieces {
		p := &a.rec.Pieces[i]
		if !hangs(p) {
			continue
		}
		last := p.Hung
		for _, w := range p.Webs {
			last = max(last, w.Begin)
		}
		last = min(last, p.Freed)
		first := sort.Search(len(a.rec.Steps), func(k int) bool { return settled(a.rec, &a.rec.Steps[k]) >= p.Hung })
		bound := p.Outline.Bound()
		for k := first; k < len(a.rec.Steps) && begin(&a.rec.Steps[k]) < last; k++ {
			if !a.touches(&a.rec.Steps[k], p, bound) {
				continue
			}
			out[k] = append(out[k], int32(p.ID))
			if _, done := opened[int32(p.ID)]; !done && a.rec.Steps[k].Flags&sweep.Breakthrough != 0 {
				opened[int32(p.ID)] = begin(&a.rec.Steps[k])
			}
		}
		if _, done := opened[int32(p.ID)]; !done {
			opened[int32(p.ID)] = sweep.Never
		}
	}
	return out, opened
}

// touches tells whether the cutter comes to the outline of a piece in a step.
func (a *Analysis) touches(s *sweep.Step, p *sweep.Piece, bound orb.Bound) bool {
	m := a.prog.Moves.At(int(s.Move))
	reach := a.job.Tools[int(m.Tool)].DiameterMM/2 + 2*a.rec.Grid.CellMM
	near := bound.Pad(reach)
	from, to := along(&m, float64(s.From)), along(&m, float64(s.To))
	box := orb.Bound{Min: orb.Point{from.at.X, from.at.Y}, Max: orb.Point{from.at.X, from.at.Y}}.Extend(orb.Point{to.at.X, to.at.Y})
	// An arc bulges beyond the box of its ends by no more than its length.
	if m.TurnRad != 0 {
		box = box.Pad(m.LengthMM * float64(s.To-s.From))
	}
	if !near.Intersects(box) {
		return false
	}
	samples := 1 + int(math.Ceil(m.LengthMM*float64(s.To-s.From)/math.Max(reach/2, a.rec.Grid.CellMM)))
	for i := 0; i <= samples; i++ {
		f := float64(s.From) + float64(s.To-s.From)*float64(i)/float64(samples)
		at := along(&m, f).at
		point := orb.Point{at.X, at.Y}
		if near.Contains(point) && (planar.MultiPolygonContains(p.Outline, point) || planar.DistanceFrom(p.Outline, point) <= reach) {
			return true
		}
	}
	return false
}

// floorSteps is the number of steps of a millimetre in which the floor of a cut is told apart, rounded down.
const floorSteps = 20

// floorOf is the height of material, in steps, that a cut leaves under the tool: webs are at least that thick while it lasts.
// 0 for steps that remove nothing, whose floor says nothing.
func (a *Analysis) floorOf(s *sweep.Step) int {
	if s.Flags&sweep.Rub != 0 {
		return 0
	}
	return max(0, int(math.Floor((float64(s.LowMM)-a.rec.Stock.BottomMM)*floorSteps+1e-6)))
}

// wholeWebs gives the webs of a hung piece that no cut has begun yet at a moment. The sweep knows them as they are left at the
// end; while a cut with a higher floor goes on they are that much thicker. A skin is spread round the rim.
func (a *Analysis) wholeWebs(p *sweep.Piece, at sweep.Progress, floor int) []contact.Web {
	var out []contact.Web
	if floor > 0 && p.Freed >= sweep.Never && at <= a.opened[int32(p.ID)] {
		segments := skinRound(p.Outline)
		for _, s := range segments {
			out = append(out, a.web(s.middle, s.lengthMM, float64(floor)/floorSteps, 0))
		}
		return out
	}
	for _, w := range p.Webs {
		if w.Begin <= at {
			continue
		}
		thick := math.Max(w.ThicknessMM, float64(floor)/floorSteps)
		if w.Kind != sweep.Skin {
			out = append(out, a.web(w.At, w.WidthMM, thick, w.LengthMM))
			continue
		}
		for _, s := range skinRound(p.Outline) {
			// A skin shears along a line; nothing bends.
			out = append(out, a.web(s.middle, w.WidthMM/skinSegments, thick, 0))
		}
	}
	return out
}

// skinRound gives the middles of the stretches of skin round a piece.
func skinRound(outline orb.MultiPolygon) []segment {
	if len(outline) == 0 || len(outline[0]) == 0 {
		return nil
	}
	return stretchesOf(outline[0][0], skinSegments)
}

// hangs tells whether a piece is checked on its webs: on a skin or tabs to the end of the program, or on tabs until they are
// cut. A skin that the next pass takes away holds by far until then, and that pass is judged by the step that frees the piece.
func hangs(p *sweep.Piece) bool {
	if p.Hung <= 0 || p.Hung >= sweep.Never || len(p.Webs) == 0 {
		return false
	}
	return p.Freed >= sweep.Never || slices.ContainsFunc(p.Webs, func(w sweep.Web) bool { return w.Kind == sweep.Tab })
}

// hungIn tells whether a piece still hangs on webs when a step ends.
func hungIn(p *sweep.Piece, at sweep.Progress) bool {
	return hangs(p) && p.Hung <= at && at < p.Freed
}

// touchedIn lists the pieces that a step touches, the hung ones among them.
func (a *Analysis) touchedIn(step int) []int32 {
	s := &a.rec.Steps[step]
	hung := a.hung[step]
	if len(hung) == 0 {
		return s.Pieces
	}
	all := append(slices.Clone(s.Pieces), hung...)
	slices.Sort(all)
	return slices.Compact(all)
}
