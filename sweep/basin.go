package sweep

import (
	"cmp"
	"math"
	"slices"
)

// order is the moment of a cell, by which all cells follow each other: the tick in the upper half; below, what parts cells of one
// tick. 0 stands for no material.
type order uint64

const orderNever = order(tickNever) << 32

func (o order) tick() tick { return tick(o >> 32) }

// Labels while the basins are sought: upward less the direction (as for cells.side) to the latest neighbour, or summit.
const (
	upward int32 = noNode - 1
	summit int32 = upward - 4
)

// pass is the latest place in a tile at which two basins touch.
type pass struct {
	at   order
	cell uint32 // slot and place of the earlier of the two cells
	a, b int32  // leaves; a < b
}

// neck is a cell whose removal parts its own surroundings as far as the eight cells round it tell.
type neck struct {
	at   order
	cell uint32
}

func fallingPasses(a, b pass) int {
	return -cmp.Or(cmp.Compare(a.at, b.at), cmp.Compare(a.cell, b.cell), cmp.Compare(a.a, b.a), cmp.Compare(a.b, b.b))
}

func fallingNecks(a, b neck) int {
	return -cmp.Or(cmp.Compare(a.at, b.at), cmp.Compare(a.cell, b.cell))
}

// latest are the last cells of a leaf, as many as tell a crumb from a grown set, the latest first.
type latest [crumbCells]order

func (l *latest) add(at order) {
	for n := range l {
		if at > l[n] {
			at, l[n] = l[n], at
		}
	}
}

// after counts the cells that outlast a moment.
func (l *latest) after(at order) (n int64) {
	for _, o := range l {
		if o > at {
			n++
		}
	}
	return n
}

// seeker is one worker's memory.
type seeker struct {
	near    halo
	summits []uint32
	necks   []neck
	passes  []pass
	pairs   []pass // of the tile at hand
	latest  []latest
	sums    []sums
}

// sums are what the cells of a node add up to.
type sums struct {
	size, sx, sy int64
	same         int64 // cells cut by the move that ends the node
	rim          bool
}

func (s *sums) add(o *sums) {
	s.size, s.sx, s.sy, s.same, s.rim = s.size+o.size, s.sx+o.sx, s.sy+o.sy, s.same+o.same, s.rim || o.rim
}

// putBack finds the nodes of the cells that are cut, in place of those of an earlier call. Cells in held have a moment of their own.
func (f *forest) putBack(jobs int, held map[uint32]tick) {
	f.nodes, f.meets, f.necks = append(f.nodes[:0], f.stay...), f.meets[:0], f.necks[:0]
	for id, at := range held {
		gone := f.level(f.c.list[id>>(2*tileBits)])
		held[id], gone[id&(tileArea-1)] = gone[id&(tileArea-1)], at
	}
	lasting := f.holdForGood(held)
	workers := make([]seeker, max(1, jobs))
	share(jobs, len(f.c.list), func(worker, slot int) { workers[worker].ascend(f, slot) })
	f.plantSummits(workers)
	f.follow()
	for i := range workers {
		workers[i].latest = make([]latest, len(f.nodes))
	}
	share(jobs, len(f.c.list), func(worker, slot int) { workers[worker].findPasses(f, slot) })
	f.join(workers)
	paths := f.paths()
	for i := range workers {
		workers[i].sums = make([]sums, len(f.nodes))
	}
	share(jobs, len(f.c.list), func(worker, slot int) { workers[worker].label(f, paths, slot) })
	for _, id := range lasting {
		label := &f.c.list[id>>(2*tileBits)].label[id&(tileArea-1)]
		*label = f.settled(*label)
	}
	f.sum(workers)
	for id, at := range held {
		gone := f.level(f.c.list[id>>(2*tileBits)])
		held[id], gone[id&(tileArea-1)] = gone[id&(tileArea-1)], at
	}
}

