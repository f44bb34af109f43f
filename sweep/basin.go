package sweep

import "slices"

// Labels while the basins are sought: upward less the direction (as for cells.side) to the latest neighbour, exit less the direction
// where that lies in the next tile, summit, or via less the place of an exit or a summit of the same tile to which the way leads.
const (
	upward int32 = noNode - 1
	exit   int32 = upward - 4
	summit int32 = exit - 4
	via    int32 = summit - 1
)

// seeker is one worker's memory.
type seeker struct {
	ticks   tickHalo
	near    halo
	ranked  bool // near holds the tile at hand
	way     [tileArea]int16
	summits []uint32
	exits   []uint32
	necks   []neck
	passes  []pass
	pairs   []pass // of the tile at hand
	latest  []latest
	sums    []sums
}

// tileRun is how many tiles a worker takes at once.
const tileRun = 64

// putBack finds the nodes of the cells that are cut, in place of those of an earlier call. Cells in held have a moment of their own.
func (f *forest) putBack(jobs int, held map[uint32]tick) {
	f.nodes, f.meets, f.necks = append(f.nodes[:0], f.stay...), f.meets[:0], f.necks[:0]
	f.swap(held)
	defer f.swap(held)
	lasting := f.holdForGood(held)
	workers := make([]seeker, max(1, jobs))
	shareRuns(jobs, len(f.c.list), tileRun, func(worker, slot int) { workers[worker].ascend(f, slot) })
	f.plantSummits(workers)
	f.follow(workers)
	for i := range workers {
		workers[i].latest = make([]latest, len(f.nodes))
	}
	shareRuns(jobs, len(f.c.list), tileRun, func(worker, slot int) { workers[worker].settle(f, slot) })
	shareRuns(jobs, len(f.c.list), tileRun, func(worker, slot int) { workers[worker].passBorders(f, slot) })
	f.join(workers)
	paths := f.paths()
	for i := range workers {
		workers[i].sums = make([]sums, len(f.nodes))
	}
	shareRuns(jobs, len(f.c.list), tileRun, func(worker, slot int) { workers[worker].label(f, paths, slot) })
	for _, id := range lasting {
		label := &f.c.list[id>>(2*tileBits)].label[id&(tileArea-1)]
		*label = f.settled(*label)
	}
	f.sum(workers)
}

