package sweep

import (
	"math"

	"github.com/paulmach/orb"
)

// Weights of the neighbours along an axis and across a corner, in 1/1024 of a cell: with them the sum over a cut comes
// within 6 % of its length whatever its direction (Boykov and Kolmogorov, 2003: pi/8 and pi/(8 sqrt 2)).
const (
	weightAxis   = 402
	weightCorner = 284
)

// network lays edges between neighbouring cells of the web, along the axes and across the corners: node 0 is the set, 1 the
// rest, n+2 cell n.
func (v *survey) network() *cutGraph {
	c, list := v.c, v.list
	g := newCutGraph(len(list) + 2)
	around := func(n int, visit func(m int32, corner bool)) {
		a := &list[n]
		for dir := 0; dir < 2; dir++ {
			if m, ok := v.index.beside(c, a.i, a.k, dir); ok {
				visit(m, false)
			}
		}
		// The two corners above: up then right, up then left.
		if ui, uk, ok := c.side(a.i, a.k, 1); ok {
			for _, dir := range [2]int{0, 2} {
				if ni, nk, ok := c.side(ui, uk, dir); ok {
					if m, ok := v.index.get(ni, nk); ok {
						visit(m, true)
					}
				}
			}
		}
	}
	for n := range list {
		if list[n].core {
			g.join(0, int32(n)+2, (weightAxis+2*weightCorner)*int64(list[n].h))
		}
		if list[n].rest {
			g.join(int32(n)+2, 1, (weightAxis+2*weightCorner)*int64(list[n].h))
		}
		around(n, func(m int32, corner bool) {
			h := int64(min(list[n].h, list[m].h))
			if corner {
				g.join(int32(n)+2, m+2, weightCorner*h)
			} else {
				g.join(int32(n)+2, m+2, weightAxis*h)
			}
		})
	}
	return g
}

// section finds the smallest section by a minimum cut between the set and the rest. The cut's place comes from the
// network; its length from its steps: a straight cut with a steps along X and b along Y is sqrt(a^2+b^2) cells long, a
// closed one is measured by the weights.
func (w *Web) section(v *survey) {
	c, list := v.c, v.list
	side := v.network().cut()
	var steps [2]int // across X, across Y
	var high, sx, sy float64
	begin, gone := tickNever, tick(0)
	cross := func(x, y float64, dir int, h fix, cut tick) {
		steps[dir]++
		high += h.mm()
		sx, sy = sx+x, sy+y
		begin, gone = min(begin, cut), max(gone, cut)
	}
	for n := range list {
		a := &list[n]
		x0, y0 := c.place(a.i, a.k)
		x, y := float64(x0), float64(y0)
		inside := side[n+2]
		for dir := 0; dir < 4; dir++ {
			ni, nk, ok := c.side(a.i, a.k, dir)
			if !ok {
				continue
			}
			mx, my := x+[4]float64{0.5, 0, -0.5, 0}[dir], y+[4]float64{0, 0.5, 0, -0.5}[dir]
			m, web := v.index.get(ni, nk)
			switch {
			case web && inside && !side[m+2]:
				cross(mx, my, dir&1, min(a.h, list[m].h), min(a.cut, list[m].cut))
			case !web:
				gw, cut := c.goneAt(ni, nk)
				if cut <= v.h.when || gw <= v.h.when {
					continue
				}
				if inside != v.snap.at(ni).core.has(nk) {
					cross(mx, my, dir&1, a.h, a.cut)
				}
			}
		}
	}
	n := float64(steps[0] + steps[1])
	if n == 0 {
		return
	}
	if w.Kind == Skin {
		w.WidthMM = v.around8(side) * v.s.grid.CellMM
	} else {
		// Only steps between two cells of the web count: at each end the cut loses half of a step's width seen along it.
		a, b := float64(steps[0]), float64(steps[1])
		long := math.Hypot(a, b)
		w.WidthMM = (long + 2*a*b/(long*n)) * v.s.grid.CellMM
	}
	w.ThicknessMM = high / n
	w.SectionMM2 = w.WidthMM * w.ThicknessMM
	w.At = orb.Point{v.s.grid.OriginX + (sx/n+0.5)*v.s.grid.CellMM, v.s.grid.OriginY + (sy/n+0.5)*v.s.grid.CellMM}
	w.Begin, w.Gone = c.clock.progress(begin), c.clock.progress(gone)
}

// around8 measures a cut in cells by the pairs of neighbours that it parts, along the axes and across the corners, with the
// weights of the network.
func (v *survey) around8(side []bool) float64 {
	c, list := v.c, v.list
	const none, inner, outer = 0, 1, 2
	of := func(i, k int) (which int, web bool) {
		if m, ok := v.index.get(i, k); ok {
			if side[m+2] {
				return inner, true
			}
			return outer, true
		}
		if v.snap.at(i).core.has(k) {
			return inner, false
		}
		if gw, _ := c.goneAt(i, k); gw > v.h.when {
			return outer, false
		}
		return none, false
	}
	sum := 0.0
	count := func(a int, i, k int, weight float64) {
		b, web := of(i, k)
		if b == none || b == a {
			return
		}
		if web {
			weight /= 2 // the other cell counts the pair as well
		}
		sum += weight
	}
	for n := range list {
		a, _ := of(list[n].i, list[n].k)
		for dir := range 4 {
			ni, nk, ok := c.side(list[n].i, list[n].k, dir)
			if !ok {
				continue
			}
			count(a, ni, nk, weightAxis)
			if ci, ck, ok := c.side(ni, nk, (dir+1)&3); ok {
				count(a, ci, ck, weightCorner)
			}
		}
	}
	return sum / 1024
}
