package sweep

import (
	"cmp"
	"math"
	"slices"

	"staydown/sweep/parallel"
)

// Pieces are found by reading time backwards: material only ever disappears, so putting the cells back in order of
// falling cut time only ever joins sets (disjoint sets in order of falling value: the merge tree of scalar topology;
// Carr, Snoeyink and Axen, 2003). Where grown sets come together a new node begins; read forwards, such a merge is a
// split.
//
//	time ->   1   2   3   4         cells 2 and 3 come back last: the last cell between two sets merges them
//	       [A][4][3][B]             and A, B, AB are the nodes; AB splits into A and B at 3
//
// What it does not know: bridges thinner than a cell. Those are looked for at every merge on a finer grid (see
// bridges).

// node is a set of cells between two merges. The first nodes are those of the sets that stay, the others follow in
// order of falling time. The sums are those of the set with all that was merged into it.
type node struct {
	sums
	same  int64 // cells cut by the move under way at the latest cell; of a merged set, by the move of the merge
	last  int32 // move of the latest cell
	move  int32 // that is under way when the node ends; noMove if it does not
	up    int32 // disjoint-set parent (compressed on the way); itself for a root
	alias int32 // the node that took this one in as a fragment; itself if none
	met   int32 // the node of the merge that ends it; noNode if none
	rep   int64 // a cell of the set that outlives the others' joining: tile index and place
	blank int16 // the blank it is part of
}

// sums are what cells add up to.
type sums struct {
	size   int64 // cells
	sx, sy int64 // sums of their indices
	rim    bool  // one touches the outer rim of its blank
}

func (s *sums) add(o *sums) {
	s.size, s.sx, s.sy, s.rim = s.size+o.size, s.sx+o.sx, s.sy+o.sy, s.rim || o.rim
}

// solid counts the cells that outlast the move of the merge that ends the node.
func (n *node) solid() int64 { return n.size - n.same }

// meeting is where grown sets come together: read forwards, a split.
type meeting struct {
	node int32   // that begins here
	kids []int32 // sets that met
	at   tick    // when, a moment at which the kids were set apart
	cell uint32  // slot and place of the cell that joined them
	move int32   // that was under way
}

// noNode marks cells that belong to no set (yet), noMove no move.
const (
	noNode int32 = -1
	noMove int32 = -1
)

// pageCells is about how many cells are sorted at once: few enough for the cache, so many that two threads rarely wait.
const pageCells = 1 << 16

// putBack finds the nodes of the cells that are cut, in place of those of an earlier call. Cells in held have a moment
// of their own.
func (f *forest) putBack(jobs int, held map[uint32]tick) {
	f.nodes, f.meets, f.necks = append(f.nodes[:0], f.stay...), f.meets[:0], f.necks[:0]
	if f.pages == nil {
		f.layPages(jobs)
	} else {
		f.forget(jobs)
	}
	f.swap(held)
	defer f.swap(held)
	for _, id := range f.heldForGood(held) {
		f.put(id, tickNever)
	}
	f.last = len(f.c.clock.first) - 1
	// One page is sorted while the one before it is put back. Two lists go to and fro.
	sorted, spare := make(chan []uint64), make(chan []uint64, 2)
	spare <- make([]uint64, 0, 2*pageCells)
	spare <- make([]uint64, 0, 2*pageCells)
	go func() {
		defer close(sorted)
		for n := len(f.pages) - 1; n >= 0; n-- {
			sorted <- f.sortPage(n, held, (<-spare)[:0])
		}
	}()
	for page := range sorted {
		for n := len(page) - 1; n >= 0; n-- {
			f.put(uint32(page[n]), tick(page[n]>>32))
		}
		spare <- page
	}
	for i := range f.nodes {
		if n := &f.nodes[i]; n.met == noNode && n.alias == int32(i) {
			n.same = 0
		}
	}
}

// forget takes the cells that are cut out of their sets again.
func (f *forest) forget(jobs int) {
	parallel.ForRuns(jobs, len(f.c.list), tileRun, func(_, slot int) {
		t := f.c.list[slot]
		for k, at := range &t.cut {
			if at != tickNever {
				t.label[k] = noNode
			}
		}
	})
}

// tileRun is how many tiles a worker takes at once.
const tileRun = 64

// swap exchanges the moments of cells.
func (f *forest) swap(held map[uint32]tick) {
	for id, at := range held {
		gone := &f.c.list[id>>(2*tileBits)].cut
		held[id], gone[id&(tileArea-1)] = gone[id&(tileArea-1)], at
	}
}

// heldForGood lists the cells that are held to the end, the last first.
func (f *forest) heldForGood(held map[uint32]tick) (ids []uint32) {
	for id := range held {
		if f.goneTick(id) == tickNever {
			ids = append(ids, id)
		}
	}
	slices.Sort(ids)
	slices.Reverse(ids)
	return ids
}

func (f *forest) goneTick(id uint32) tick {
	return f.c.list[id>>(2*tileBits)].cut[id&(tileArea-1)]
}

