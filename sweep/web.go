package sweep

import (
	"slices"
	"sort"
)

// maxWebCells bounds the size of the network of one web, maxSkinCells that of a skin; larger ones are measured by rings.
const (
	maxWebCells  = 1 << 15
	maxSkinCells = 1 << 12
)

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
	tiled[[tileArea]int32] // number + 1; 0 for none
}

func (x *cellIndex) get(i, k int) (int32, bool) {
	t := x.tiles[i]
	if t == nil || t[k] == 0 {
		return 0, false
	}
	return t[k] - 1, true
}

// beside gives the number of the neighbour of cell k of tile i; dir as for cells.side.
func (x *cellIndex) beside(c *cells, i, k, dir int) (int32, bool) {
	if inside(k) {
		n := x.tiles[i][k+inTile[dir]]
		return n - 1, n != 0
	}
	if ni, nk, ok := c.side(i, k, dir); ok {
		return x.get(ni, nk)
	}
	return 0, false
}

func (x *cellIndex) set(i, k int, n int32) { x.at(i)[k] = n + 1 }

// webCell is a cell of a web in its network.
type webCell struct {
	i, k int
	h    fix
	cut  tick
	core bool // next to the hung set
	rest bool // next to other material above web height
}

// survey measures the webs round one hung set after the other. Its memory is used again.
type survey struct {
	s *setup
	c *cells

	h     *hang
	snap  snapshot // as it is at the moment asked for; its core is the hung set
	cores []int32  // tiles with cells of the hung set
	webs  []int32  // tiles with cells of the web at hand
	edges int      // sides of cells at which the set ends

	cells int // of the web at hand
	ways  tiled[ways]
	queue []int32
	level [haloSide * haloSide]int32 // scratch of levels

	index cellIndex // of the web at hand, if it is small
	list  []webCell // tile by tile
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
	v.snap.reset(c, c.blankAt(ri, rk), h.when)
	v.snap.flood(ri, rk, solidOf, coreOf)
	v.cores, v.webs = append(v.cores[:0], v.snap.found...), v.webs[:0]
	for _, e := range v.rim() {
		if i, k := int(e>>(2*tileBits)), int(e&(tileArea-1)); !v.snap.at(i).seen.has(k) {
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
		h.shape = v.coreMask()
	}
}

// rim counts the sides at which the hung set ends, and lists the cells of webs there.
func (v *survey) rim() (out []int64) {
	v.edges = 0
	for _, tile := range v.cores {
		i := int(tile)
		for _, d := range sides {
			beside := v.snap.beside(i, d[0], d[1], coreOf)
			v.edges += v.snap.at(i).core.less(&beside).count()
		}
	}
	for _, tile := range slices.Clone(v.snap.shots.used) {
		i := int(tile)
		if !v.snap.at(i).web.any() {
			continue
		}
		var touched cellSet
		for _, d := range sides {
			beside := v.snap.beside(i, d[0], d[1], coreOf)
			touched = touched.or(&beside)
		}
		touched = touched.and(&v.snap.at(i).web)
		touched.each(func(k int) { out = append(out, repOf(i, k)) })
	}
	return out
}

func (c *cells) labelOf(i, k int) int32 {
	if t := c.tiles[i]; t != nil {
		return t.label[k]
	}
	return c.plain[i].label
}

// coreMask marks the cells of the hung set that are still there at the end.
func (v *survey) coreMask() *mask {
	e := noExtent
	for _, tile := range v.cores {
		v.snap.at(int(tile)).core.each(func(k int) { e = e.with(v.c.place(int(tile), k)) })
	}
	m := &mask{e: e, w: int(e.x1-e.x0) + 3, h: int(e.y1-e.y0) + 3}
	m.in = make([]uint8, m.w*m.h)
	for _, tile := range v.cores {
		v.snap.at(int(tile)).core.each(func(k int) {
			if _, cut := v.c.goneAt(int(tile), k); cut == tickNever {
				x, y := v.c.place(int(tile), k)
				m.in[(int(y-e.y0)+1)*m.w+int(x-e.x0)+1] = 1
			}
		})
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
	across, last := v.depth()
	w = Web{Kind: Tab, LengthMM: float64(across) * v.s.grid.CellMM}
	if 2*touch > v.edges {
		w.Kind = Skin
	}
	if v.cells > maxWebCells || w.Kind == Skin && v.cells > maxSkinCells {
		w.rings(v, last)
	} else {
		v.number()
		w.section(v)
	}
	return w, true
}

// gather finds the cells of a web. touch counts the sides on which they meet the set; other tells whether they lead to
// other material above web height.
func (v *survey) gather(i, k int) (touch int, other bool) {
	for _, tile := range v.webs {
		v.snap.at(int(tile)).now = cellSet{}
	}
	v.snap.flood(i, k, webOf, nowOf)
	v.webs, v.cells = append(v.webs[:0], v.snap.found...), 0
	for _, tile := range v.webs {
		i := int(tile)
		shot := v.snap.at(i)
		shot.seen = shot.seen.or(&shot.now)
		shot.inner, shot.outer = cellSet{}, cellSet{}
		for _, d := range sides {
			in, all := v.snap.beside(i, d[0], d[1], coreOf), v.snap.beside(i, d[0], d[1], solidOf)
			all = all.less(&in).and(&shot.now)
			in = in.and(&shot.now)
			touch += in.count()
			shot.inner, shot.outer = shot.inner.or(&in), shot.outer.or(&all)
		}
		other = other || shot.outer.any()
		v.cells += shot.now.count()
	}
	return touch, other
}

// number lists the cells of the web.
func (v *survey) number() {
	v.index.reset(len(v.c.tiles))
	v.list = v.list[:0]
	for _, tile := range v.webs {
		i := int(tile)
		shot, t := v.snap.at(i), v.c.tiles[i]
		shot.now.each(func(k int) {
			v.index.set(i, k, int32(len(v.list)))
			v.list = append(v.list, webCell{i, k, t.webHeight(k), t.cut[k], shot.inner.has(k), shot.outer.has(k)})
		})
	}
}

// webHeight gives the height of a cell as a web.
func (t *tile) webHeight(k int) fix {
	if t.cut[k] != tickNever {
		return t.thin.h[k]
	}
	return t.h[k]
}