// holdForGood makes leaves of cells that are held to the end.
func (f *forest) holdForGood(held map[uint32]tick) (ids []uint32) {
	for id := range held {
		if f.level(f.c.list[id>>(2*tileBits)])[id&(tileArea-1)] == tickNever {
			ids = append(ids, id)
		}
	}
	slices.Sort(ids)
	for _, id := range ids {
		leaf := f.plant(id)
		x, y := f.c.whereIs(f.tileOf, id)
		n := &f.nodes[leaf]
		n.size, n.sx, n.sy = 1, int64(x), int64(y)
		n.rim = f.atRim(int(f.tileOf[id>>(2*tileBits)]), int(id&(tileArea-1)))
	}
	return ids
}

// plant makes a cell a leaf.
func (f *forest) plant(id uint32) int32 {
	slot, k := id>>(2*tileBits), int(id&(tileArea-1))
	i := int(f.tileOf[slot])
	leaf := f.add(f.c.blankAt(i, k), repOf(i, k))
	f.c.list[slot].label[k] = leaf
	return leaf
}

// orderOf gives the order of cell k of tile i.
func (f *forest) orderOf(i, k int) order {
	t := f.c.tiles[i]
	switch {
	case t != nil:
		return f.orderIn(t.slot, k, f.level(t)[k])
	case f.c.plain[i].blank < 0:
		return 0
	}
	return orderNever
}

// orderIn gives the order of cell k of a tile with memory that is gone at a tick.
func (f *forest) orderIn(slot int32, k int, at tick) order {
	id := uint32(slot)<<(2*tileBits) | uint32(k)
	switch {
	case at < firstTick:
		return 0
	case f.stands.maybe(at):
		if low, ok := f.stands.low(at, id); ok {
			return order(at)<<32 | order(low)
		}
	}
	return order(at)<<32 | order(id)
}

func (f *forest) orderOfRep(rep int64) order {
	return f.orderOf(int(rep>>(2*tileBits)), int(rep&(tileArea-1)))
}

// halo is a tile with a border of one cell all round.
type halo struct {
	at    [haloSide * haloSide]order
	blank [haloSide * haloSide]int16
	mixed bool // cells of different blanks may touch
}

const haloSide = tileSide + 2

// load reads tile i and what lies round it.
func (h *halo) load(f *forest, i int) {
	c := f.c
	own := c.plain[i].blank
	h.mixed = own == mixed
	t := c.tiles[i]
	for k, at := range f.level(t) {
		h.at[inHalo(k)] = f.orderIn(t.slot, k, at)
	}
	for dy := -1; dy <= 1; dy++ {
		for dx := -1; dx <= 1; dx++ {
			if dx == 0 && dy == 0 {
				continue
			}
			j, ok := c.tileBeside(i, dx, dy)
			if ok {
				u := c.plain[j].blank
				h.mixed = h.mixed || u == mixed || u >= 0 && u != own
			}
			border(dx, dy, func(k, p int) {
				h.at[p] = 0
				if ok {
					h.at[p] = f.orderOf(j, k)
				}
			})
		}
	}
	if !h.mixed {
		return
	}
	for k := range tileArea {
		h.blank[inHalo(k)] = c.blankAt(i, k)
	}
	for dy := -1; dy <= 1; dy++ {
		for dx := -1; dx <= 1; dx++ {
			if j, ok := c.tileBeside(i, dx, dy); ok && (dx != 0 || dy != 0) {
				border(dx, dy, func(k, p int) { h.blank[p] = c.blankAt(j, k) })
			}
		}
	}
}

// inHalo gives the place of cell k in the halo of its tile.
func inHalo(k int) int { return (k>>tileBits+1)*haloSide + k&tileMask + 1 }

// border lists the cells of the tile dx, dy away that lie in a halo, with their places there.
func border(dx, dy int, cell func(k, p int)) {
	for y := max(0, -dy*tileMask); y <= min(tileMask, tileMask-dy*tileMask); y++ {
		for x := max(0, -dx*tileMask); x <= min(tileMask, tileMask-dx*tileMask); x++ {
			cell(y<<tileBits|x, (y+dy*tileSide+1)*haloSide+x+dx*tileSide+1)
		}
	}
}

