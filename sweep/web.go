package sweep

import (
	"math"
	"slices"
	"sort"

	"github.com/paulmach/orb"
)

// maxWebCells bounds the size of the network of one web. A larger web is a skin, and its section is measured along the
// border of the piece, which is within a kerf's width of the smallest one.
const maxWebCells = 1 << 15

// flood walks over cells that hang together.
type flood struct {
	c    *cells
	seen map[int]*[tileArea / 64]uint64
}

func (f *flood) visit(i, k int) bool {
	b := f.seen[i]
	if b == nil {
		b = new([tileArea / 64]uint64)
		f.seen[i] = b
	}
	if b[k>>6]&(1<<(k&63)) != 0 {
		return false
	}
	b[k>>6] |= 1 << (k & 63)
	return true
}

func (f *flood) has(i, k int) bool {
	b := f.seen[i]
	return b != nil && b[k>>6]&(1<<(k&63)) != 0
}

// goneAt gives the moments at which a cell fell to web height and at which it was cut through.
func (c *cells) goneAt(i, k int) (web, cut tick) {
	if t := c.tiles[i]; t != nil {
		return webLevel(t)[k], t.cut[k]
	}
	switch c.plain[i].blank {
	case noBlank:
		return tickOutside, tickOutside
	case holeBlank:
		return tickHole, tickHole
	}
	return tickNever, tickNever
}

func (c *cells) place(i, k int) (x, y int32) {
	return int32(i%c.tx)<<tileBits + int32(k&tileMask), int32(i/c.tx)<<tileBits + int32(k>>tileBits)
}

// webCell is a cell of a web in its network.
type webCell struct {
	i, k int
	h    fix
	cut  tick
	core bool // next to the hung set
	rest bool // next to other material above web height
	far  int32
}

// measureHang finds the hung set as it stood when it was hung, the webs round it, and whose core it is.
func measureHang(s *setup, c *cells, h *hang) {
	core := &flood{c: c, seen: map[int]*[tileArea / 64]uint64{}}
	ri, rk := int(h.rep>>(2*tileBits)), int(h.rep&(tileArea-1))
	blank := c.blankAt(ri, rk)
	queue := []int64{h.rep}
	core.visit(ri, rk)
	ext := noExtent
	var rim []int64 // web cells next to the set
	edges := 0
	for len(queue) > 0 {
		e := queue[len(queue)-1]
		queue = queue[:len(queue)-1]
		i, k := int(e>>(2*tileBits)), int(e&(tileArea-1))
		ext = ext.with(c.place(i, k))
		for dir := 0; dir < 4; dir++ {
			ni, nk, ok := c.side(i, k, dir)
			if !ok {
				edges++
				continue
			}
			web, cut := c.goneAt(ni, nk)
			if web < firstTick || c.blankAt(ni, nk) != blank {
				edges++
				continue
			}
			if web > h.at {
				if core.visit(ni, nk) {
					queue = append(queue, repOf(ni, nk))
				}
				continue
			}
			edges++
			if cut > h.at {
				rim = append(rim, repOf(ni, nk))
			}
		}
	}
	label := c.labelOf(ri, rk)
	h.in = c.tree.pieceAt(label, h.at)
	for l := label; l != h.in && l > 0; l = c.tree.parent[l] {
		h.owner = l // the child on the way that is freed first
	}
	seen := &flood{c: c, seen: map[int]*[tileArea / 64]uint64{}}
	for _, e := range rim {
		if i, k := int(e>>(2*tileBits)), int(e&(tileArea-1)); !seen.has(i, k) {
			if w, ok := measureWeb(s, c, h, core, seen, i, k, edges); ok {
				h.webs = append(h.webs, w)
			}
		}
	}
	sort.SliceStable(h.webs, func(i, j int) bool {
		a, b := h.webs[i].At, h.webs[j].At
		return a[1] < b[1] || a[1] == b[1] && a[0] < b[0]
	})
	if h.owner == 0 && len(h.webs) > 0 {
		h.shape = coreMask(c, core, ext)
	}
}