// layPages spreads the cells that are cut over pages of time.
func (f *forest) layPages(jobs int) {
	c := f.c
	cells := make([]int, len(c.list))
	f.nearRim = make([]bool, len(c.list))
	parallel.ForRuns(jobs, len(c.list), tileRun, func(_, slot int) {
		f.nearRim[slot] = c.nearRim(int(f.c.tileOf[slot]))
		for _, at := range &c.list[slot].cut {
			if at >= firstTick && at != tickNever {
				cells[slot]++
			}
		}
	})
	all := 0
	for _, n := range cells {
		all += n
	}
	pages := tick(1 + all/pageCells)
	f.pageTicks = 1 + (c.clock.first[len(c.clock.first)-1]-firstTick)/pages
	workers := make([][][]uint32, max(1, jobs))
	parallel.ForRuns(jobs, len(c.list), tileRun, func(worker, slot int) {
		if workers[worker] == nil {
			workers[worker] = make([][]uint32, pages)
		}
		t, out := c.list[slot], workers[worker]
		for k, at := range &t.cut {
			if at >= firstTick && at != tickNever {
				n := f.pageOf(at)
				if out[n] == nil {
					out[n] = make([]uint32, 0, 2*pageCells/jobs)
				}
				out[n] = append(out[n], t.id(k))
			}
		}
	})
	f.pages = make([][][]uint32, pages)
	for n := range f.pages {
		for _, w := range workers {
			if w != nil {
				f.pages[n] = append(f.pages[n], w[n])
			}
		}
	}
}

func (f *forest) pageOf(at tick) tick { return (at - firstTick) / f.pageTicks }

// sortPage appends the cells of a page with their moments, rising; held tells the moments that cells had before they
// were held.
func (f *forest) sortPage(n int, held map[uint32]tick, out []uint64) []uint64 {
	for _, ids := range f.pages[n] {
		for _, id := range ids {
			if at := f.goneTick(id); at != tickNever && f.pageOf(at) == tick(n) {
				out = append(out, uint64(at)<<32|uint64(id))
			}
		}
	}
	for id, was := range held {
		if at := f.goneTick(id); at != tickNever && f.pageOf(at) == tick(n) && f.pageOf(was) != tick(n) {
			out = append(out, uint64(at)<<32|uint64(id))
		}
	}
	slices.Sort(out)
	for from := 0; from < len(out); {
		at := tick(out[from] >> 32)
		if !f.stands.maybe(at) {
			from++
			continue
		}
		to := from + 1
		for to < len(out) && tick(out[to]>>32) == at {
			to++
		}
		f.stands.sort(at, out[from:to])
		from = to
	}
	return out
}

// put returns one cell to its neighbours.
func (f *forest) put(id uint32, at tick) {
	slot, k := id>>(2*tileBits), int(id&(tileArea-1))
	i, t := int(f.c.tileOf[slot]), f.c.list[slot]
	blank := f.c.plain[i].blank
	if t.blank != nil {
		blank = int16(t.blank[k])
	}
	var beside [4]int32
	if inside(k) && t.blank == nil {
		beside = [4]int32{t.label[k+1], t.label[k+tileSide], t.label[k-1], t.label[k-tileSide]}
	} else {
		for dir := range beside {
			beside[dir] = f.labelBeside(i, k, dir, blank)
		}
	}
	var sets [4]int32
	standing, n, last := 0, 0, noNode
	for _, l := range beside {
		if l == noNode {
			continue
		}
		standing++
		if l == last {
			continue
		}
		last = l
		if root := f.find(l); !slices.Contains(sets[:n], root) {
			sets[n] = root
			n++
		}
	}
	root := sets[0]
	switch {
	case n == 0:
		root = f.add(blank, repOf(i, k))
	case n > 1:
		root = f.meet(sets[:n], at, id)
	case standing > 1 && parts[f.standingRound(i, k, blank)]:
		f.necks = append(f.necks, uint64(at)<<32|uint64(id))
	}
	t.label[k] = root
	x, y := f.c.place(i, k)
	s := &f.nodes[root]
	s.size, s.sx, s.sy = s.size+1, s.sx+int64(x), s.sy+int64(y)
	s.latestMove(f.moveOf(at))
	s.same++
	if f.nearRim[slot] && !s.rim {
		s.rim = f.c.atRim(i, k)
	}
}

// moveOf gives the move that is under way at a tick, for ticks in falling order.
func (f *forest) moveOf(at tick) int32 {
	if at == tickNever {
		return noMove
	}
	for f.c.clock.first[f.last] > at {
		f.last--
	}
	return int32(f.last)
}

// labelBeside gives the label of the neighbour of a cell if it is of a blank; dir as for cells.side.
func (f *forest) labelBeside(i, k, dir int, blank int16) int32 {
	ni, nk, ok := f.c.side(i, k, dir)
	if !ok {
		return noNode
	}
	return f.labelIn(ni, nk, blank)
}