// tileBeside gives the tile dx, dy (-1, 0 or 1) away.
func (c *cells) tileBeside(i, dx, dy int) (j int, ok bool) {
	x, y := i%c.tx+dx, i/c.tx+dy
	return y*c.tx + x, x >= 0 && x < c.tx && y >= 0 && y < c.ty
}

// later gives the order of place n if it holds material of the blank of place p that outlasts p, else 0.
func (h *halo) later(p, n int) order {
	if o := h.at[n]; o > h.at[p] && (!h.mixed || h.blank[n] == h.blank[p]) {
		return o
	}
	return 0
}

// haloStep is the step to a neighbour; dir as for cells.side.
var haloStep = [4]int{1, haloSide, -1, -haloSide}

// ascend points every cell of a tile that is cut to its latest neighbour and looks for necks.
func (w *seeker) ascend(f *forest, slot int) {
	t := f.c.list[slot]
	i := int(f.tileOf[slot])
	gone := f.level(t)
	loaded := false
	for k, at := range gone {
		if at < firstTick {
			t.label[k] = noNode
			continue
		}
		if at == tickNever {
			continue
		}
		if !loaded {
			w.near.load(f, i)
			loaded = true
		}
		p := inHalo(k)
		best, way, sides := w.near.latest(p)
		id := uint32(slot)<<(2*tileBits) | uint32(k)
		switch {
		case best == 0:
			t.label[k] = summit
			w.summits = append(w.summits, id)
		case best >= orderNever:
			ni, nk, _ := f.c.side(i, k, way)
			t.label[k] = f.c.labelOf(ni, nk)
		default:
			t.label[k] = upward - int32(way)
		}
		if f.seekNecks && sides > 1 && w.near.isNeck(p, sides) {
			w.necks = append(w.necks, neck{w.near.at[p], id})
		}
	}
}

// latest gives the order of the latest neighbour of a place, 0 if none outlasts it, the way there, and how many do.
func (h *halo) latest(p int) (best order, way, sides int) {
	own := h.at[p]
	for dir, step := range haloStep {
		o := h.at[p+step]
		if o <= own || h.mixed && h.blank[p+step] != h.blank[p] {
			continue
		}
		sides++
		if o > best {
			best, way = o, dir
		}
	}
	return best, way, sides
}

// isNeck tells whether the later neighbours of a place, sides of them, fall apart into several groups without it, looking no further
// than the eight cells round it.
func (h *halo) isNeck(p, sides int) bool {
	joined := 0
	for dir, step := range haloStep {
		next := haloStep[(dir+1)&3]
		if h.later(p, p+step) != 0 && h.later(p, p+next) != 0 && h.later(p, p+step+next) != 0 {
			joined++
		}
	}
	return sides-joined > 1
}

// plantSummits makes leaves of the cells that outlast all round them.
func (f *forest) plantSummits(workers []seeker) {
	var all []uint32
	for i := range workers {
		all = append(all, workers[i].summits...)
	}
	slices.Sort(all)
	for _, id := range all {
		f.plant(id)
	}
}

// follow gives every cell the leaf at the end of its way.
func (f *forest) follow() {
	c := f.c
	var way []*int32
	for slot, t := range c.list {
		for k := range t.label {
			if t.label[k] >= noNode {
				continue
			}
			i, at, tt := int(f.tileOf[slot]), k, t
			way = way[:0]
			for tt.label[at] < noNode {
				l := &tt.label[at]
				way = append(way, l)
				dir := int(upward - *l)
				if inside(at) {
					at += inTile[dir]
					continue
				}
				i, at, _ = c.side(i, at, dir)
				tt = c.tiles[i]
			}
			leaf := tt.label[at]
			for _, l := range way {
				*l = leaf
			}
		}
	}
}

