package pieces

import (
	"slices"

	"staydown/sweep/internal/raster"
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

// pageCells is about how many cells are sorted at once: few enough for the cache, so many that two threads rarely wait.
const pageCells = 1 << 16

// pageChunk is how many cells of a page a worker finds room for at once.
const pageChunk = 1 << 12

// Rebuild finds the nodes of the cells that are cut, in place of those of an earlier call. Cells in held have a moment
// of their own.
func (f *MergeTree) Rebuild(jobs int, held map[uint32]raster.Tick) {
	f.nodes, f.Merges, f.Candidates = append(f.nodes[:0], f.stay...), f.Merges[:0], f.Candidates[:0]
	if f.pages == nil {
		f.layPages(jobs)
	} else {
		f.forget(jobs)
	}
	f.swap(held)
	defer f.swap(held)
	for _, id := range f.heldForGood(held) {
		f.restore(id, raster.TickNever)
	}
	f.last = len(f.c.Clock.First) - 1
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
			f.restore(uint32(page[n]), raster.Tick(page[n]>>32))
		}
		spare <- page
	}
	for i := range f.nodes {
		if n := &f.nodes[i]; n.merged == NoLabel && n.alias == int32(i) {
			n.same = 0
		}
	}
}

// forget takes the cells that are cut out of their sets again.
func (f *MergeTree) forget(jobs int) {
	parallel.ForRuns(jobs, len(f.c.List), tileRun, func(_, slot int) {
		t := f.c.List[slot]
		for k, at := range &t.Cut {
			if at != raster.TickNever {
				t.Label[k] = NoLabel
			}
		}
	})
}

// tileRun is how many tiles a worker takes at once.
const tileRun = 64

// swap exchanges the moments of cells.
func (f *MergeTree) swap(held map[uint32]raster.Tick) {
	for id, at := range held {
		gone := &f.c.List[id>>(2*raster.TileBits)].Cut
		held[id], gone[id&(raster.TileArea-1)] = gone[id&(raster.TileArea-1)], at
	}
}

// heldForGood lists the cells that are held to the end, the last first.
func (f *MergeTree) heldForGood(held map[uint32]raster.Tick) (ids []uint32) {
	for id := range held {
		if f.goneTick(id) == raster.TickNever {
			ids = append(ids, id)
		}
	}
	slices.Sort(ids)
	slices.Reverse(ids)
	return ids
}

func (f *MergeTree) goneTick(id uint32) raster.Tick {
	return f.c.List[id>>(2*raster.TileBits)].Cut[id&(raster.TileArea-1)]
}

// layPages spreads the cells that are cut over pages of time.
func (f *MergeTree) layPages(jobs int) {
	c := f.c
	cells := make([]int, len(c.List))
	f.nearRim = make([]bool, len(c.List))
	parallel.ForRuns(jobs, len(c.List), tileRun, func(_, slot int) {
		f.nearRim[slot] = c.NearRim(int(f.c.TileOf[slot]))
		for _, at := range &c.List[slot].Cut {
			if at >= raster.FirstTick && at != raster.TickNever {
				cells[slot]++
			}
		}
	})
	all := 0
	for _, n := range cells {
		all += n
	}
	pages := raster.Tick(1 + all/pageCells)
	f.pageTicks = 1 + (c.Clock.First[len(c.Clock.First)-1]-raster.FirstTick)/pages
	workers := make([][][][]uint32, max(1, jobs))
	for i := range workers {
		workers[i] = make([][][]uint32, pages)
	}
	parallel.ForRuns(jobs, len(c.List), tileRun, func(worker, slot int) {
		t, out := c.List[slot], workers[worker]
		for k, at := range &t.Cut {
			if at < raster.FirstTick || at == raster.TickNever {
				continue
			}
			page := &out[f.pageOf(at)]
			last := len(*page) - 1
			if last < 0 || len((*page)[last]) == pageChunk {
				*page, last = append(*page, make([]uint32, 0, pageChunk)), last+1
			}
			(*page)[last] = append((*page)[last], t.ID(k))
		}
	})
	f.pages = make([][][]uint32, pages)
	for n := range f.pages {
		for _, w := range workers {
			f.pages[n] = append(f.pages[n], w[n]...)
		}
	}
}

// DropPages frees what only Rebuild needs.
func (f *MergeTree) DropPages() { f.pages = nil }

func (f *MergeTree) pageOf(at raster.Tick) raster.Tick { return (at - raster.FirstTick) / f.pageTicks }

// sortPage appends the cells of a page with their moments, rising; held tells the moments that cells had before they
// were held.
func (f *MergeTree) sortPage(n int, held map[uint32]raster.Tick, out []uint64) []uint64 {
	for _, ids := range f.pages[n] {
		for _, id := range ids {
			if at := f.goneTick(id); at != raster.TickNever && f.pageOf(at) == raster.Tick(n) {
				out = append(out, uint64(at)<<32|uint64(id))
			}
		}
	}
	for id, was := range held {
		if at := f.goneTick(id); at != raster.TickNever && f.pageOf(at) == raster.Tick(n) &&
			f.pageOf(was) != raster.Tick(n) {
			out = append(out, uint64(at)<<32|uint64(id))
		}
	}
	slices.Sort(out)
	if len(held) == 0 { // the next time they are in order, but for those that are held by then
		rest := out
		for _, ids := range f.pages[n] {
			for i := range ids {
				ids[i] = uint32(rest[i])
			}
			rest = rest[len(ids):]
		}
	}
	for from := 0; from < len(out); {
		at := raster.Tick(out[from] >> 32)
		if !f.Plunges.maybe(at) {
			from++
			continue
		}
		to := from + 1
		for to < len(out) && raster.Tick(out[to]>>32) == at {
			to++
		}
		f.Plunges.sort(at, out[from:to])
		from = to
	}
	return out
}

