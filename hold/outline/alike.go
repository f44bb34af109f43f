package outline

import (
	"math"

	"github.com/paulmach/orb"
)

// shapes groups items whose outlines, with their holes, are the same but for their place.
type shapes struct {
	firsts []int // the first item of each shape
	of     []int // for every item the first of its shape
}

// alikeMM is how far the points of two outlines may lie apart that are the same shape.
const alikeMM = 1e-4

func newShapes(items []Item) shapes {
	type key struct {
		points int
		hole   bool
		w, h   int64
	}
	s := shapes{of: make([]int, len(items))}
	byKey := map[key][]int{}
	for i := range items {
		ring := items[i].Outline[0]
		b := ring.Bound()
		round := func(mm float64) int64 { return int64(math.Round(mm / (10 * alikeMM))) }
		k := key{len(ring), items[i].Kind == OffcutItem, round(b.Max[0] - b.Min[0]), round(b.Max[1] - b.Min[1])}
		s.of[i] = i
		for _, first := range byKey[k] {
			if sameShape(items[first].Outline, items[i].Outline) {
				s.of[i] = first
				break
			}
		}
		if s.of[i] == i {
			s.firsts = append(s.firsts, i)
			byKey[k] = append(byKey[k], i)
		}
	}
	return s
}

func sameShape(a, b orb.Polygon) bool {
	if len(a) != len(b) {
		return false
	}
	p, q := a[0].Bound().Min, b[0].Bound().Min
	for k := range a {
		if len(a[k]) != len(b[k]) {
			return false
		}
		for i := range a[k] {
			if math.Abs(a[k][i][0]-p[0]-b[k][i][0]+q[0]) > alikeMM ||
				math.Abs(a[k][i][1]-p[1]-b[k][i][1]+q[1]) > alikeMM {
				return false
			}
		}
	}
	return true
}
