package sweep

import (
	"sort"
)

// maxWebCells bounds the size of the network of one web, maxSkinCells that of a skin; larger ones are measured by rings.
const (
	maxWebCells  = 1 << 15
	maxSkinCells = 1 << 12
)

// flood walks over cells that hang together.
type flood struct {
	c    *cells
	seen map[int]*[tileArea / 64]uint64
	near int
	last *[tileArea / 64]uint64
}

func newFlood(c *cells) *flood {
	return &flood{c: c, seen: map[int]*[tileArea / 64]uint64{}, near: -1}
}

func (f *flood) at(i int) *[tileArea / 64]uint64 {
	if i != f.near {
		f.near, f.last = i, f.seen[i]
	}
	return f.last
}

func (f *flood) visit(i, k int) bool {
	b := f.at(i)
	if b == nil {
		b = new([tileArea / 64]uint64)
		f.seen[i], f.last = b, b
	}
	if b[k>>6]&(1<<(k&63)) != 0 {
		return false
	}
	b[k>>6] |= 1 << (k & 63)
	return true
}

func (f *flood) has(i, k int) bool {
	b := f.at(i)
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

// cellIndex numbers cells of the grid.
type cellIndex struct {
	tiles map[int]*[tileArea]int32 // number + 1; 0 for none
	near  int
	last  *[tileArea]int32
}

func newCellIndex() *cellIndex { return &cellIndex{tiles: map[int]*[tileArea]int32{}, near: -1} }

func (x *cellIndex) at(i int) *[tileArea]int32 {
	if i != x.near {
		x.near, x.last = i, x.tiles[i]
	}
	return x.last
}

func (x *cellIndex) get(i, k int) (int32, bool) {
	t := x.at(i)
	if t == nil || t[k] == 0 {
		return 0, false
	}
	return t[k] - 1, true
}

func (x *cellIndex) set(i, k int, n int32) {
	t := x.at(i)
	if t == nil {
		t = new([tileArea]int32)
		x.tiles[i], x.last = t, t
	}
	t[k] = n + 1
}

// webCell is a cell of a web in its network.
type webCell struct {
	i, k int
	h    fix
	cut  tick
	core bool  // next to the hung set
	rest bool  // next to other material above web height
	far  int32 // cells from the set; -1 when not reached
	thin fix   // least height on the way from there
}

// webBench keeps what one worker uses again from web to web.
type webBench struct {
	list, more []webCell
	queue      []int32
}

// measureHang finds whose core a hung set is, the set as it stood when it was hung (or as it is at the end, if it still
// hangs), and the webs round it.
func measureHang(s *setup, c *cells, h *hang, tools *webBench) {
	core := newFlood(c)
	ri, rk := int(h.rep>>(2*tileBits)), int(h.rep&(tileArea-1))
	label := c.labelOf(ri, rk)
	h.in = c.tree.pieceAt(label, h.at)
	for l := label; l != h.in && l > 0; l = c.tree.parent[l] {
		h.owner = l // the child on the way that is freed first
	}
	h.when = h.at
	if h.owner == 0 {
		// What hangs to the end is told as it is at the end: a skin may have become tabs by then.
		h.when = tickNever - 1
		if web, _ := c.goneAt(ri, rk); web <= h.when {
			return
		}
	}
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
			if web > h.when {
				if core.visit(ni, nk) {
					queue = append(queue, repOf(ni, nk))
				}
				continue
			}
			edges++
			if cut > h.when {
				rim = append(rim, repOf(ni, nk))
			}
		}
	}
	seen := newFlood(c)
	for _, e := range rim {
		if i, k := int(e>>(2*tileBits)), int(e&(tileArea-1)); !seen.has(i, k) {
			if w, ok := measureWeb(s, c, h, core, seen, i, k, edges, tools); ok {
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

// measureWeb gathers the web that cell k of tile i is part of, as it stood at the moment asked for, and measures it. ok is
// false when it leads nowhere.
func measureWeb(s *setup, c *cells, h *hang, core, seen *flood, i, k, edges int, tools *webBench) (Web, bool) {
	blank := c.blankAt(i, k)
	index := newCellIndex()
	index.set(i, k, 0)
	list := append(tools.list[:0], webCell{i: i, k: k})
	defer func() { tools.list = list[:0] }()
	seen.visit(i, k)
	touch := 0
	other := false
	for n := 0; n < len(list); n++ {
		w := &list[n]
		t := c.tiles[w.i]
		w.cut, w.h, w.far = t.cut[w.k], t.h[w.k], -1
		if w.cut != tickNever {
			w.h = t.thin.h[w.k]
		}
		more := tools.more[:0]
		for dir := 0; dir < 4; dir++ {
			ni, nk, ok := c.side(w.i, w.k, dir)
			if !ok || c.blankAt(ni, nk) != blank {
				continue
			}
			web, cut := c.goneAt(ni, nk)
			switch {
			case web < firstTick || cut <= h.when:
			case web > h.when && core.has(ni, nk):
				w.core = true
				touch++
			case web > h.when:
				w.rest = true
			case seen.visit(ni, nk):
				index.set(ni, nk, int32(len(list)+len(more)))
				more = append(more, webCell{i: ni, k: nk})
			}
		}
		other = other || w.rest
		list = append(list, more...)
		tools.more = more[:0]
	}
	if touch == 0 || !other {
		return Web{}, false
	}
	cell := s.grid.CellMM
	web := Web{Kind: Tab, LengthMM: float64(depth(c, list, index, tools)) * cell}
	if 2*touch > edges {
		web.Kind = Skin
	}
	if len(list) > maxWebCells || web.Kind == Skin && len(list) > maxSkinCells {
		web.rings(s, c, list, index, core, h)
		return web, true
	}
	web.section(s, c, list, index, core, h)
	return web, true
}