// restore returns one cell to its neighbors.
func (f *MergeTree) restore(id uint32, at raster.Tick) {
	slot, k := id>>(2*raster.TileBits), int(id&(raster.TileArea-1))
	i, t := int(f.c.TileOf[slot]), f.c.List[slot]
	blank := f.c.Plain[i].Blank
	if t.Blank != nil {
		blank = int16(t.Blank[k])
	}
	var beside [4]int32
	if raster.InsideTile(k) && t.Blank == nil {
		beside = [4]int32{t.Label[k+1], t.Label[k+raster.TileSide], t.Label[k-1], t.Label[k-raster.TileSide]}
	} else {
		for dir := range beside {
			beside[dir] = f.labelBeside(i, k, dir, blank)
		}
	}
	var sets [4]int32
	standing, n, last := 0, 0, NoLabel
	for _, l := range beside {
		if l == NoLabel {
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
		root = f.mergeSets(sets[:n], at, id)
	case standing > 1 && raster.SplitsRound[f.standingRound(i, k, blank)]:
		f.Candidates = append(f.Candidates, uint64(at)<<32|uint64(id))
	}
	t.Label[k] = root
	x, y := f.c.Place(i, k)
	s := &f.nodes[root]
	s.size, s.sx, s.sy = s.size+1, s.sx+int64(x), s.sy+int64(y)
	s.latestMove(f.moveOf(at))
	s.same++
	if f.nearRim[slot] && !s.rim {
		s.rim = f.c.AtRim(i, k)
	}
}

// moveOf gives the move that is under way at a tick, for ticks in falling order.
func (f *MergeTree) moveOf(at raster.Tick) int32 {
	if at == raster.TickNever {
		return noMove
	}
	for f.c.Clock.First[f.last] > at {
		f.last--
	}
	return int32(f.last)
}

// labelBeside gives the label of the neighbor of a cell if it is of a blank; dir as for cells.side.
func (f *MergeTree) labelBeside(i, k, dir int, blank int16) int32 {
	ni, nk, ok := f.c.Beside(i, k, dir)
	if !ok {
		return NoLabel
	}
	return f.labelIn(ni, nk, blank)
}

// standingRound tells which of the eight neighbors of a cell stand, of its own blank, as bits going round from the
// right one upwards.
func (f *MergeTree) standingRound(i, k int, blank int16) (out uint8) {
	// Most cells lie inside a tile of one blank: 3 % of a nest's run are saved by that.
	if t := f.c.Tiles[i]; raster.InsideTile(k) && t.Blank == nil {
		const up = raster.TileSide
		for n, step := range [8]int{1, up + 1, up, up - 1, -1, -up - 1, -up, -up + 1} {
			if t.Label[k+step] != NoLabel {
				out |= 1 << n
			}
		}
		return out
	}
	for dir := range 4 {
		ni, nk, ok := f.c.Beside(i, k, dir)
		if !ok {
			continue
		}
		if f.labelIn(ni, nk, blank) != NoLabel {
			out |= 1 << (2 * dir)
		}
		// The corner next to it, going round.
		if f.labelBeside(ni, nk, (dir+1)&3, blank) != NoLabel {
			out |= 2 << (2 * dir)
		}
	}
	return out
}

// mergeSets joins sets at a cell. Fragments of fewer than minFragmentCells cells are taken in by the largest; two or
// more grown sets make a new node.
func (f *MergeTree) mergeSets(sets []int32, at raster.Tick, cell uint32) int32 {
	var grown []int32
	big := sets[0]
	for _, s := range sets {
		if f.nodes[s].size >= minFragmentCells {
			grown = append(grown, s)
		}
		if a, b := f.rank(s, at), f.rank(big, at); a > b || a == b && s < big {
			big = s
		}
	}
	root, move := big, f.moveOf(at)
	// Sets that hang together to the end were never apart.
	split := len(grown) > 1 && at != raster.TickNever
	if split {
		root = f.add(f.nodes[big].blank, f.largest(grown).rep)
		f.Merges = append(f.Merges, merge{root, grown, at, cell, move})
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
			n.merged, n.move = root, move
		} else {
			n.alias = root
		}
		f.nodes[root].add(&n.cellSums)
		f.nodes[root].same += n.same
	}
	return root
}

// latestMove begins to count the cells of a move if it is another than that of the latest cell.
func (n *treeNode) latestMove(move int32) {
	if n.last != move {
		n.last, n.same = move, 0
	}
}

// rank orders sets by their cells; grown ones are alike unless they hang together to the end.
func (f *MergeTree) rank(s int32, at raster.Tick) int64 {
	if at == raster.TickNever {
		return f.nodes[s].size
	}
	return min(f.nodes[s].size, minFragmentCells)
}

// largest of some sets; of equal ones the one whose cell outlasts the other's.
func (f *MergeTree) largest(sets []int32) *treeNode {
	best := &f.nodes[sets[0]]
	for _, s := range sets[1:] {
		if n := &f.nodes[s]; n.size > best.size || n.size == best.size && f.outlasts(n.rep, best.rep) {
			best = n
		}
	}
	return best
}

// outlasts tells whether one cell is cut later than another; of two that go in one tick the one further on in the grid.
func (f *MergeTree) outlasts(a, b int64) bool {
	at, other := f.goneAtRep(a), f.goneAtRep(b)
	return at > other || at == other && a > b
}

func (f *MergeTree) goneAtRep(rep int64) raster.Tick {
	if t := f.c.Tiles[rep>>(2*raster.TileBits)]; t != nil {
		return t.Cut[rep&(raster.TileArea-1)]
	}
	return raster.TickNever
}