// findPasses finds where the basins in a tile touch others to the right and above, and the latest cells of small leaves.
func (w *seeker) findPasses(f *forest, slot int) {
	c, t, i := f.c, f.c.list[slot], int(f.tileOf[slot])
	gone := f.level(t)
	w.pairs = w.pairs[:0]
	for k, a := range t.label {
		if a == noNode {
			continue
		}
		if at := gone[k]; at != tickNever && f.nodes[a].size < crumbCells {
			if l := &w.latest[a]; at >= l[crumbCells-1].tick() {
				l.add(f.orderIn(t.slot, k, at))
			}
		}
		if k&tileMask != tileMask {
			if b := t.label[k+1]; b != a {
				w.touch(f, i, k, i, k+1)
			}
		} else if ni, nk, ok := c.side(i, k, 0); ok && c.labelOf(ni, nk) != a {
			w.touch(f, i, k, ni, nk)
		}
		if k < tileArea-tileSide {
			if b := t.label[k+tileSide]; b != a {
				w.touch(f, i, k, i, k+tileSide)
			}
		} else if ni, nk, ok := c.side(i, k, 1); ok && c.labelOf(ni, nk) != a {
			w.touch(f, i, k, ni, nk)
		}
	}
	w.passes = append(w.passes, w.pairs...)
}

// touch enters a pair of neighbours that differ, if both have leaves.
func (w *seeker) touch(f *forest, i, k, ni, nk int) {
	a, b := f.c.labelOf(i, k), f.c.labelOf(ni, nk)
	if b == noNode || f.c.blankAt(i, k) != f.c.blankAt(ni, nk) {
		return
	}
	at, other := f.orderOf(i, k), f.orderOf(ni, nk)
	if other < at && f.c.tiles[ni] != nil {
		at, i, k = other, ni, nk
	}
	p := pass{at, uint32(f.c.tiles[i].slot)<<(2*tileBits) | uint32(k), min(a, b), max(a, b)}
	for n := range w.pairs {
		if q := &w.pairs[n]; q.a == p.a && q.b == p.b {
			if p.at > q.at {
				*q = p
			}
			return
		}
	}
	w.pairs = append(w.pairs, p)
}

// join lets the basins meet in order of falling time.
func (f *forest) join(workers []seeker) {
	var passes []pass
	var necks []neck
	f.small = make([]latest, len(f.nodes))
	for i := range workers {
		w := &workers[i]
		passes, necks = append(passes, w.passes...), append(necks, w.necks...)
		for leaf := range w.latest {
			for _, at := range w.latest[leaf] {
				if at > 0 {
					f.small[leaf].add(at)
				}
			}
		}
		*w = seeker{}
	}
	slices.SortFunc(passes, fallingPasses)
	slices.SortFunc(necks, fallingNecks)
	f.crumbs = make([][]int32, len(f.nodes))
	for i := range f.nodes {
		if f.nodes[i].size < crumbCells {
			f.crumbs[i] = []int32{int32(i)}
		}
	}
	var sets []int32
	for n := 0; n < len(passes); {
		p := passes[n]
		for len(necks) > 0 && necks[0].at >= p.at {
			f.seeNeck(necks[0])
			necks = necks[1:]
		}
		sets = sets[:0]
		for ; n < len(passes) && passes[n].at == p.at && passes[n].cell == p.cell; n++ {
			for _, leaf := range [2]int32{passes[n].a, passes[n].b} {
				if root := f.find(leaf); !slices.Contains(sets, root) {
					sets = append(sets, root)
				}
			}
		}
		if len(sets) > 1 {
			f.meet(sets, p.at, p.cell)
		}
	}
	for _, n := range necks {
		f.seeNeck(n)
	}
}

// seeNeck keeps a neck whose sides are one set at its moment.
func (f *forest) seeNeck(n neck) {
	i, k := int(f.tileOf[n.cell>>(2*tileBits)]), int(n.cell&(tileArea-1))
	root := noNode
	for dir := range 4 {
		ni, nk, ok := f.c.side(i, k, dir)
		if !ok || f.orderOf(ni, nk) <= n.at || f.c.blankAt(ni, nk) != f.c.blankAt(i, k) {
			continue
		}
		r := f.find(f.c.labelOf(ni, nk))
		if root != noNode && r != root {
			return
		}
		root = r
	}
	f.necks = append(f.necks, uint64(n.at.tick())<<32|uint64(n.cell))
}

