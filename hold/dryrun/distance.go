package dryrun

import (
	"cmp"
	"math"
	"slices"

	"github.com/paulmach/orb"
)

// distanceGrid gives the distance from an outline at the nodes of a square grid, near where it is the radius.
//
// Nodes lie stepMM apart from origin on. Tiles of tileCells cells a side know the stretches of the outline that can
// matter to them; the others are never looked at, so the work goes with the length of the outline.
type distanceGrid struct {
	origin    orb.Point // mm
	radiusMM  float64
	stepMM    float64
	stretches []stretch // of the outline, mm from origin
	tiles     map[[2]int32]*tile
}

type stretch struct{ ax, ay, bx, by float64 }

// tile lists stretches by their distance from its middle.
type tile struct {
	near  []reach
	least float64 // of them
}

type reach struct {
	stretch int32
	fromMM  float64
}

const tileCells = 8

// newDistanceGrid prepares the grid round a ring. On an arc of radius r or more, chords and interpolation between nodes
// a step h apart each err by at most h^2/8r.
func newDistanceGrid(ring orb.Ring, origin orb.Point, radiusMM float64) *distanceGrid {
	g := &distanceGrid{origin: origin, radiusMM: radiusMM, stepMM: math.Sqrt(4 * radiusMM * offsetMM),
		tiles: map[[2]int32]*tile{}}
	for i := 1; i < len(ring); i++ {
		a, b := ring[i-1], ring[i]
		// Long edges are cut up: the tiles near a short stretch are few.
		n := math.Max(1, math.Ceil(math.Hypot(b[0]-a[0], b[1]-a[1])/(2*radiusMM+tileCells*g.stepMM)))
		at := func(k float64) (x, y float64) {
			return a[0] - origin[0] + (b[0]-a[0])*k/n, a[1] - origin[1] + (b[1]-a[1])*k/n
		}
		for k := range int(n) {
			ax, ay := at(float64(k))
			bx, by := at(float64(k + 1))
			g.add(stretch{ax, ay, bx, by})
		}
	}
	return g
}

// add lists a stretch in all tiles with a node within the radius and a step of it.
func (g *distanceGrid) add(s stretch) {
	side := tileCells * g.stepMM
	halfMM := side / math.Sqrt2
	grow := g.radiusMM + g.stepMM
	g.stretches = append(g.stretches, s)
	tileOf := func(v float64) int32 { return int32(math.Floor(v / side)) }
	for ty := tileOf(math.Min(s.ay, s.by) - grow); ty <= tileOf(math.Max(s.ay, s.by)+grow); ty++ {
		for tx := tileOf(math.Min(s.ax, s.bx) - grow); tx <= tileOf(math.Max(s.ax, s.bx)+grow); tx++ {
			d := s.distance((float64(tx)+0.5)*side, (float64(ty)+0.5)*side)
			if d > grow+halfMM {
				continue
			}
			t := g.tiles[[2]int32{tx, ty}]
			if t == nil {
				t = &tile{least: math.Inf(1)}
				g.tiles[[2]int32{tx, ty}] = t
			}
			t.near = append(t.near, reach{int32(len(g.stretches) - 1), d})
			t.least = math.Min(t.least, d)
		}
	}
}

// distance from the stretch, mm.
func (s stretch) distance(x, y float64) float64 {
	dx, dy, px, py := s.bx-s.ax, s.by-s.ay, x-s.ax, y-s.ay
	if l2 := dx*dx + dy*dy; l2 > 0 {
		t := math.Max(0, math.Min(1, (px*dx+py*dy)/l2))
		px, py = px-t*dx, py-t*dy
	}
	return math.Sqrt(px*px + py*py)
}

// nodes gives the distance at the nodes of a tile, row by row; ok is false if none of them can lie on either side of
// the radius.
func (g *distanceGrid) nodes(key [2]int32, t *tile, out *[tileCells + 1][tileCells + 1]float64) (ok bool) {
	halfMM := tileCells * g.stepMM / math.Sqrt2
	if t.least+halfMM < g.radiusMM {
		return false
	}
	for j := range out {
		for i := range out[j] {
			out[j][i] = math.Inf(1)
		}
	}
	for _, n := range t.near {
		if n.fromMM > t.least+2*halfMM {
			continue // another one is nearer for every node
		}
		s := g.stretches[n.stretch]
		for j := range out {
			y := float64(int(key[1])*tileCells+j) * g.stepMM
			for i := range out[j] {
				x := float64(int(key[0])*tileCells+i) * g.stepMM
				out[j][i] = math.Min(out[j][i], s.distance(x, y))
			}
		}
	}
	return true
}

