package sweep

import (
	"sort"
)

// maxWebCells bounds the size of the network of one web, maxSkinCells that of a skin; larger ones are measured by rings.
const (
	maxWebCells  = 1 << 15
	maxSkinCells = 1 << 12
)

// flood marks cells, tile by tile.
type flood struct {
	seen  []*[tileArea / 64]uint64 // by tile; nil where nothing is marked
	used  []int32                  // tiles with marks
	spare []*[tileArea / 64]uint64
}

// reset takes all marks away; tiles is the number of tiles of the grid.
func (f *flood) reset(tiles int) {
	if len(f.seen) != tiles {
		f.seen, f.used = make([]*[tileArea / 64]uint64, tiles), f.used[:0]
	}
	for _, i := range f.used {
		clear(f.seen[i][:])
		f.spare = append(f.spare, f.seen[i])
		f.seen[i] = nil
	}
	f.used = f.used[:0]
}

// visit marks cell k of tile i and tells whether it had no mark.
func (f *flood) visit(i, k int) bool {
	b := f.seen[i]
	if b == nil {
		if n := len(f.spare); n > 0 {
			b, f.spare = f.spare[n-1], f.spare[:n-1]
		} else {
			b = new([tileArea / 64]uint64)
		}
		f.seen[i], f.used = b, append(f.used, int32(i))
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

// cellIndex numbers cells of the grid.
type cellIndex struct {
	tiles []*[tileArea]int32 // number + 1; 0 for none
	used  []int32
	spare []*[tileArea]int32
}

// reset takes all numbers away; tiles is the number of tiles of the grid.
func (x *cellIndex) reset(tiles int) {
	if len(x.tiles) != tiles {
		x.tiles, x.used = make([]*[tileArea]int32, tiles), x.used[:0]
	}
	for _, i := range x.used {
		clear(x.tiles[i][:])
		x.spare = append(x.spare, x.tiles[i])
		x.tiles[i] = nil
	}
	x.used = x.used[:0]
}

func (x *cellIndex) get(i, k int) (int32, bool) {
	t := x.tiles[i]
	if t == nil || t[k] == 0 {
		return 0, false
	}
	return t[k] - 1, true
}

func (x *cellIndex) set(i, k int, n int32) {
	t := x.tiles[i]
	if t == nil {
		if n := len(x.spare); n > 0 {
			t, x.spare = x.spare[n-1], x.spare[:n-1]
		} else {
			t = new([tileArea]int32)
		}
		x.tiles[i], x.used = t, append(x.used, int32(i))
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

// survey measures the webs round one hung set after the other. Its memory is used again.
type survey struct {
	s *setup
	c *cells

	h     *hang
	core  flood // the hung set
	seen  flood // cells of the webs looked at
	edges int   // sides of cells at which the set ends

	index      cellIndex // of the web at hand
	list, more []webCell
	queue      []int32
	walk       []int64
	rim        []int64 // cells of webs next to the set
}

// measure finds whose core a hung set is, the set as it stood when it was hung (or as it is at the end, if it still
// hangs), and the webs round it.
func (v *survey) measure(h *hang) {
	c := v.c
	v.h = h
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
	ext := v.fill(ri, rk)
	v.seen.reset(len(c.tiles))
	for _, e := range v.rim {
		if i, k := int(e>>(2*tileBits)), int(e&(tileArea-1)); !v.seen.has(i, k) {
			if w, ok := v.web(i, k); ok {
				h.webs = append(h.webs, w)
			}
		}
	}
	sort.SliceStable(h.webs, func(i, j int) bool {
		a, b := h.webs[i].At, h.webs[j].At
		return a[1] < b[1] || a[1] == b[1] && a[0] < b[0]
	})
	if h.owner == 0 && len(h.webs) > 0 {
		h.shape = coreMask(c, &v.core, ext)
	}
}

// fill walks over the hung set from cell rk of tile ri and gives its extent.
func (v *survey) fill(ri, rk int) extent {
	c, when := v.c, v.h.when
	v.core.reset(len(c.tiles))
	v.edges, v.rim = 0, v.rim[:0]
	blank := c.blankAt(ri, rk)
	queue := append(v.walk[:0], repOf(ri, rk))
	defer func() { v.walk = queue[:0] }()
	v.core.visit(ri, rk)
	ext := noExtent
	for len(queue) > 0 {
		e := queue[len(queue)-1]
		queue = queue[:len(queue)-1]
		i, k := int(e>>(2*tileBits)), int(e&(tileArea-1))
		ext = ext.with(c.place(i, k))
		for dir := 0; dir < 4; dir++ {
			ni, nk, ok := c.side(i, k, dir)
			if !ok {
				v.edges++
				continue
			}
			web, cut := c.goneAt(ni, nk)
			if web < firstTick || c.blankAt(ni, nk) != blank {
				v.edges++
				continue
			}
			if web > when {
				if v.core.visit(ni, nk) {
					queue = append(queue, repOf(ni, nk))
				}
				continue
			}
			v.edges++
			if cut > when {
				v.rim = append(v.rim, repOf(ni, nk))
			}
		}
	}
	return ext
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
	for _, tile := range core.used {
		i, b := int(tile), core.seen[tile]
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

// web gathers the web that cell k of tile i is part of, as it stood at the moment asked for, and measures it. ok is
// false when it leads nowhere.
func (v *survey) web(i, k int) (w Web, ok bool) {
	touch, other := v.gather(i, k)
	if touch == 0 || !other {
		return Web{}, false
	}
	w = Web{Kind: Tab, LengthMM: float64(v.depth()) * v.s.grid.CellMM}
	if 2*touch > v.edges {
		w.Kind = Skin
	}
	if len(v.list) > maxWebCells || w.Kind == Skin && len(v.list) > maxSkinCells {
		w.rings(v)
	} else {
		w.section(v)
	}
	return w, true
}

// gather lists the cells of a web. touch counts the sides on which they meet the set; other tells whether they lead to
// other material above web height.
func (v *survey) gather(i, k int) (touch int, other bool) {
	c, when := v.c, v.h.when
	blank := c.blankAt(i, k)
	v.index.reset(len(c.tiles))
	v.index.set(i, k, 0)
	list := append(v.list[:0], webCell{i: i, k: k})
	v.seen.visit(i, k)
	for n := 0; n < len(list); n++ {
		w := &list[n]
		t := c.tiles[w.i]
		w.cut, w.h, w.far = t.cut[w.k], t.h[w.k], -1
		if w.cut != tickNever {
			w.h = t.thin.h[w.k]
		}
		more := v.more[:0]
		for dir := 0; dir < 4; dir++ {
			ni, nk, ok := c.side(w.i, w.k, dir)
			if !ok || c.blankAt(ni, nk) != blank {
				continue
			}
			web, cut := c.goneAt(ni, nk)
			switch {
			case web < firstTick || cut <= when:
			case web > when && v.core.has(ni, nk):
				w.core = true
				touch++
			case web > when:
				w.rest = true
			case v.seen.visit(ni, nk):
				v.index.set(ni, nk, int32(len(list)+len(more)))
				more = append(more, webCell{i: ni, k: nk})
			}
		}
		other = other || w.rest
		list = append(list, more...)
		v.more = more[:0]
	}
	v.list = list
	return touch, other
}