func (c *cells) labelOf(i, k int) int32 {
	if t := c.tiles[i]; t != nil {
		return t.label[k]
	}
	return c.plain[i].label
}

// coreMask marks the cells of a set that are still there at the end.
func coreMask(c *cells, core *flood, e extent) *mask {
	m := &mask{e: e, w: int(e.x1-e.x0) + 3, h: int(e.y1-e.y0) + 3}
	m.in = make([]uint8, m.w*m.h)
	for i, b := range core.seen {
		for k := 0; k < tileArea; k++ {
			if b[k>>6]&(1<<(k&63)) == 0 {
				continue
			}
			if _, cut := c.goneAt(i, k); cut == tickNever {
				x, y := c.place(i, k)
				m.in[(int(y-e.y0)+1)*m.w+int(x-e.x0)+1] = 1
			}
		}
	}
	return m
}

// measureWeb gathers the web that cell k of tile i is part of, as it stood when the set was hung, and measures it. ok is
// false when it leads nowhere.
func measureWeb(s *setup, c *cells, h *hang, core, seen *flood, i, k, edges int) (Web, bool) {
	blank := c.blankAt(i, k)
	index := map[int64]int32{repOf(i, k): 0}
	list := []webCell{{i: i, k: k}}
	seen.visit(i, k)
	touch := 0
	other := false
	var coreH int64
	for n := 0; n < len(list); n++ {
		w := &list[n]
		t := c.tiles[w.i]
		w.cut, w.h, w.far = t.cut[w.k], t.h[w.k], -1
		if w.cut != tickNever {
			w.h = t.thin.h[w.k]
		}
		var more []webCell
		for dir := 0; dir < 4; dir++ {
			ni, nk, ok := c.side(w.i, w.k, dir)
			if !ok || c.blankAt(ni, nk) != blank {
				continue
			}
			web, cut := c.goneAt(ni, nk)
			switch {
			case web < firstTick || cut <= h.at:
			case web > h.at && core.has(ni, nk):
				w.core = true
				touch++
				coreH += int64(w.h)
			case web > h.at:
				w.rest = true
			case seen.visit(ni, nk):
				index[repOf(ni, nk)] = int32(len(list) + len(more))
				more = append(more, webCell{i: ni, k: nk})
			}
		}
		other = other || w.rest
		list = append(list, more...)
	}
	if touch == 0 || !other {
		return Web{}, false
	}
	cell := s.grid.CellMM
	web := Web{Kind: Tab, LengthMM: float64(depth(c, list, index)) * cell}
	if 2*touch > edges {
		web.Kind = Skin
	}
	if len(list) > maxWebCells {
		// touch counts the steps of the border: 4/pi times its length in the mean over all directions.
		web.Kind = Skin
		web.WidthMM = float64(touch) * cell * math.Pi / 4
		web.ThicknessMM = float64(coreH) / float64(touch) / fixPerMM
		web.SectionMM2 = web.WidthMM * web.ThicknessMM
		web.place(s, c, list, h)
		return web, true
	}
	web.section(s, c, list, index, core, h)
	return web, true
}

