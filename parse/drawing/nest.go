package drawing

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"github.com/paulmach/orb"
	"github.com/paulmach/orb/planar"
)

// finish makes millimeters, outlines and parts of what was read.
func (s *sketch) finish() *Drawing {
	s.needUnit()
	if mm := s.unit.mm(); mm != 1 {
		scale := affine{a: mm, d: mm}
		for i := range s.curves {
			scale.all(s.curves[i].points)
		}
		scale.all(s.texts)
		s.page.Min, s.page.Max = scale.at(s.page.Min), scale.at(s.page.Max)
	}
	outlines := s.withoutPage(s.outlines(s.chains()))
	t := newTree(outlines)
	if s.opt.WithoutFrame {
		t = s.withoutFrame(t)
	} else {
		s.tellFrame(t)
	}
	t = s.withoutTitleBlocks(t)
	d := &Drawing{Format: s.format, Unit: s.unit, Parts: t.parts(), Notes: s.notes}
	for _, kind := range s.kinds {
		n := s.left[kind]
		message := fmt.Sprintf("%s left out", kind)
		if n.count > 1 {
			message = fmt.Sprintf("%s left out, %d times in all", kind, n.count)
		}
		d.Notes = append(d.Notes, Note{n.first, message})
	}
	slices.SortStableFunc(d.Notes, func(a, b Note) int { return cmp.Compare(a.Line, b.Line) })
	if n := len(d.Notes); n > maxNotes {
		d.Notes = append(d.Notes[:maxNotes], Note{0, fmt.Sprintf("%d more notes", n-maxNotes)})
	}
	return d
}

// withoutPage leaves out a rectangle that is the page of an SVG file.
func (s *sketch) withoutPage(all []Outline) []Outline {
	size := s.page.Max
	if !(size[0] > 0) {
		return all
	}
	return slices.DeleteFunc(all, func(o Outline) bool {
		b := o.Ring.Bound()
		page := isRectangle(o.Ring) && math.Abs(b.Min[0]) < 0.005*size[0] && math.Abs(b.Min[1]) < 0.005*size[1] &&
			math.Abs(b.Max[0]-size[0]) < 0.005*size[0] && math.Abs(b.Max[1]-size[1]) < 0.005*size[1]
		if page {
			s.note(o.Line, "rectangle of the page left out")
		}
		return page
	})
}

func isRectangle(r orb.Ring) bool {
	b := r.Bound()
	return math.Abs(planar.Area(r)) > 0.999*(b.Max[0]-b.Min[0])*(b.Max[1]-b.Min[1])
}

// tree tells which outline lies in which: up is the smallest one round it, -1 for none.
type tree struct {
	outlines []Outline
	areas    []float64
	up       []int
	depth    []int
}

func newTree(outlines []Outline) *tree {
	n := len(outlines)
	t := &tree{outlines: outlines, areas: make([]float64, n), up: make([]int, n), depth: make([]int, n)}
	bounds := make([]orb.Bound, n)
	bySize := make([]int, n)
	for i, o := range outlines {
		t.areas[i], bounds[i], bySize[i] = math.Abs(planar.Area(o.Ring)), o.Ring.Bound(), i
	}
	slices.SortStableFunc(bySize, func(a, b int) int { return cmp.Compare(t.areas[b], t.areas[a]) })
	for k, i := range bySize {
		t.up[i] = -1
		inside := Inside(outlines[i].Ring)
		for m := k - 1; m >= 0; m-- { // the smallest that holds it
			if j := bySize[m]; bounds[j].Contains(inside) && planar.RingContains(outlines[j].Ring, inside) {
				t.up[i], t.depth[i] = j, t.depth[j]+1
				break
			}
		}
	}
	return t
}

// Inside gives a point inside an area with its holes (even-odd rule): the middle of its widest stretch along X, at half
// of its height or near. The first ring is the outer one.
func Inside(rings ...orb.Ring) orb.Point {
	b := rings[0].Bound()
	best, at := 0.0, rings[0][0]
	for _, share := range []float64{0.5, 0.4142, 0.5858, 0.2718, 0.7282, 0.1234, 0.8766} {
		y := b.Min[1] + share*(b.Max[1]-b.Min[1])
		var xs []float64
		for _, r := range rings {
			for i := 1; i < len(r); i++ {
				p, q := r[i-1], r[i]
				if (p[1] <= y) != (q[1] <= y) {
					xs = append(xs, p[0]+(y-p[1])/(q[1]-p[1])*(q[0]-p[0]))
				}
			}
		}
		slices.Sort(xs)
		for i := 0; i+1 < len(xs); i += 2 {
			if w := xs[i+1] - xs[i]; w > best {
				best, at = w, orb.Point{(xs[i] + xs[i+1]) / 2, y}
			}
		}
		if best > 0.1*(b.Max[0]-b.Min[0]) {
			break
		}
	}
	return at
}

