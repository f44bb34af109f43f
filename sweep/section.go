package sweep

import (
	"math"
	"slices"

	"github.com/paulmach/orb"
)

// depth gives the number of cells between the set and the rest: the median over the rest's border, since the place where the
// set came apart is narrower than the others at that moment.
func (v *survey) depth() int32 {
	c, list, queue := v.c, v.list, v.queue[:0]
	defer func() { v.queue = queue[:0] }()
	var across []int32
	for n := range list {
		if list[n].core {
			list[n].far, list[n].thin = 1, list[n].h
			queue = append(queue, int32(n))
		}
	}
	for next := 0; next < len(queue); next++ {
		w := &list[queue[next]]
		if w.rest {
			across = append(across, w.far)
		}
		for dir := 0; dir < 4; dir++ {
			m, ok := v.index.beside(c, w.i, w.k, dir)
			switch {
			case !ok:
			case list[m].far < 0:
				list[m].far, list[m].thin = w.far+1, min(w.thin, list[m].h)
				queue = append(queue, m)
			case list[m].far == w.far+1:
				list[m].thin = min(w.thin, list[m].thin)
			}
		}
	}
	if len(across) == 0 {
		return 1
	}
	slices.Sort(across)
	return across[len(across)/2]
}

// place puts the web in the middle of its cells and notes when they are cut.
func (w *Web) place(v *survey) {
	c, list := v.c, v.list
	var sx, sy float64
	begin, gone := tickNever, tick(0)
	for n := range list {
		x, y := c.place(list[n].i, list[n].k)
		sx, sy = sx+float64(x), sy+float64(y)
		begin, gone = min(begin, list[n].cut), max(gone, list[n].cut)
	}
	n := float64(len(list))
	w.At = orb.Point{v.s.grid.OriginX + (sx/n+0.5)*v.s.grid.CellMM, v.s.grid.OriginY + (sy/n+0.5)*v.s.grid.CellMM}
	w.Begin, w.Gone = c.clock.progress(begin), c.clock.progress(gone)
}

// rings measures a large web by cuts that run round the set at equal distance, as cells go: the shortest of them, times the
// mean over all ways outwards of the least height on the way. Where the outline has inward corners the smallest cut may
// round them off, by less than a tenth of its length.
func (w *Web) rings(v *survey) {
	list := v.list
	w.place(v)
	last := int32(0)
	var ways float64
	n := 0
	for i := range list {
		last = max(last, list[i].far)
		if list[i].rest && list[i].far > 0 {
			ways += list[i].thin.mm()
			n++
		}
	}
	// step[d] is what ring d has more than ring d-1; ring d parts the cells at most d from the set from the others.
	step := make([]int64, last+2)
	pair := func(b, a int32, weight int64) {
		switch {
		case b == 0 || b > a:
			step[min(a, b)] += weight
			step[max(a, b)] -= weight
		}
	}
	for n := 0; n < len(list); {
		near := v.levels(list[n].i, last+1)
		for tile := list[n].i; n < len(list) && list[n].i == tile; n++ {
			at := inHalo(list[n].k)
			a := near[at]
			if a <= 0 {
				continue
			}
			for dir, step := range haloStep {
				pair(near[at+step], a, weightAxis)
				pair(near[at+step+haloStep[(dir+1)&3]], a, weightCorner)
			}
		}
	}
	least, sum := int64(math.MaxInt64), int64(0)
	for d := int32(0); d <= last; d++ {
		sum += step[d]
		least = min(least, sum)
	}
	if n == 0 || least <= 0 {
		return
	}
	w.WidthMM = float64(least) / 1024 * v.s.grid.CellMM
	w.ThicknessMM = ways / float64(n)
	w.SectionMM2 = w.WidthMM * w.ThicknessMM
}

// levels gives for the cells of tile i and those round it, as in a halo, how far they are from the set: 0 for the set itself, beyond for
// other material above web height, -1 where there is nothing or what cannot be reached.
func (v *survey) levels(i int, beyond int32) *[haloSide * haloSide]int32 {
	out := &v.level
	for n := range out {
		out[n] = -1
	}
	for dy := -1; dy <= 1; dy++ {
		for dx := -1; dx <= 1; dx++ {
			j, ok := v.c.tileBeside(i, dx, dy)
			if !ok {
				continue
			}
			shot, number := v.snap.at(j), v.index.tiles[j]
			inHaloFrom(dx, dy, func(k, p int) {
				switch {
				case shot.core.has(k):
					out[p] = 0
				case shot.solid.has(k):
					out[p] = beyond
				case number != nil && number[k] != 0:
					out[p] = v.list[number[k]-1].far
				}
			})
		}
	}
	return out
}

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
