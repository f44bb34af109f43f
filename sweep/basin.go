package sweep

import "slices"

// Labels while the basins are sought: upward less the direction (as for cells.side) to the latest neighbour, or summit.
const (
	upward int32 = noNode - 1
	summit int32 = upward - 4
)

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

// putBack finds the nodes of the cells that are cut, in place of those of an earlier call. Cells in held have a moment of their own.
func (f *forest) putBack(jobs int, held map[uint32]tick) {
	f.nodes, f.meets, f.necks = append(f.nodes[:0], f.stay...), f.meets[:0], f.necks[:0]
	f.swap(held)
	defer f.swap(held)
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
