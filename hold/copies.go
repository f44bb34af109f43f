package hold

import (
	"cmp"
	"math"
	"slices"

	"github.com/paulmach/orb"
	"github.com/paulmach/orb/planar"

	"staydown/hold/internal/pieces"
)

// Copies of a shape that are cut alike take the same loads, so that they fare alike where they are held alike. Of
// copies that are, only those that are held least are checked, and what comes out, less a little, counts for all of
// them: a copy may be told less than its own margin, but not more. TestCopiesAreToldNoMoreThanTheirOwnMargin bounds by
// how much.
const (
	// heldAlike is the share by which the hold of copies differs at most, either way, that count as held alike.
	heldAlike = 0.05
	// copiesApart is the share by which the margins of copies held alike may differ besides: each is rounded to cells
	// on its own, and pressure may lie on it in another way.
	copiesApart = 0.02
	holdKinds   = 6
)

// holdFigures are what decides how well copies of one shape are held, each the better the higher: the force that
// presses the piece down, N; its moment about the middle of the pressure, which withstands twist, N mm; and that about
// each of the four sides of the piece's box, N mm.
type holdFigures [holdKinds]float64

// alike tells whether two copies are held alike.
func (f *holdFigures) alike(g *holdFigures) bool {
	for k := range f {
		if low, high := min(f[k], g[k]), max(f[k], g[k]); high > low*(1+heldAlike) {
			return false
		}
	}
	return true
}

// findCopies finds the pieces with the points of Options.Copies in them: the smallest ones that are cut out.
func (a *Analysis) findCopies() {
	if len(a.options.Copies) == 0 {
		return
	}
	a.checkedFor = map[int32][]int32{}
	boxes := make([]orb.Bound, len(a.rec.Pieces))
	for i := range boxes {
		boxes[i] = a.rec.Pieces[i].Outline.Bound()
	}
	area := func(i int) float64 { return a.rec.Pieces[i].AreaMM2 }
	for _, points := range a.options.Copies {
		var list []int32
		for _, at := range points {
			id := 1 + int32(pieces.Smallest(len(boxes), area, func(i int) bool {
				p := &a.rec.Pieces[i]
				return (p.ComesFree() || p.HangsAt(p.Hung)) && boxes[i].Contains(at) &&
					planar.MultiPolygonContains(p.Outline, at)
			}))
			if id > 0 && !slices.Contains(list, id) {
				list = append(list, id)
			}
		}
		a.copies = append(a.copies, list)
	}
}

// spareCopies settles which pieces are not checked in an epoch, and those that are checked for each of them.
func (a *Analysis) spareCopies(e *epoch) {
	for _, list := range a.copies {
		var left []int32 // of no copies held alike yet
		figures := map[int32]*holdFigures{}
		for _, id := range list {
			_, touched := slices.BinarySearch(e.pieces, id)
			if touched && len(a.clamps.PressesOn(&a.rec.Pieces[id-1], e.until)) == 0 {
				left = append(left, id)
				figures[id] = a.holdFigures(e, id, a.rec.Pieces[list[0]-1].Outline.Bound())
			}
		}
		slices.SortFunc(left, func(p, q int32) int {
			return cmp.Or(cmp.Compare(figures[p][0], figures[q][0]), cmp.Compare(p, q))
		})
		for len(left) > 0 {
			first := left[0]
			alike := func(id int32) bool {
				return figures[first].alike(figures[id]) && e.friction[first] == e.friction[id]
			}
			var held []int32
			for _, id := range left {
				if alike(id) {
					held = append(held, id)
				}
			}
			left = slices.DeleteFunc(left, alike)
			a.spare(e, held, figures)
		}
	}
}

// spare leaves those of copies held alike to be checked that are least by one of the figures.
func (a *Analysis) spare(e *epoch, held []int32, figures map[int32]*holdFigures) {
	var checked []int32
	for k := range holdKinds {
		least := slices.MinFunc(held, func(p, q int32) int { return cmp.Compare(figures[p][k], figures[q][k]) })
		if !slices.Contains(checked, least) {
			checked = append(checked, least)
		}
	}
	if e.spared == nil {
		e.spared = map[int32]bool{}
	}
	for _, id := range held {
		if !slices.Contains(checked, id) {
			e.spared[id] = true
			a.checkedFor[id] = append(a.checkedFor[id], checked...)
		}
	}
}

// holdFigures are those of a piece in an epoch; box is that of one of its copies, so that they do not differ by how
// each lies on the cells.
func (a *Analysis) holdFigures(e *epoch, id int32, box orb.Bound) *holdFigures {
	at := a.rec.Pieces[id-1].Centroid
	var n, mx, my float64 // N; N mm about the middle of the piece
	for _, p := range e.patches[id] {
		f := e.state.DifferencePa(a.job.AmbientPa, p) * p.AreaMM2 * 1e-6
		n, mx, my = n+f, mx+f*(p.X-at[0]), my+f*(p.Y-at[1])
	}
	turn := 0.0
	if n > 0 {
		x, y := at[0]+mx/n, at[1]+my/n
		for _, p := range e.patches[id] {
			turn += e.state.DifferencePa(a.job.AmbientPa, p) * p.AreaMM2 * 1e-6 * math.Hypot(p.X-x, p.Y-y)
		}
	}
	halfX, halfY := n*(box.Max[0]-box.Min[0])/2, n*(box.Max[1]-box.Min[1])/2
	return &holdFigures{n, turn, halfX + mx, halfX - mx, halfY + my, halfY - my}
}

// checkedIn lists the pieces to check in a step of an epoch.
func (a *Analysis) checkedIn(epoch, step int) []int32 {
	pieces, spared := a.touchedIn(step), a.air[epoch].spared
	if len(spared) == 0 || !slices.ContainsFunc(pieces, func(id int32) bool { return spared[id] }) {
		return pieces
	}
	return slices.DeleteFunc(slices.Clone(pieces), func(id int32) bool { return spared[id] })
}

// leastOf is the worst trial of a piece with its range, those of the copies that were checked for it among them.
func (a *Analysis) leastOf(id int) (worst trial, of pieceRange, loaded bool) {
	for _, k := range append([]int32{int32(id)}, a.checkedFor[int32(id)]...) {
		t, ok := a.least[k]
		if !ok {
			continue
		}
		d := *a.rangeOf(k)
		if int(k) != id {
			t.margin, d.low = t.margin/(1+copiesApart), d.low/(1+copiesApart)
		}
		low := d.low
		if loaded {
			low = min(low, of.low)
		}
		if !loaded || t.worse(worst) {
			worst, of, loaded = t, d, true
		}
		of.low = low
	}
	return worst, of, loaded
}
