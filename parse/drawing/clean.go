package drawing

import (
	"cmp"
	"math"
	"slices"

	"github.com/paulmach/orb"
	"github.com/paulmach/orb/planar"
)

// leastMM2 is the area below which an outline is none.
const leastMM2 = 0.01

// outlines makes closed curves outlines: without those of no area, those that cross themselves or others, and those
// that are drawn twice.
func (s *sketch) outlines(closed []curve) (out []Outline) {
	for _, c := range closed {
		ring := append(orb.Ring(slices.Clone(c.points)), c.points[0])
		if len(ring) < 4 || math.Abs(planar.Area(ring)) < leastMM2 {
			s.leave(c.line, "closed line without area")
			continue
		}
		if ring.Orientation() == orb.CW {
			ring.Reverse()
		}
		out = append(out, Outline{ring, c.layer, c.line})
	}
	return s.withoutCrossings(s.withoutCopies(out))
}

// withoutCopies drops outlines that lie on an earlier one all round, within sameMM and the chords of curves.
func (s *sketch) withoutCopies(all []Outline) (out []Outline) {
	const within = sameMM + 2*FlatMM
	byX := map[int64][]int{} // index in out, by the left border
	for _, o := range all {
		b := o.Ring.Bound()
		column := int64(math.Floor(b.Min[0] / (2 * within)))
		copied := false
		for near := column - 1; near <= column+1 && !copied; near++ {
			for _, i := range byX[near] {
				if copied = sameRing(out[i].Ring, o.Ring, within); copied {
					s.note(o.Line, "outline is that of line %d once more; left out", out[i].Line)
					break
				}
			}
		}
		if !copied {
			byX[column] = append(byX[column], len(out))
			out = append(out, o)
		}
	}
	return out
}

func sameRing(a, b orb.Ring, within float64) bool {
	ba, bb := a.Bound(), b.Bound()
	for k := range 2 {
		if math.Abs(ba.Min[k]-bb.Min[k]) > within || math.Abs(ba.Max[k]-bb.Max[k]) > within {
			return false
		}
	}
	if math.Abs(planar.Area(a)-planar.Area(b)) > within*planar.Length(a) {
		return false
	}
	for _, p := range b {
		if planar.DistanceFrom(orb.LineString(a), p) > within {
			return false
		}
	}
	return true
}

// side is an edge of an outline, from left to right.
type side struct {
	a, b       orb.Point
	ring, edge int
}

// withoutCrossings leaves out outlines that cross themselves or one another. Touching is no crossing.
func (s *sketch) withoutCrossings(all []Outline) (out []Outline) {
	var sides []side
	for r, o := range all {
		for i := 1; i < len(o.Ring); i++ {
			a, b := o.Ring[i-1], o.Ring[i]
			if a[0] > b[0] {
				a, b = b, a
			}
			sides = append(sides, side{a, b, r, i})
		}
	}
	slices.SortFunc(sides, func(p, q side) int {
		return cmp.Or(cmp.Compare(p.a[0], q.a[0]), cmp.Compare(p.ring, q.ring), cmp.Compare(p.edge, q.edge))
	})
	bad := make([]bool, len(all))
	var active []side
	work := 0
	for _, e := range sides {
		kept := active[:0]
		for _, f := range active {
			if f.b[0] < e.a[0] {
				continue
			}
			kept = append(kept, f)
			if work++; work > maxCrossings {
				fail(0, "too many lines lie side by side to be compared; split the drawing")
			}
			if bad[e.ring] && bad[f.ring] || !cross(e, f) {
				continue
			}
			bad[e.ring], bad[f.ring] = true, true
			at := meeting(e, f)
			if e.ring == f.ring {
				s.note(all[e.ring].Line, "outline crosses itself at X%.3f Y%.3f; left out", at[0], at[1])
				continue
			}
			first, second := all[min(e.ring, f.ring)].Line, all[max(e.ring, f.ring)].Line
			s.note(first, "outline crosses that of line %d at X%.3f Y%.3f; both are left out", second, at[0], at[1])
		}
		active = append(kept, e)
	}
	for r, o := range all {
		if !bad[r] {
			out = append(out, o)
		}
	}
	return out
}

// beyond is how far an end must lie on the other side for a crossing, mm: touching arcs overlap by their chords.
const beyond = 2 * FlatMM

// cross tells whether two edges cross: the ends of each lie on both sides of the other.
func cross(e, f side) bool {
	if math.Max(f.a[1], f.b[1]) < math.Min(e.a[1], e.b[1]) || math.Max(e.a[1], e.b[1]) < math.Min(f.a[1], f.b[1]) {
		return false
	}
	off := func(s side, p orb.Point) float64 {
		l := distance(s.a, s.b)
		if l == 0 {
			return 0
		}
		return ((s.b[0]-s.a[0])*(p[1]-s.a[1]) - (s.b[1]-s.a[1])*(p[0]-s.a[0])) / l
	}
	apart := func(s side, p, q orb.Point) bool {
		x, y := off(s, p), off(s, q)
		return x*y < 0 && math.Min(math.Abs(x), math.Abs(y)) > 1e-9
	}
	if !apart(e, f.a, f.b) || !apart(f, e.a, e.b) {
		return false
	}
	if e.ring == f.ring {
		return true
	}
	// Short chords of two curves that touch may cross by less than they stray from the curves.
	return math.Max(math.Abs(off(e, f.a)), math.Abs(off(e, f.b))) > beyond
}

// meeting is where two edges cross.
func meeting(e, f side) orb.Point {
	ux, uy, vx, vy := e.b[0]-e.a[0], e.b[1]-e.a[1], f.b[0]-f.a[0], f.b[1]-f.a[1]
	t := ((f.a[0]-e.a[0])*vy - (f.a[1]-e.a[1])*vx) / (ux*vy - uy*vx)
	return orb.Point{e.a[0] + t*ux, e.a[1] + t*uy}
}