// standingRound tells which of the eight neighbours of a cell stand, of its own blank, as bits going round from the
// right one upwards.
func (f *forest) standingRound(i, k int, blank int16) (out uint8) {
	for dir := range 4 {
		ni, nk, ok := f.c.side(i, k, dir)
		if !ok {
			continue
		}
		if f.labelIn(ni, nk, blank) != noNode {
			out |= 1 << (2 * dir)
		}
		// The corner next to it, going round.
		if f.labelBeside(ni, nk, (dir+1)&3, blank) != noNode {
			out |= 2 << (2 * dir)
		}
	}
	return out
}

// meet joins sets at a cell. Fragments of fewer than crumbCells cells are taken in by the largest; two or more grown
// sets make a new node.
func (f *forest) meet(sets []int32, at tick, cell uint32) int32 {
	var grown []int32
	big := sets[0]
	for _, s := range sets {
		if f.nodes[s].size >= crumbCells {
			grown = append(grown, s)
		}
		if a, b := f.rank(s, at), f.rank(big, at); a > b || a == b && s < big {
			big = s
		}
	}
	root, move := big, f.moveOf(at)
	// Sets that hang together to the end were never apart.
	split := len(grown) > 1 && at != tickNever
	if split {
		root = f.add(f.nodes[big].blank, f.largest(grown).rep)
		f.meets = append(f.meets, meeting{root, grown, at, cell, move})
	}
	f.nodes[root].latestMove(move)
	for _, s := range sets {
		if s == root {
			continue
		}
		n := &f.nodes[s]
		n.latestMove(move)
		n.up = root
		if split && slices.Contains(grown, s) {
			n.met, n.move = root, move
		} else {
			n.alias = root
		}
		f.nodes[root].add(&n.sums)
		f.nodes[root].same += n.same
	}
	return root
}

// latestMove begins to count the cells of a move if it is another than that of the latest cell.
func (n *node) latestMove(move int32) {
	if n.last != move {
		n.last, n.same = move, 0
	}
}

// rank orders sets by their cells; grown ones are alike unless they hang together to the end.
func (f *forest) rank(s int32, at tick) int64 {
	if at == tickNever {
		return f.nodes[s].size
	}
	return min(f.nodes[s].size, crumbCells)
}

// largest of some sets; of equal ones the one whose cell outlasts the other's.
func (f *forest) largest(sets []int32) *node {
	best := &f.nodes[sets[0]]
	for _, s := range sets[1:] {
		if n := &f.nodes[s]; n.size > best.size || n.size == best.size && f.outlasts(n.rep, best.rep) {
			best = n
		}
	}
	return best
}

// outlasts tells whether one cell is cut later than another; of two that go in one tick the one further on in the grid.
func (f *forest) outlasts(a, b int64) bool {
	at, other := f.goneAtRep(a), f.goneAtRep(b)
	return at > other || at == other && a > b
}

func (f *forest) goneAtRep(rep int64) tick {
	if t := f.c.tiles[rep>>(2*tileBits)]; t != nil {
		return t.cut[rep&(tileArea-1)]
	}
	return tickNever
}

func (f *forest) find(i int32) int32 {
	for f.nodes[i].up != i {
		f.nodes[i].up = f.nodes[f.nodes[i].up].up
		i = f.nodes[i].up
	}
	return i
}

func (f *forest) add(blank int16, rep int64) int32 {
	i := int32(len(f.nodes))
	f.nodes = append(f.nodes, node{up: i, alias: i, blank: blank, rep: rep, met: noNode, move: noMove, last: noMove})
	return i
}

// settled follows the fragments to the node that counts.
func (f *forest) settled(i int32) int32 {
	for f.nodes[i].alias != i {
		f.nodes[i].alias = f.nodes[f.nodes[i].alias].alias
		i = f.nodes[i].alias
	}
	return i
}

// repOf names cell k of tile i.
func repOf(i, k int) int64 { return int64(i)<<(2*tileBits) | int64(k) }

// stands tells the ticks in which a tool goes straight down. In such a tick the cells count as cut from its middle
// outwards: a bridge that it leaves beside other cuts or at the rim shows as a neck then.
type stands struct {
	seldom []uint64 // a bit for each standBucket ticks; nil if nobody asks
	far    func(at tick, id uint32) (cells2 float64, ok bool)
}

const standBucket = 8

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

// sort puts the cells of one tick in order of their distance from the tool, to a ten-thousandth, then by their place in
// the tile.
func (s *stands) sort(at tick, cells []uint64) {
	type ranked struct {
		low  uint32
		cell uint64
	}
	list := make([]ranked, len(cells))
	for i, cell := range cells {
		id := uint32(cell)
		list[i] = ranked{id, cell}
		if far, ok := s.far(at, id); ok {
			list[i].low = math.Float32bits(float32(far))&^(tileArea-1) | id&(tileArea-1)
		}
	}
	slices.SortStableFunc(list, func(a, b ranked) int { return cmp.Compare(a.low, b.low) })
	for i := range list {
		cells[i] = list[i].cell
	}
}

// crumbCells is the number of cells below which a fragment is a trick of the raster (the tip of a wedge between two cuts
// falls apart into single cells) and belongs to no piece of its own.
const crumbCells = 5