// sizeAt gives the cells of a root that outlast a moment, as many as tell a crumb from a grown set.
func (f *forest) sizeAt(root int32, at order) (size int64) {
	if f.crumbs[root] == nil {
		return crumbCells
	}
	for _, leaf := range f.crumbs[root] {
		size += f.nodes[leaf].size + f.small[leaf].after(at)
	}
	if size >= crumbCells {
		f.crumbs[root] = nil // it stays grown
	}
	return min(size, crumbCells)
}

// meet joins sets at a cell. Crumbs are taken in by the largest; two or more grown sets make a new node.
func (f *forest) meet(sets []int32, at order, cell uint32) {
	var grown []int32
	big, bigSize := noNode, int64(0)
	for _, s := range sets {
		size := f.sizeAt(s, at)
		if size >= crumbCells {
			grown = append(grown, s)
			if at >= orderNever {
				size = f.nodes[s].size
			}
		}
		if size > bigSize || size == bigSize && f.outlasts(s, big) {
			big, bigSize = s, size
		}
	}
	root := big
	// Sets that hang together to the end were never apart.
	split := len(grown) > 1 && at < orderNever
	if split {
		root = f.add(f.nodes[big].blank, noRep)
		f.crumbs = append(f.crumbs, nil)
		f.meets = append(f.meets, meeting{root, grown, at.tick(), cell, int32(f.c.clock.move(at.tick()))})
	}
	for _, s := range sets {
		if s == root {
			continue
		}
		n := &f.nodes[s]
		n.up = root
		if split && slices.Contains(grown, s) {
			n.met, n.end, n.move = root, at, f.meets[len(f.meets)-1].move
			continue
		}
		n.alias = root
		if f.crumbs[root] != nil && f.crumbs[s] != nil {
			f.crumbs[root] = append(f.crumbs[root], f.crumbs[s]...)
		} else {
			f.crumbs[root] = nil
		}
	}
}

// outlasts tells whether the last cell of a crumb is cut later than that of another; leaves that stay come first.
func (f *forest) outlasts(a, b int32) bool {
	if f.crumbs[a] == nil || f.crumbs[b] == nil || f.nodes[a].size > 0 || f.nodes[b].size > 0 {
		return a < b
	}
	return f.small[a][0] > f.small[b][0]
}

// paths lead from every node towards the root of its tree.
type paths struct {
	end        []order // of a node, when it goes into the next; 0 for roots
	next, skip []int32
	same       []tick // first tick after the move that ends the node
	settled    []int32
}

// paths sets the skips so that a way of n nodes takes some log n of them (Myers, 1983).
func (f *forest) paths() *paths {
	n := len(f.nodes)
	p := &paths{make([]order, n), make([]int32, n), make([]int32, n), make([]tick, n), make([]int32, n)}
	depth := make([]int32, n)
	for i := n - 1; i >= 0; i-- { // sets go into later nodes
		p.settled[i] = f.settled(int32(i))
		next := f.nodes[i].met
		if next == noNode {
			p.next[i], p.skip[i] = int32(i), int32(i)
			continue
		}
		p.end[i], p.next[i], p.skip[i], depth[i] = f.nodes[i].end, next, next, depth[next]+1
		if s := p.skip[next]; depth[next]-depth[s] == depth[s]-depth[p.skip[s]] {
			p.skip[i] = p.skip[s]
		}
	}
	for _, m := range f.meets {
		for _, kid := range m.kids {
			p.same[kid] = f.c.clock.first[m.move+1]
		}
	}
	return p
}