// swap exchanges the moments of cells.
func (f *forest) swap(held map[uint32]tick) {
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

// ascend points every cell of a tile that is cut to where the way over latest neighbours leaves the tile or ends, and looks for necks.
func (w *seeker) ascend(f *forest, slot int) {
	t, i := f.c.list[slot], int(f.tileOf[slot])
	gone := f.level(t)
	first, last := cutRange(gone)
	if first > last {
		for k, at := range gone {
			if at < firstTick {
				t.label[k] = noNode
			}
		}
		return
	}
	mixed := w.ticks.load(f, i)
	w.ranked = false
	plain := !mixed && !f.stands.within(first, last)
	for y := range tileSide {
		if plain {
			w.pointRow(f, t, i, y)
			continue
		}
		for x := range tileSide {
			w.pointByOrder(f, t, i, y<<tileBits|x, mixed)
		}
	}
	w.gather(t)
}

// cutRange gives the first and the last moment at which cells of a tile are cut; first > last if none is.
func cutRange(gone *[tileArea]tick) (first, last tick) {
	first = tickNever
	for _, at := range gone {
		if at < firstTick || at == tickNever {
			continue
		}
		if at < first {
			first = at
		}
		if at > last {
			last = at
		}
	}
	return first, last
}

// pointRow does what pointByOrder does for row y of a tile of one blank in which no tool went straight down. Of cells of one moment those
// to the right and above come later there, except across the border of the tile.
func (w *seeker) pointRow(f *forest, t *tile, i, y int) {
	down, own, up := w.ticks.row(y-1), w.ticks.row(y), w.ticks.row(y+1)
	label := (*[tileSide]int32)(t.label[y<<tileBits:])
	for x := range tileSide {
		at := own[x+1]
		if at == tickNever {
			continue
		}
		if at < firstTick {
			label[x] = noNode
			continue
		}
		r, u, l, d := own[x+2], up[x+1], own[x], down[x+1]
		n, m := int64(at), int64(at)-1
		later := uint8((m-int64(r))>>63)&1 | uint8((m-int64(up[x+2]))>>63)&2 | uint8((m-int64(u))>>63)&4 | uint8((m-int64(up[x]))>>63)&8 |
			uint8((n-int64(l))>>63)&16 | uint8((n-int64(down[x]))>>63)&32 | uint8((n-int64(d))>>63)&64 | uint8((n-int64(down[x+2]))>>63)&128
		best := max(r, u, l, d)
		way := 3
		switch best {
		case u:
			way = 1
		case r:
			way = 0
		case l:
			way = 2
		}
		k := y<<tileBits | x
		if (x+1)&tileMask < 2 || (y+1)&tileMask < 2 {
			if w.ticks.tied(k) || few(r == best, u == best, l == best, d == best) > 1 {
				w.pointByOrder(f, t, i, k, false)
				continue
			}
		}
		if f.seekNecks && parts[later] {
			w.neck(f, t, k)
		}
		switch {
		case later&beside == 0:
			w.summit(t, k)
		case best == tickNever:
			label[x] = w.labelBeside(f, t, i, k, way)
		case leaves(k, way):
			w.exit(t, k, way)
		default:
			label[x] = upward - int32(way)
		}
	}
}

// pointByOrder points a cell that is cut to its latest neighbour.
func (w *seeker) pointByOrder(f *forest, t *tile, i, k int, mixed bool) {
	at := w.ticks[inHalo(k)]
	if at == tickNever {
		return
	}
	if at < firstTick {
		t.label[k] = noNode
		return
	}
	later, way, best, ok := w.ticks.rank(k)
	if !ok || mixed || f.stands.maybe(at) || f.stands.maybe(best) {
		later, way, best = w.rankByOrder(f, i, k, mixed)
	}
	if f.seekNecks && parts[later] {
		w.neck(f, t, k)
	}
	switch {
	case later&beside == 0:
		w.summit(t, k)
	case best == tickNever:
		t.label[k] = w.labelBeside(f, t, i, k, way)
	case leaves(k, way):
		w.exit(t, k, way)
	default:
		t.label[k] = upward - int32(way)
	}
}

func (w *seeker) neck(f *forest, t *tile, k int) {
	w.necks = append(w.necks, neck{f.orderIn(t.slot, k, f.level(t)[k]), uint32(t.slot)<<(2*tileBits) | uint32(k)})
}

func (w *seeker) exit(t *tile, k, way int) {
	t.label[k] = exit - int32(way)
	w.exits = append(w.exits, uint32(t.slot)<<(2*tileBits)|uint32(k))
}

// labelBeside gives the label of the neighbour of cell k; dir as for cells.side.
func (w *seeker) labelBeside(f *forest, t *tile, i, k, dir int) int32 {
	if !leaves(k, dir) {
		return t.label[k+inTile[dir]]
	}
	ni, nk, _ := f.c.side(i, k, dir)
	return f.c.labelOf(ni, nk)
}

func (w *seeker) summit(t *tile, k int) {
	t.label[k] = summit
	w.summits = append(w.summits, uint32(t.slot)<<(2*tileBits)|uint32(k))
}

// gather gives the cells of a tile that point at each other the label or the place at the end of their way inside the tile.
func (w *seeker) gather(t *tile) {
	for k, l := range &t.label {
		at, n := k, 0
		for ; uint32(upward-l) < 4; n++ {
			w.way[n&(tileArea-1)] = int16(at)
			at = (at + inTile[upward-l]) & (tileArea - 1)
			l = t.label[at]
		}
		if l <= exit && l > via {
			l = via - int32(at)
		}
		for _, k := range w.way[:n] {
			t.label[k&(tileArea-1)] = l
		}
	}
}

// leaves tells whether the neighbour of cell k lies in another tile; dir as for cells.side.
func leaves(k, dir int) bool {
	switch dir {
	case 0:
		return k&tileMask == tileMask
	case 1:
		return k >= tileArea-tileSide
	case 2:
		return k&tileMask == 0
	}
	return k < tileSide
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

// follow gives every exit the leaf at the end of its way.
func (f *forest) follow(workers []seeker) {
	c := f.c
	var way []*int32
	for n := range workers {
		for _, id := range workers[n].exits {
			slot, k := id>>(2*tileBits), int(id&(tileArea-1))
			i, t := int(f.tileOf[slot]), c.list[slot]
			way = way[:0]
			for t.label[k] < noNode {
				if l := t.label[k]; l <= via {
					k = int(via - l)
					continue
				}
				way = append(way, &t.label[k])
				i, k, _ = c.side(i, k, int(exit-t.label[k]))
				t = c.tiles[i]
			}
			for _, l := range way {
				*l = t.label[k]
			}
		}
	}
}

// settle gives every cell of a tile its leaf, and finds where basins touch inside the tile and the latest cells of small leaves.
func (w *seeker) settle(f *forest, slot int) {
	t, i := f.c.list[slot], int(f.tileOf[slot])
	last, alike, crumbs := noNode, true, false
	for k, l := range &t.label {
		if l <= via {
			l = t.label[via-l]
			t.label[k] = l
		}
		if l != last {
			last, alike = l, k == 0
			crumbs = crumbs || l != noNode && f.nodes[l].size < crumbCells
		}
	}
	w.pairs = w.pairs[:0]
	if !alike {
		w.passInside(f, t, i)
	}
	w.passes = append(w.passes, w.pairs...)
	if !crumbs {
		return
	}
	gone := f.level(t)
	for k, l := range &t.label {
		if l == noNode || gone[k] == tickNever || f.nodes[l].size >= crumbCells {
			continue
		}
		if m := &w.latest[l]; gone[k] >= m[crumbCells-1].tick() {
			m.add(f.orderIn(t.slot, k, gone[k]))
		}
	}
}

// passInside finds where basins touch inside a tile.
func (w *seeker) passInside(f *forest, t *tile, i int) {
	for y := range tileSide {
		row := (*[tileSide]int32)(t.label[y<<tileBits:])
		last := row[0]
		for x, l := range row {
			if l != last {
				w.touch(f, i, y<<tileBits|x-1, i, y<<tileBits|x)
				last = l
			}
		}
		if y == tileMask {
			break
		}
		above := (*[tileSide]int32)(t.label[(y+1)<<tileBits:])
		for x, l := range row {
			if l != above[x] {
				w.touch(f, i, y<<tileBits|x, i, (y+1)<<tileBits|x)
			}
		}
	}
}

// passBorders finds where basins touch across the right and the upper border of a tile.
func (w *seeker) passBorders(f *forest, slot int) {
	c, t, i := f.c, f.c.list[slot], int(f.tileOf[slot])
	w.pairs = w.pairs[:0]
	for n := range tileSide {
		for dir, k := range [2]int{n<<tileBits | tileMask, tileArea - tileSide + n} {
			if ni, nk, ok := c.side(i, k, dir); ok && c.labelOf(ni, nk) != t.label[k] {
				w.touch(f, i, k, ni, nk)
			}
		}
	}
	w.passes = append(w.passes, w.pairs...)
}

// touch enters a pair of neighbours that differ, if both have leaves.
func (w *seeker) touch(f *forest, i, k, ni, nk int) {
	a, b := f.c.labelOf(i, k), f.c.labelOf(ni, nk)
	if a == noNode || b == noNode || f.c.blankAt(i, k) != f.c.blankAt(ni, nk) {
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
