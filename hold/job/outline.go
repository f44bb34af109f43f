package job

import (
	"fmt"
	"math"

	"github.com/paulmach/orb"
)

// sameMM is the distance below which two corners are one: far below any machine's resolution, far above rounding.
const sameMM = 1e-6

// leastAreaMM2 is the smallest area that counts as one.
const leastAreaMM2 = 1e-3

// circleSagMM is how far the chords of a disc may stay inside its circle. The polygon never reaches out of the true
// disc.
const circleSagMM = 0.005

// What messages suggest for a list of corners.
const (
	exampleArea    = `[["0 mm","0 mm"], ["600 mm","400 mm"]]`
	exampleCorners = `[["0 mm","0 mm"], ["600 mm","0 mm"], ["600 mm","400 mm"]]`
)

// polygon reads a list of corners (low or more, where two mean the opposite corners of a rectangle) as a closed
// counter-clockwise ring in mm.
func (s section) polygon(name string, low int) (orb.Ring, bool) {
	example := exampleCorners
	if low == 2 {
		example = exampleArea
	}
	items, ok := s.items(name, low, maxCorners, example)
	if !ok {
		return nil, false
	}
	s.corners += len(items)
	if s.corners > maxAllCorners {
		s.say(s.where(name), name, fmt.Sprintf("the outlines of this file have more than %d corners together",
			maxAllCorners), "give them with fewer")
		return nil, false
	}
	var corners []orb.Point
	for i, item := range items {
		if item.form != list || len(item.items) != 2 {
			s.say(item.at, name, fmt.Sprintf("corner %d is not a pair of lengths", i+1), `write ["0 mm", "0 mm"]`)
			ok = false
			continue
		}
		x, okX := s.measure(item.items[0], name, length, anyPlaceMM)
		y, okY := s.measure(item.items[1], name, length, anyPlaceMM)
		ok = ok && okX && okY
		corners = append(corners, orb.Point{x, y})
	}
	if !ok {
		return nil, false
	}
	if len(corners) == 2 {
		a, b := corners[0], corners[1]
		if math.Abs(a[0]-b[0]) <= sameMM || math.Abs(a[1]-b[1]) <= sameMM {
			s.say(s.where(name), name, "the two corners span no area", "write two opposite corners of a rectangle")
			return nil, false
		}
		return rectangle(min(a[0], b[0]), min(a[1], b[1]), max(a[0], b[0]), max(a[1], b[1])), true
	}
	ring := distinct(corners)
	if len(ring) < 4 {
		s.say(s.where(name), name, fmt.Sprintf("%d different corners span no area", max(len(ring)-1, 1)),
			"write three or more different corners")
		return nil, false
	}
	if i, j, crosses := crossing(ring); crosses {
		s.say(s.where(name), name, fmt.Sprintf("the outline crosses or touches itself (side %d and side %d)", i+1, j+1),
			"write the corners in order round it")
		return nil, false
	}
	switch a := signedArea(ring); {
	case math.Abs(a) < leastAreaMM2:
		s.say(s.where(name), name, "the corners lie on a line and span no area", "write corners that do")
		return nil, false
	case a < 0:
		ring.Reverse()
	}
	return ring, true
}

func rectangle(x0, y0, x1, y1 float64) orb.Ring {
	return orb.Ring{{x0, y0}, {x1, y0}, {x1, y1}, {x0, y1}, {x0, y0}}
}

// disc is a regular polygon inscribed in a circle, with chords at most circleSagMM inside it.
func disc(centre orb.Point, diameterMM float64) orb.Ring {
	radius := diameterMM / 2
	n := 32
	if circleSagMM < radius {
		n = max(n, int(math.Ceil(math.Pi/math.Acos(1-circleSagMM/radius))))
	}
	n = (n + 3) / 4 * 4 // so that the box round the ring is the box round the disc
	ring := make(orb.Ring, 0, n+1)
	for i := range n {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / float64(n))
		ring = append(ring, orb.Point{centre[0] + radius*cos, centre[1] + radius*sin})
	}
	return append(ring, ring[0])
}

// distinct closes the ring and drops corners that repeat their neighbor.
func distinct(corners []orb.Point) orb.Ring {
	var ring orb.Ring
	for _, c := range corners {
		if len(ring) == 0 || !same(ring[len(ring)-1], c) {
			ring = append(ring, c)
		}
	}
	for len(ring) > 1 && same(ring[0], ring[len(ring)-1]) {
		ring = ring[:len(ring)-1]
	}
	return append(ring, ring[0])
}

func same(a, b orb.Point) bool {
	return math.Abs(a[0]-b[0]) <= sameMM && math.Abs(a[1]-b[1]) <= sameMM
}

// signedArea is positive for a counter-clockwise ring (shoelace formula, about the first corner to keep digits).
func signedArea(ring orb.Ring) float64 {
	sum := 0.0
	for i := 0; i+1 < len(ring); i++ {
		sum += (ring[i][0]-ring[0][0])*(ring[i+1][1]-ring[0][1]) - (ring[i+1][0]-ring[0][0])*(ring[i][1]-ring[0][1])
	}
	return sum / 2
}

// crossing finds two sides of a closed ring that meet other than in the corner they share.
func crossing(ring orb.Ring) (i, j int, found bool) {
	n := len(ring) - 1
	for i := range n {
		for j := i + 1; j < n; j++ {
			a, b, c, d := ring[i], ring[i+1], ring[j], ring[j+1]
			switch {
			case j == i+1 && foldsBack(a, b, d), i == 0 && j == n-1 && foldsBack(c, a, b):
				return i, j, true
			case j == i+1 || i == 0 && j == n-1:
			case meet(a, b, c, d):
				return i, j, true
			}
		}
	}
	return 0, 0, false
}

