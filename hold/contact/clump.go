package contact

import "math"

// clump is several nodes taken together, which resists every motion no more than they do. The few clumps of a field
// rule out most loads before all of its nodes are looked at, and tell where the search among these begins.
//
// By Jensen's inequality a node at the center of others, with their weight and no more spread of its own than any of
// them, resists a motion no more than they do together. A tilt of the weights moves the center.
type clump struct {
	node
	xx, xy, yy float64 // covariance of the places
}

const (
	clumpsAimed = 30   // in a field
	leastNodes  = 64   // from which on clumps are worth while
	roughGap    = 0.01 // how far, of its value, what is found with clumps may lie below their sum
	leastTilted = 1e-6 // share of its weight below which a clump is left out
)

// clumpsOf takes nodes together in a square grid; nil where there are few.
func clumpsOf(nodes []node) []clump {
	if len(nodes) < leastNodes {
		return nil
	}
	low, high := [2]float64{math.Inf(1), math.Inf(1)}, [2]float64{math.Inf(-1), math.Inf(-1)}
	for i := range nodes {
		n := &nodes[i]
		low[0], high[0] = min(low[0], n.x), max(high[0], n.x)
		low[1], high[1] = min(low[1], n.y), max(high[1], n.y)
	}
	cells := newRaster(low, high, clumpsAimed)
	gathered, least := make([]moments, cells.nx*cells.ny), make([]float64, cells.nx*cells.ny)
	for _, n := range nodes {
		i := cells.at(n.x, n.y)
		if gathered[i].w == 0 || n.s2 < least[i] {
			least[i] = n.s2
		}
		gathered[i].add(n)
	}
	out := make([]clump, 0, len(gathered))
	for i := range gathered {
		if h := &gathered[i]; h.w > 0 {
			x, y, xx, xy, yy := h.spread()
			out = append(out, clump{node{x, y, least[i], h.w}, xx, xy, yy})
		}
	}
	return out
}

// addClumps takes in the clumps of a field, or its nodes where there are few, as add takes in its nodes.
func (s *surface) addClumps(f *field, share, tiltX, tiltY float64) {
	if f.clumps == nil {
		s.add(f, share, tiltX, tiltY)
		return
	}
	if share <= 0 {
		return
	}
	for i := range f.clumps {
		c := &f.clumps[i]
		n := c.node
		k := 1 + tiltX*(n.x-f.x) + tiltY*(n.y-f.y)
		// Where next to nothing is left, its center is not known well; what is left out resists nothing.
		if k > leastTilted {
			n.x += (c.xx*tiltX + c.xy*tiltY) / k
			n.y += (c.xy*tiltX + c.yy*tiltY) / k
			n.weight *= share * k
			s.nodes = append(s.nodes, n)
		}
	}
}