// root is the outline that holds all others, -1 for none.
func (t *tree) root() int {
	at := -1
	for i, up := range t.up {
		if up < 0 {
			if at >= 0 {
				return -1
			}
			at = i
		}
	}
	if len(t.up) < 2 {
		return -1
	}
	return at
}

func (t *tree) without(drop func(i int) bool) *tree {
	var kept []Outline
	for i, o := range t.outlines {
		if !drop(i) {
			kept = append(kept, o)
		}
	}
	return newTree(kept)
}

// tellFrame tells of an outline that may be the frame of the sheet, which is a rectangle.
func (s *sketch) tellFrame(t *tree) {
	if at := t.root(); at >= 0 && isRectangle(t.outlines[at].Ring) {
		b := t.outlines[at].Ring.Bound()
		s.note(t.outlines[at].Line, "this outline (%.5g x %.5g mm) holds all others and is taken for a part; if it "+
			"is the frame of the sheet, leave it out with --without-frame", b.Max[0]-b.Min[0], b.Max[1]-b.Min[1])
	}
}

// withoutFrame leaves out the outline that holds all others, and another rectangle close inside it.
func (s *sketch) withoutFrame(t *tree) *tree {
	at := t.root()
	if at < 0 {
		s.note(0, "no outline holds all others, so no frame was left out")
		return t
	}
	frame := t.outlines[at]
	for at >= 0 {
		s.note(t.outlines[at].Line, "frame of the sheet left out, as asked")
		drop := at
		t = t.without(func(i int) bool { return i == drop })
		at = t.root()
		if at < 0 || !isRectangle(t.outlines[at].Ring) || !isRectangle(frame.Ring) ||
			!closeInside(t.outlines[at].Ring.Bound(), frame.Ring.Bound()) {
			break
		}
	}
	return t
}

// withoutTitleBlocks leaves out rectangles full of lettering, and what is in them. Parts seldom carry more than a line
// of it. A frame of the sheet, which holds all lettering, is none.
func (s *sketch) withoutTitleBlocks(t *tree) *tree {
	const lettered = 3 // texts
	rectangle := make([]bool, len(t.outlines))
	var all orb.Bound
	for i, o := range t.outlines {
		rectangle[i] = isRectangle(o.Ring)
		if all = all.Union(o.Ring.Bound()); i == 0 {
			all = o.Ring.Bound()
		}
	}
	texts := make([]int, len(t.outlines)) // in it and its fields
	for _, p := range s.texts {
		for i := t.smallest(p); i >= 0 && rectangle[i]; i = t.up[i] {
			texts[i]++
		}
	}
	block := func(i int) bool { // or in one
		for ; i >= 0; i = t.up[i] {
			if texts[i] >= lettered && i != t.root() && !closeInside(t.outlines[i].Ring.Bound(), all) {
				return true
			}
		}
		return false
	}
	for i := range t.outlines {
		switch {
		case !block(i):
		case t.up[i] >= 0 && block(t.up[i]):
			s.leave(t.outlines[i].Line, "outline in a title block")
		default:
			s.note(t.outlines[i].Line, "rectangle with %d texts in it is taken for a title block and left out; delete "+
				"the texts if it is a part", texts[i])
		}
	}
	return t.without(block)
}

// smallest is the smallest outline round a point, -1 for none.
func (t *tree) smallest(p orb.Point) int {
	best := -1
	for i, o := range t.outlines {
		if (best < 0 || t.areas[i] < t.areas[best]) && o.Ring.Bound().Contains(p) && planar.RingContains(o.Ring, p) {
			best = i
		}
	}
	return best
}

// closeInside tells whether a box is nearly as large as one round it, both ways, as frames of a sheet are.
func closeInside(box, round orb.Bound) bool {
	const share = 0.8
	for k := range 2 {
		if box.Max[k]-box.Min[k] < share*(round.Max[k]-round.Min[k]) {
			return false
		}
	}
	return true
}

// parts makes parts of outlines at even depth, with those straight inside as holes.
func (t *tree) parts() (out []Part) {
	at := make([]int, len(t.outlines))
	for i, o := range t.outlines {
		if t.depth[i]%2 == 0 {
			at[i] = len(out)
			out = append(out, Part{Outline: o})
		}
	}
	for i, o := range t.outlines {
		if t.depth[i]%2 == 1 {
			p := &out[at[t.up[i]]]
			p.Holes = append(p.Holes, o)
		}
	}
	return out
}