// nodeAt gives the node that a leaf is part of when a cell joins it.
func (p *paths) nodeAt(leaf int32, at order) int32 {
	n := p.settled[leaf]
	for p.end[n] >= at {
		if s := p.skip[n]; p.end[s] >= at {
			n = s
		} else {
			n = p.next[n]
		}
	}
	return n
}

// label gives the cells of a tile their nodes and sums them up.
func (w *seeker) label(f *forest, p *paths, slot int) {
	c, t, i := f.c, f.c.list[slot], int(f.tileOf[slot])
	x0, y0 := int64(i%c.tx)<<tileBits, int64(i/c.tx)<<tileBits
	nearRim := c.nearRim(i)
	leaf, node, high := noNode, noNode, order(0)
	var run sums
	for k, at := range f.level(t) {
		if at < firstTick || at == tickNever {
			continue
		}
		o := f.orderIn(t.slot, k, at)
		if t.label[k] != leaf || o > high || o <= p.end[node] {
			if node != noNode {
				w.sums[node].add(&run)
			}
			leaf, run = t.label[k], sums{}
			node, high = p.nodeAt(leaf, o), o
		}
		t.label[k] = node
		run.size++
		run.sx += x0 + int64(k&tileMask)
		run.sy += y0 + int64(k>>tileBits)
		if at < p.same[node] {
			run.same++
		}
		if nearRim && !run.rim {
			run.rim = f.atRim(i, k)
		}
	}
	if node != noNode {
		w.sums[node].add(&run)
	}
}

// sum gives the nodes what their cells add up to, with those of the sets that went into them.
func (f *forest) sum(workers []seeker) {
	all := workers[0].sums
	for i := range workers[1:] {
		for n := range all {
			all[n].add(&workers[1+i].sums[n])
		}
	}
	for i := range f.nodes {
		n := &f.nodes[i]
		if to := f.settled(int32(i)); to != int32(i) {
			all[to].add(&sums{size: n.size, sx: n.sx, sy: n.sy, rim: n.rim})
		} else {
			all[i].add(&sums{size: n.size, sx: n.sx, sy: n.sy, rim: n.rim})
		}
	}
	for i := range f.meets {
		m := &f.meets[i]
		root := &all[m.node]
		var big int64
		for _, kid := range m.kids {
			s := all[kid]
			if n, rep := &f.nodes[m.node], f.nodes[kid].rep; n.rep == noRep || s.size > big || s.size == big && f.orderOfRep(rep) > f.orderOfRep(n.rep) {
				n.rep, big = rep, s.size
			}
			if m.move != f.nodes[m.node].move {
				s.same = 0
			}
			root.add(&s)
		}
	}
	for i := range f.nodes {
		n, s := &f.nodes[i], &all[i]
		n.size, n.sx, n.sy, n.rim, n.solid = s.size, s.sx, s.sy, s.rim, s.size-s.same
	}
}

// stands tells the ticks in which a tool goes straight down. In such a tick the cells count as cut from its middle outwards: a bridge
// that it leaves beside other cuts or at the rim shows as a neck then.
type stands struct {
	seldom []uint64 // a bit for each standBucket ticks; nil if nobody asks
	far    func(at tick, id uint32) (cells2 float64, ok bool)
}

const standBucket = 64

// maybe is quick and true for more ticks than needed.
func (s *stands) maybe(at tick) bool {
	n := at / standBucket
	return int(n/64) < len(s.seldom) && s.seldom[n/64]>>(n%64)&1 != 0
}

func (s *stands) enter(first, end tick) {
	for n := first / standBucket; n <= (end-1)/standBucket; n++ {
		for int(n/64) >= len(s.seldom) {
			s.seldom = append(s.seldom, 0)
		}
		s.seldom[n/64] |= 1 << (n % 64)
	}
}

// low parts the cells of one tick: by their distance from the tool, to a ten-thousandth, then by their place in the tile.
func (s *stands) low(at tick, id uint32) (uint32, bool) {
	far, ok := s.far(at, id)
	return math.Float32bits(float32(far))&^(tileArea-1) | id&(tileArea-1), ok
}
