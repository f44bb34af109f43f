package contact

import "math"

// lump stands for neighbouring nodes in a lower bound of what they resist: at their centre, with the least of their spreads. |v(x)| with the
// spread as a third component is a norm, so by Jensen's inequality the lump costs no twist more than its nodes do.
type lump struct {
	node
	xx, xy, yy float64 // covariance of the nodes' places
}

// lumpCells is the number of lumps aimed at. A field with fewer than a few nodes for each is not worth it.
const (
	lumpCells    = 25
	nodesPerLump = 3
)

func lumpsOf(nodes []node) []lump {
	if len(nodes) < lumpCells*nodesPerLump {
		return nil
	}
	low, high := [2]float64{math.Inf(1), math.Inf(1)}, [2]float64{math.Inf(-1), math.Inf(-1)}
	for _, n := range nodes {
		low[0], high[0] = min(low[0], n.x), max(high[0], n.x)
		low[1], high[1] = min(low[1], n.y), max(high[1], n.y)
	}
	cells := newRaster(low, high, lumpCells)
	heaps := make([]heap, cells.nx*cells.ny)
	least := make([]float64, len(heaps))
	for _, n := range nodes {
		k := cells.at(n.x, n.y)
		if heaps[k].w == 0 || n.s2 < least[k] {
			least[k] = n.s2
		}
		heaps[k].add(n)
	}
	lumps := make([]lump, 0, len(heaps))
	for k := range heaps {
		if h := &heaps[k]; h.w > 0 {
			x, y, xx, xy, yy := h.spread()
			lumps = append(lumps, lump{node{x, y, least[k], h.w}, xx, xy, yy})
		}
	}
	return lumps
}

// addLumps is add with lumps in place of the nodes. A tilt moves the centre of a lump.
func (s *surface) addLumps(f *field, share, tiltX, tiltY float64) {
	for _, l := range f.lumps {
		n := l.node
		k := 1 + tiltX*(n.x-f.x) + tiltY*(n.y-f.y)
		if share*k <= 0 {
			continue
		}
		n.x += (l.xx*tiltX + l.xy*tiltY) / k
		n.y += (l.xy*tiltX + l.yy*tiltY) / k
		n.weight *= share * k
		s.nodes = append(s.nodes, n)
	}
}

// lumped is a lower bound of what critical gives, as near as few lumps come to it, or any above the limit; 0 says nothing.
func (s *Support) lumped(p *pull, limit float64) float64 {
	if s.grip.lumps == nil || s.webs.force > 0 {
		return 0
	}
	r := newSurface()
	defer r.discard()
	r.addLumps(&s.grip, p.friction*(1-p.stands.rest), p.stands.tiltX, p.stands.tiltY)
	r.addLumps(&s.tack, p.tack, 0, 0)
	s.addPoint(r, p)
	// The exact search may end short of the true value.
	const short = 1 - 2*surfaceGap
	lower, _, _ := s.search(p, r, span{high: limit / short})
	return lower * short
}
