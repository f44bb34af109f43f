package sweep

import (
	"math"

	"github.com/paulmach/orb"

	"staydown/parse"
)

// moveIndex finds the moves near a place.
type moveIndex struct {
	boxes  []orb.Bound // of each move, grown by its tool; empty where it cannot cut
	groups []orb.Bound // of 64 moves each
}

func newMoveIndex(s *setup) *moveIndex {
	ix := &moveIndex{boxes: make([]orb.Bound, len(s.moves)), groups: make([]orb.Bound, (len(s.moves)+63)/64)}
	never := orb.Bound{Min: orb.Point{math.Inf(1), math.Inf(1)}, Max: orb.Point{math.Inf(-1), math.Inf(-1)}}
	for i := range ix.groups {
		ix.groups[i] = never
	}
	for i := range s.moves {
		m := &s.moves[i]
		c := s.cutters[m.Tool]
		if m.Kind == parse.Dwell || c == nil || lowestZ(m)-s.stock.BottomMM >= s.top {
			ix.boxes[i] = never
			continue
		}
		b := orb.Bound{Min: orb.Point{m.Start.X, m.Start.Y}, Max: orb.Point{m.Start.X, m.Start.Y}}
		b = b.Extend(orb.Point{m.End.X, m.End.Y})
		if m.Kind == parse.Arc {
			r, _ := arcShape(m)
			b = b.Union(orb.Bound{Min: orb.Point{m.Centre.X - r, m.Centre.Y - r}, Max: orb.Point{m.Centre.X + r, m.Centre.Y + r}})
		}
		b = b.Pad(c.r)
		ix.boxes[i] = b
		g := &ix.groups[i/64]
		if g.Min[0] > g.Max[0] {
			*g = b
		} else {
			*g = g.Union(b)
		}
	}
	return ix
}

// each calls f for the moves near a box in the order of the program.
func (ix *moveIndex) each(b orb.Bound, f func(move int)) {
	for g := range ix.groups {
		if !ix.groups[g].Intersects(b) {
			continue
		}
		for i := g * 64; i < min(len(ix.boxes), g*64+64); i++ {
			if ix.boxes[i].Intersects(b) {
				f(i)
			}
		}
	}
}

// window sweeps the surroundings of a cell again on a finer grid and gives the last moment at which two of the kids
// hang together there, and the cells on the bridge. It is cramped when the bridge outlives the last cells of a side that
// the window shows. ok is false where the kids never hang together.
func (b *bridges) window(cx, cy, w int, kids []int32) (at tick, bridge []uint32, cramped, ok bool) {
	g := b.s.grid
	x0, y0 := max(0, cx-w), max(0, cy-w)
	x1, y1 := min(g.NX-1, cx+w), min(g.NY-1, cy+w)
	fine := Grid{
		OriginX: g.OriginX + float64(x0)*g.CellMM, OriginY: g.OriginY + float64(y0)*g.CellMM,
		CellMM: g.CellMM / fineness, NX: (x1 - x0 + 1) * fineness, NY: (y1 - y0 + 1) * fineness,
	}
	c := sweepAgain(b.s, b.c, fine, b.near)
	v := newVoid(c, fine)
	for y := y0; y <= y1; y++ {
		for x := x0; x <= x1; x++ {
			if l := b.c.node(x, y); l != noNode {
				if kid := b.f.kidOf(l, kids); kid >= 0 {
					v.mark((x-x0)*fineness+fineness/2, (y-y0)*fineness+fineness/2, kid)
				}
			}
		}
	}
	at, cramped, ok = v.fill()
	if !ok {
		return 0, nil, false, false
	}
	seen := map[uint32]bool{}
	for _, n := range v.path(at) {
		x, y := x0+n%v.w/fineness, y0+n/v.w/fineness
		t, k := b.c.at(x, y)
		if t == nil {
			continue
		}
		id := uint32(t.slot)<<(2*tileBits) | uint32(k)
		if cut := t.cut[k]; !seen[id] && cut >= firstTick && cut < max(at, 1) && cut != tickNever {
			seen[id] = true
			bridge = append(bridge, id)
		}
	}
	return at, bridge, cramped, true
}

// sweepAgain runs the moves near a small grid over it.
func sweepAgain(s *setup, coarse *cells, g Grid, near *moveIndex) *cells {
	c := &cells{
		tx: (g.NX + tileSide - 1) / tileSide, ty: (g.NY + tileSide - 1) / tileSide,
		tops: coarse.tops, clock: coarse.clock,
	}
	c.tiles, c.plain = make([]*tile, c.tx*c.ty), make([]uniform, c.tx*c.ty)
	c.lay(g, rasterBlanks(g, s.stock), len(s.stock.Blanks))
	local := *s
	local.grid, local.opt.Jobs = g, 1
	d := newDriver(&local, c)
	d.quiet = true
	near.each(g.box(), func(i int) {
		d.add(i)
		if d.n >= chunkSamples || len(d.segs) >= chunkSegs {
			d.flush()
		}
	})
	d.flush()
	return c
}

