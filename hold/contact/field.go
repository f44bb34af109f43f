package contact

import "math"

// node is a small part of the face in the sums about a sliding center. Places are relative to the support's origin and
// in units of its reach, so that they lie within the unit circle or near it.
type node struct {
	x, y   float64
	s2     float64 // variance of its spread in the direction in which it is slimmest
	weight float64 // N
}

// field is a set of nodes that resist sliding together.
type field struct {
	nodes  []node
	force  float64 // sum of weights, N
	x, y   float64 // their center
	far    float64 // from it to the farthest node
	couple float64 // lower bound of the moment it resists without any force, N times reach
	clumps []clump // nodes taken together; nil where there are few nodes
}

// spots is the number of nodes aimed at. Up to as many elements are used as they are; beyond, elements are gathered in
// a square grid.
const spots = 256

// discVariance is the variance of a disc's area in one direction, over its area: r^2/4 with A = pi r^2. Of all shapes
// of an area the disc is the most compact, so an element taken for one resists turning about itself least. Its weight w
// at distance d from the sliding center then counts w sqrt(d^2 + A/4pi): exact to second order far away, and at the
// center three quarters of what the disc itself would resist, 2r/3.
const discVariance = 1 / (4 * math.Pi)

// gatherNodes turns elements with their weights into nodes. A gathered node stands at the center of its elements and
// spreads like them in the direction in which they spread least: by Jensen's inequality the sum about any sliding
// center is then too low rather than too high.
func gatherNodes(elements []Element, weight func(Element) float64, origin [2]float64, reach float64) []node {
	var loaded int
	low, high := [2]float64{math.Inf(1), math.Inf(1)}, [2]float64{math.Inf(-1), math.Inf(-1)}
	for _, p := range elements {
		if weight(p) > 0 {
			loaded++
			low[0], high[0] = min(low[0], p.X), max(high[0], p.X)
			low[1], high[1] = min(low[1], p.Y), max(high[1], p.Y)
		}
	}
	single := func(p Element) node {
		return node{(p.X - origin[0]) / reach, (p.Y - origin[1]) / reach, p.AreaMM2 * discVariance / (reach * reach),
			weight(p)}
	}
	if loaded <= spots {
		nodes := make([]node, 0, loaded)
		for _, p := range elements {
			if weight(p) > 0 {
				nodes = append(nodes, single(p))
			}
		}
		return nodes
	}
	cells := newRaster(low, high, spots)
	gathered := make([]moments, cells.nx*cells.ny)
	for _, p := range elements {
		if weight(p) > 0 {
			gathered[cells.at(p.X, p.Y)].add(single(p))
		}
	}
	nodes := make([]node, 0, len(gathered))
	for i := range gathered {
		if h := &gathered[i]; h.w > 0 {
			x, y, xx, xy, yy := h.spread()
			slim := (xx+yy)/2 - hypot((xx-yy)/2, xy)
			nodes = append(nodes, node{x, y, max(slim, 0) + h.self/h.w, h.w})
		}
	}
	return nodes
}

// newField sums up the nodes and finds the moment they resist without force.
func newField(nodes []node) field {
	f := field{nodes: nodes, clumps: clumpsOf(nodes)}
	for _, n := range nodes {
		f.force += n.weight
		f.x += n.weight * n.x
		f.y += n.weight * n.y
	}
	if f.force > 0 {
		f.x, f.y = f.x/f.force, f.y/f.force
		for i := range nodes {
			f.far = max(f.far, hypot(nodes[i].x-f.x, nodes[i].y-f.y))
		}
		f.couple = f.pureCouple()
	}
	return f
}

// pureCouple is the moment that the field resists when no force goes with it: the least of sum w |x - c| over all
// centers c, which lies at the center about which the friction forces cancel. For a field that is not symmetric this is
// less than the moment about its center. It is given from below: short by at most coupleGap of the value.
func (f *field) pureCouple() float64 {
	_, start := f.roughCouple(0, 0, cutoff{})
	r := newSurface()
	defer r.discard()
	r.add(f, 1, 0, 0)
	least, _, _ := r.descend(wrench{turn: 1}, start, coupleGap, cutoff{}, f.belowCouple)
	return least
}

// roughCouple is a lower bound of the pure couple with weights that are tilted, times 1 + tilt.(x - center), and the
// motion that is resisted so: short by roughGap and what clumps lack, unless the search ends early. A value beyond the
// cutoff may come out anywhere beyond it on the same side.
func (f *field) roughCouple(tiltX, tiltY float64, within cutoff) (float64, twist) {
	r := newSurface()
	defer r.discard()
	r.addClumps(f, 1, tiltX, tiltY)
	least, _, at := r.descend(wrench{turn: 1}, twist{f.y, -f.x, 1}, roughGap, within, f.belowCouple)
	return least, at
}

// belowCouple is the bound for descend. Convexity: the least value is no lower than the value here less the slope times
// the way to it, and the center sought lies among the nodes.
func (f *field) belowCouple(along float64, off wrench) float64 {
	return along - hypot(off.x, off.y)*2*f.far
}

// The even couple shows in the working; the tilted ones only guide the search and the lower bound.
const coupleGap = 1e-4