// gridEdge is the edge of a cell from node (i, j) to the next one along X, or up along Y.
type gridEdge struct {
	i, j int32
	up   bool
}

func (e gridEdge) compare(o gridEdge) int {
	up := func(e gridEdge) int {
		if e.up {
			return 1
		}
		return 0
	}
	return cmp.Or(cmp.Compare(e.j, o.j), cmp.Compare(e.i, o.i), cmp.Compare(up(e), up(o)))
}

// crossing is where a contour crosses an edge, and the edge that it crosses next.
type crossing struct {
	at   orb.Point
	next gridEdge
}

// contours gives all closed lines at the radius from the outline, both inside and outside of it, with the outline on
// the right. The order does not depend on anything but the outline.
func (g *distanceGrid) contours() []orb.Ring {
	crossings := map[gridEdge]*crossing{}
	var nodes [tileCells + 1][tileCells + 1]float64
	for key, t := range g.tiles {
		if !g.nodes(key, t, &nodes) {
			continue
		}
		for j := range tileCells {
			for i := range tileCells {
				g.cell(crossings, key[0]*tileCells+int32(i), key[1]*tileCells+int32(j),
					[4]float64{nodes[j][i], nodes[j][i+1], nodes[j+1][i+1], nodes[j+1][i]})
			}
		}
	}
	edges := make([]gridEdge, 0, len(crossings))
	for e := range crossings {
		edges = append(edges, e)
	}
	slices.SortFunc(edges, gridEdge.compare)
	var out []orb.Ring
	for _, first := range edges {
		var loop orb.Ring
		for e := first; crossings[e] != nil; {
			c := crossings[e]
			delete(crossings, e)
			loop = append(loop, c.at)
			e = c.next
		}
		if len(loop) > 2 {
			out = append(out, append(loop, loop[0]))
		}
	}
	return out
}

// cell adds the crossings of one cell. d are the distances at its corners, counter-clockwise from the lower left.
func (g *distanceGrid) cell(crossings map[gridEdge]*crossing, i, j int32, d [4]float64) {
	edges := [4]gridEdge{{i, j, false}, {i + 1, j, true}, {i, j + 1, false}, {i, j, true}}
	within := func(k int) bool { return d[k&3] < g.radiusMM }
	// Along the border, counter-clockwise: a contour with the outline on its right enters the cell where the border
	// goes from outside to within, and leaves where it goes from within to outside.
	var leaves [4]bool
	crossed := 0
	for k := range leaves {
		leaves[k] = within(k) && !within(k+1)
		if within(k) != within(k+1) {
			crossed++
		}
	}
	for from := range leaves {
		if within(from) || !within(from+1) {
			continue
		}
		to := slices.Index(leaves[:], true)
		if crossed == 4 { // a saddle: the middle decides which corners belong together
			to = (from + 1) & 3
			if (d[0]+d[1]+d[2]+d[3])/4 < g.radiusMM {
				to = (from + 3) & 3
			}
		}
		crossings[edges[from]] = &crossing{g.crossing(edges[from], d[from], d[(from+1)&3], from), edges[to]}
	}
}

// crossing is the point of a border of a cell at the radius. d0 and d1 are the distances at its ends, in the sense of
// the border, which runs against the edge on the upper and left sides.
func (g *distanceGrid) crossing(e gridEdge, d0, d1 float64, side int) orb.Point {
	if side >= 2 {
		d0, d1 = d1, d0
	}
	t := (g.radiusMM - d0) / (d1 - d0)
	x, y := float64(e.i), float64(e.j)
	if e.up {
		y += t
	} else {
		x += t
	}
	return orb.Point{g.origin[0] + x*g.stepMM, g.origin[1] + y*g.stepMM}
}