// depth gives the number of cells between the set and the rest: the median over the rest's border, since the place where the
// set came apart is narrower than the others at that moment.
func depth(c *cells, list []webCell, index map[int64]int32) int32 {
	var queue, across []int32
	for n := range list {
		if list[n].core {
			list[n].far = 1
			queue = append(queue, int32(n))
		}
	}
	for next := 0; next < len(queue); next++ {
		w := &list[queue[next]]
		if w.rest {
			across = append(across, w.far)
		}
		for dir := 0; dir < 4; dir++ {
			ni, nk, ok := c.side(w.i, w.k, dir)
			if !ok {
				continue
			}
			if m, ok := index[repOf(ni, nk)]; ok && list[m].far < 0 {
				list[m].far = w.far + 1
				queue = append(queue, m)
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
func (w *Web) place(s *setup, c *cells, list []webCell, h *hang) {
	var sx, sy float64
	begin, gone := tickNever, tick(0)
	for n := range list {
		x, y := c.place(list[n].i, list[n].k)
		sx, sy = sx+float64(x), sy+float64(y)
		begin, gone = min(begin, list[n].cut), max(gone, list[n].cut)
	}
	n := float64(len(list))
	w.At = orb.Point{s.grid.OriginX + (sx/n+0.5)*s.grid.CellMM, s.grid.OriginY + (sy/n+0.5)*s.grid.CellMM}
	w.Begin, w.Gone = c.clock.progress(begin), c.clock.progress(gone)
}

// Weights of the neighbours along an axis and across a corner, in 1/1024 of a cell: with them the sum over a cut comes
// within 6 % of its length whatever its direction (Boykov and Kolmogorov, 2003: pi/8 and pi/(8 sqrt 2)).
const (
	weightAxis   = 402
	weightCorner = 284
)

// section finds the smallest section by a minimum cut between the set and the rest. The cut's place comes from the
// network; its length from its steps: a straight cut with a steps along X and b along Y is sqrt(a^2+b^2) cells long, a
// closed one is measured by the weights.
func (w *Web) section(s *setup, c *cells, list []webCell, index map[int64]int32, core *flood, h *hang) {
	g := newCutGraph(len(list) + 2)
	around := func(n int, visit func(m int32, corner bool)) {
		a := &list[n]
		for dir := 0; dir < 2; dir++ {
			ni, nk, ok := c.side(a.i, a.k, dir)
			if !ok {
				continue
			}
			if m, ok := index[repOf(ni, nk)]; ok {
				visit(m, false)
			}
		}
		// The two corners above: up then right, up then left.
		if ui, uk, ok := c.side(a.i, a.k, 1); ok {
			for _, dir := range [2]int{0, 2} {
				if ni, nk, ok := c.side(ui, uk, dir); ok {
					if m, ok := index[repOf(ni, nk)]; ok {
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
	side := g.cut()
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
			m, web := index[repOf(ni, nk)]
			switch {
			case web && inside && !side[m+2]:
				cross(mx, my, dir&1, min(a.h, list[m].h), min(a.cut, list[m].cut))
			case !web:
				gw, cut := c.goneAt(ni, nk)
				if cut <= h.at || gw <= h.at {
					continue
				}
				if inside != core.has(ni, nk) {
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
		w.WidthMM = around8(c, list, index, side, core, h) * s.grid.CellMM
	} else {
		// Only steps between two cells of the web count: at each end the cut loses half of a step's width seen along it.
		a, b := float64(steps[0]), float64(steps[1])
		long := math.Hypot(a, b)
		w.WidthMM = (long + 2*a*b/(long*n)) * s.grid.CellMM
	}
	w.ThicknessMM = high / n
	w.SectionMM2 = w.WidthMM * w.ThicknessMM
	w.At = orb.Point{s.grid.OriginX + (sx/n+0.5)*s.grid.CellMM, s.grid.OriginY + (sy/n+0.5)*s.grid.CellMM}
	w.Begin, w.Gone = c.clock.progress(begin), c.clock.progress(gone)
}

// around8 measures a cut in cells by the pairs of neighbours that it parts, along the axes and across the corners, with the
// weights of the network.
func around8(c *cells, list []webCell, index map[int64]int32, side []bool, core *flood, h *hang) float64 {
	const none, inner, outer = 0, 1, 2
	of := func(i, k int) (which int, web bool) {
		if m, ok := index[repOf(i, k)]; ok {
			if side[m+2] {
				return inner, true
			}
			return outer, true
		}
		if core.has(i, k) {
			return inner, false
		}
		if gw, _ := c.goneAt(i, k); gw > h.at {
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