// void is a small raster on which sets of cells are joined in order of falling time.
type void struct {
	w, h  int
	cut   []tick
	blank []int16
	up    []int32
	kid   []int8 // of a root: which side it belongs to, plus 1
	mine  []int8 // of a cell: it is a place of that side, plus 1
}

func newVoid(c *cells, g Grid) *void {
	v := &void{w: g.NX, h: g.NY}
	n := v.w * v.h
	v.cut, v.blank, v.up = make([]tick, n), make([]int16, n), make([]int32, n)
	v.kid, v.mine = make([]int8, n), make([]int8, n)
	for y := 0; y < v.h; y++ {
		for x := 0; x < v.w; x++ {
			i := y*v.w + x
			v.cut[i] = c.cutTick(x, y)
			v.blank[i] = c.blankAt((y>>tileBits)*c.tx+x>>tileBits, (y&tileMask)<<tileBits|x&tileMask)
			v.up[i] = -1
		}
	}
	return v
}

func (v *void) mark(x, y, kid int) { v.mine[y*v.w+x] = int8(kid + 1) }

func (v *void) find(i int32) int32 {
	for v.up[i] != i {
		v.up[i] = v.up[v.up[i]]
		i = v.up[i]
	}
	return i
}

// fill puts the cells back until two sides meet; cramped when the cell that joins them is a mark of one of them.
func (v *void) fill() (at tick, cramped, ok bool) {
	var events []uint64
	for i, cut := range v.cut {
		switch {
		case cut == tickNever:
			if v.put(int32(i)) {
				return tickNever, false, true
			}
		case cut >= firstTick:
			events = append(events, uint64(cut)<<32|uint64(i))
		}
	}
	events = sortByTick(events, make([]uint64, len(events)))
	for n := len(events) - 1; n >= 0; n-- {
		if i := uint32(events[n]); v.put(int32(i)) {
			return tick(events[n] >> 32), v.mine[i] != 0, true
		}
	}
	return 0, false, false
}

// put returns one cell; true when that joins two sides.
func (v *void) put(i int32) bool {
	v.up[i], v.kid[i] = i, v.mine[i]
	x, y := int(i)%v.w, int(i)/v.w
	met := false
	join := func(n int32) {
		if v.up[n] < 0 || v.blank[n] != v.blank[i] {
			return
		}
		a, b := v.find(i), v.find(n)
		if a == b {
			return
		}
		if a > b {
			a, b = b, a
		}
		met = met || v.kid[a] != 0 && v.kid[b] != 0 && v.kid[a] != v.kid[b]
		v.up[b] = a
		v.kid[a] = max(v.kid[a], v.kid[b])
	}
	if x > 0 {
		join(i - 1)
	}
	if x < v.w-1 {
		join(i + 1)
	}
	if y > 0 {
		join(i - int32(v.w))
	}
	if y < v.h-1 {
		join(i + int32(v.w))
	}
	return met
}

// path gives a chain of cells that stand until at and lead from one side to another: breadth first, so a shortest one.
func (v *void) path(at tick) []int {
	from := make([]int32, v.w*v.h)
	start := make([]int8, v.w*v.h)
	var queue []int
	for i := range v.mine {
		from[i] = -1
		if v.mine[i] != 0 && v.cut[i] >= at {
			start[i], from[i] = v.mine[i], int32(i)
			queue = append(queue, i)
		}
	}
	back := func(i int) (out []int) {
		for ; from[i] != int32(i); i = int(from[i]) {
			out = append(out, i)
		}
		return append(out, i)
	}
	for len(queue) > 0 {
		i := queue[0]
		queue = queue[1:]
		x, y := i%v.w, i/v.w
		for d := 0; d < 4; d++ {
			nx, ny := x+[4]int{1, 0, -1, 0}[d], y+[4]int{0, 1, 0, -1}[d]
			if nx < 0 || ny < 0 || nx >= v.w || ny >= v.h {
				continue
			}
			n := ny*v.w + nx
			if v.cut[n] < at || v.cut[n] < firstTick || v.blank[n] != v.blank[i] {
				continue
			}
			if start[n] == 0 {
				start[n], from[n] = start[i], int32(i)
				queue = append(queue, n)
			} else if start[n] != start[i] {
				return append(back(i), back(n)...)
			}
		}
	}
	return nil
}