// foldsBack tells whether the side from b to c runs back over the side from a to b.
func foldsBack(a, b, c orb.Point) bool {
	return offLine(a, b, c) == 0 && (b[0]-a[0])*(c[0]-b[0])+(b[1]-a[1])*(c[1]-b[1]) < 0
}

// offLine is +1 or -1 when c lies to the left or right of the line from a to b by more than sameMM, else 0.
func offLine(a, b, c orb.Point) int {
	cross := (b[0]-a[0])*(c[1]-a[1]) - (b[1]-a[1])*(c[0]-a[0])
	distance := cross / math.Hypot(b[0]-a[0], b[1]-a[1])
	switch {
	case distance > sameMM:
		return 1
	case distance < -sameMM:
		return -1
	}
	return 0
}

// apart tells whether the boxes round two sides do not touch, which settles most pairs of sides cheaply.
func apart(a, b, c, d orb.Point) bool {
	return max(a[0], b[0])+sameMM < min(c[0], d[0]) || max(c[0], d[0])+sameMM < min(a[0], b[0]) ||
		max(a[1], b[1])+sameMM < min(c[1], d[1]) || max(c[1], d[1])+sameMM < min(a[1], b[1])
}

// meet tells whether the sides ab and cd have a point in common, ends included.
func meet(a, b, c, d orb.Point) bool {
	return !apart(a, b, c, d) && offLine(a, b, c)*offLine(a, b, d) <= 0 && offLine(c, d, a)*offLine(c, d, b) <= 0
}

// cross tells whether the sides ab and cd cross properly: each has its ends clearly on both sides of the other.
func cross(a, b, c, d orb.Point) bool {
	return !apart(a, b, c, d) && offLine(a, b, c)*offLine(a, b, d) < 0 && offLine(c, d, a)*offLine(c, d, b) < 0
}

// inside tells whether p lies in the ring and not within sameMM of its sides.
func inside(ring orb.Ring, p orb.Point) bool {
	in := false
	for i := 0; i+1 < len(ring); i++ {
		a, b := ring[i], ring[i+1]
		if nearSide(a, b, p) {
			return false
		}
		if (a[1] > p[1]) != (b[1] > p[1]) && p[0] < a[0]+(p[1]-a[1])/(b[1]-a[1])*(b[0]-a[0]) {
			in = !in
		}
	}
	return in
}

func nearSide(a, b, p orb.Point) bool {
	if apart(a, b, p, p) {
		return false
	}
	dx, dy := b[0]-a[0], b[1]-a[1]
	t := ((p[0]-a[0])*dx + (p[1]-a[1])*dy) / (dx*dx + dy*dy)
	t = min(max(t, 0), 1)
	return math.Hypot(p[0]-a[0]-t*dx, p[1]-a[1]-t*dy) <= sameMM
}

// probes are points on and in a ring: its corners, the middles of its sides, and one in its inside.
func probes(ring orb.Ring) []orb.Point {
	var all []orb.Point
	for i := 0; i+1 < len(ring); i++ {
		all = append(all, ring[i], orb.Point{(ring[i][0] + ring[i+1][0]) / 2, (ring[i][1] + ring[i+1][1]) / 2})
	}
	return append(all, interior(ring))
}

// interior gives a point inside the ring: the corner that lies lowest and then leftmost is convex, so either the
// triangle with its neighbors is empty and its centroid serves, or the point half way to the corner deepest in it does
// (the diagonal of a simple polygon, O'Rourke, Computational Geometry in C, 1.2).
func interior(ring orb.Ring) orb.Point {
	n := len(ring) - 1
	low := 0
	for i := 1; i < n; i++ {
		if ring[i][1] < ring[low][1] || ring[i][1] == ring[low][1] && ring[i][0] < ring[low][0] {
			low = i
		}
	}
	v, a, b := ring[low], ring[(low+n-1)%n], ring[(low+1)%n]
	triangle := orb.Ring{v, b, a, v}
	deepest, depth := orb.Point{}, 0.0
	for i := range n {
		if i == low || !inside(triangle, ring[i]) {
			continue
		}
		d := math.Abs((b[0]-a[0])*(ring[i][1]-a[1]) - (b[1]-a[1])*(ring[i][0]-a[0]))
		if d > depth {
			deepest, depth = ring[i], d
		}
	}
	if depth > 0 {
		return orb.Point{(v[0] + deepest[0]) / 2, (v[1] + deepest[1]) / 2}
	}
	return orb.Point{(v[0] + a[0] + b[0]) / 3, (v[1] + a[1] + b[1]) / 3}
}

// overlap tells whether two rings share area; sides that only touch do not.
func overlap(a, b orb.Ring) bool {
	if !a.Bound().Intersects(b.Bound()) {
		return false
	}
	for i := 0; i+1 < len(a); i++ {
		for j := 0; j+1 < len(b); j++ {
			if cross(a[i], a[i+1], b[j], b[j+1]) {
				return true
			}
		}
	}
	for _, p := range probes(a) {
		if inside(b, p) {
			return true
		}
	}
	for _, p := range probes(b) {
		if inside(a, p) {
			return true
		}
	}
	return false
}

// within tells whether the ring lies wholly in the outer one without touching its sides.
func within(ring, outer orb.Ring) bool {
	for i := 0; i+1 < len(ring); i++ {
		if !inside(outer, ring[i]) {
			return false
		}
		for j := 0; j+1 < len(outer); j++ {
			if meet(ring[i], ring[i+1], outer[j], outer[j+1]) {
				return false
			}
		}
	}
	return true
}
