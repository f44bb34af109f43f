package sweep

import (
	"math/bits"
	"slices"
)

// Labels while the basins are sought: upward less the direction (as for cells.side) to a later neighbour in the tile, exit less the
// direction where only other tiles have one, summit, or via less the place of an exit or a summit of the same tile.
const (
	upward int32 = noNode - 1
	exit   int32 = upward - 4
	summit int32 = exit - 4
	via    int32 = summit - 1
)

// known gives the label to take over from cell k with label l; ok is false where that is not known yet.
func known(l int32, k int) (label int32, ok bool) {
	switch {
	case l > noNode || l <= via:
		return l, true
	case l <= exit:
		return via - int32(k), true
	}
	return noNode, false
}

// seeker is one worker's memory.
type seeker struct {
	ticks   tickHalo
	near    halo
	ranked  bool    // near holds the tile at hand
	open    []int32 // cells of the tile at hand that wait for a label, with the neighbours that outlast them
	left    []int32 // of those, what is left
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
		if at >= firstTick && at != tickNever {
			f.when[id>>(2*tileBits)].add(at)
		}
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

// ascend finds for every cell of a tile that is cut where a way over later and later neighbours leaves the tile or ends, and looks for
// necks. Any such way will do.
func (w *seeker) ascend(f *forest, slot int) {
	t, i := f.c.list[slot], int(f.tileOf[slot])
	when := f.when[slot]
	if when.to <= when.from {
		return // remaining has given its cells their labels
	}
	mixed := f.c.mixedRound(i)
	w.ticks.load(f, i)
	w.ranked, w.open = false, w.open[:0]
	plain := !mixed && !f.stands.within(when)
	for y := range tileSide {
		w.ascendRow(f, t, i, y, plain, mixed)
	}
	w.gather(t)
}

// ascendRow does so for row y. In a plain tile, of one blank and without a tool that goes straight down, of cells of one moment those to
// the right and above come later, except across the border.
func (w *seeker) ascendRow(f *forest, t *tile, i, y int, plain, mixed bool) {
	down, own, up := w.ticks.row(y-1), w.ticks.row(y), w.ticks.row(y+1)
	for x := range tileSide {
		at, k := own[x+1], y<<tileBits|x
		if at < firstTick || at == tickNever {
			continue // remaining has given it its label
		}
		n, m := int64(at), int64(at)-1
		later := uint8((m-int64(own[x+2]))>>63)&1 | uint8((m-int64(up[x+2]))>>63)&2 | uint8((m-int64(up[x+1]))>>63)&4 | uint8((m-int64(up[x]))>>63)&8 |
			uint8((n-int64(own[x]))>>63)&16 | uint8((n-int64(down[x]))>>63)&32 | uint8((n-int64(down[x+1]))>>63)&64 | uint8((n-int64(down[x+2]))>>63)&128
		border := (x+1)&tileMask < 2 || (y+1)&tileMask < 2
		if !plain || border {
			later = w.laterThan(f, i, k, later, mixed)
		}
		if f.seekNecks && parts[later] {
			w.necks = append(w.necks, neck{f.orderIn(t, k, at), t.id(k)})
		}
		in := later & beside
		if border {
			in &^= outside(x, y)
		}
		if in&toLeft != 0 {
			if l, ok := known(t.label[k-1], k-1); ok {
				t.label[k] = l
				continue
			}
		}
		if in&toDown != 0 {
			if l, ok := known(t.label[k-tileSide], k-tileSide); ok {
				t.label[k] = l
				continue
			}
		}
		switch {
		case in&toRight != 0 && own[x+2] == tickNever:
			t.label[k] = t.label[k+1]
		case in&toUp != 0 && up[x+1] == tickNever:
			t.label[k] = t.label[k+tileSide]
		case in != 0:
			t.label[k] = upward - int32(bits.TrailingZeros8(in)/2)
			w.open = append(w.open, int32(k)|int32(in)<<(2*tileBits))
		default:
			w.leave(f, t, i, k, later)
		}
	}
}

// laterThan tells which neighbours of cell k outlast it, where later says so for a cell inside a plain tile.
func (w *seeker) laterThan(f *forest, i, k int, later uint8, mixed bool) uint8 {
	at := w.ticks[inHalo(k)]
	switch {
	case mixed:
	case !w.ticks.tied(k):
		return later
	case !f.stands.maybe(at):
		return w.ticks.laterByPlace(k)
	}
	if !w.ranked {
		w.near.load(f, i)
		w.ranked = true
	}
	return w.near.later(k)
}

// leave sees to a cell that has no later neighbour in its tile.
func (w *seeker) leave(f *forest, t *tile, i, k int, later uint8) {
	id := t.id(k)
	if later&beside == 0 {
		t.label[k] = summit
		w.summits = append(w.summits, id)
		return
	}
	way := bits.TrailingZeros8(later&beside) / 2
	if ni, nk, _ := f.c.side(i, k, way); f.orderOf(ni, nk) >= orderNever {
		t.label[k] = f.c.labelOf(ni, nk)
		return
	}
	t.label[k] = exit - int32(way)
	w.exits = append(w.exits, id)
}

// gather gives the cells that wait for a label the one at the end of their way inside the tile.
func (w *seeker) gather(t *tile) {
	// Most wait for cells to the right or above: read backwards, those are known.
	left := w.left[:0]
	for n := len(w.open) - 1; n >= 0; n-- {
		k, in := int(w.open[n]&(tileArea-1)), uint8(w.open[n]>>(2*tileBits))
		l, ok := noNode, false
		for in != 0 && !ok {
			to := k + inTile[bits.TrailingZeros8(in)/2]
			l, ok = known(t.label[to], to)
			in &= in - 1
		}
		if ok {
			t.label[k] = l
		} else {
			left = append(left, int32(k))
		}
	}
	w.left = left
	for _, k := range left {
		way := w.open[:0]
		at := int(k)
		for uint32(upward-t.label[at]) < 4 {
			way = append(way, int32(at))
			at += inTile[upward-t.label[at]]
		}
		l, _ := known(t.label[at], at)
		for _, k := range way {
			t.label[k] = l
		}
	}
}

// outside gives the neighbours of a cell, beside it, that lie in other tiles.
func outside(x, y int) (out uint8) {
	if x == tileMask {
		out |= toRight
	}
	if y == tileMask {
		out |= toUp
	}
	if x == 0 {
		out |= toLeft
	}
	if y == 0 {
		out |= toDown
	}
	return out
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
	w.pairs = w.pairs[:0]
	crumbs := false
	below := (*[tileSide]int32)(t.label[:]) // none for the first row
	for y := range tileSide {
		row, last := (*[tileSide]int32)(t.label[y<<tileBits:]), noNode
		for x, l := range row {
			if l <= via {
				l = t.label[via-l]
				row[x] = l
			}
			if l != last {
				crumbs = crumbs || l != noNode && f.nodes[l].size < crumbCells
				if x > 0 {
					w.touch(f, i, y<<tileBits|x-1, i, y<<tileBits|x)
				}
				last = l
			}
			if l != below[x] {
				w.touch(f, i, (y-1)<<tileBits|x, i, y<<tileBits|x)
			}
		}
		below = row
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
			m.add(f.orderIn(t, k, gone[k]))
		}
	}
}

// passBorders finds where basins touch across the right and the upper border of a tile.
func (w *seeker) passBorders(f *forest, slot int) {
	c, t, i := f.c, f.c.list[slot], int(f.tileOf[slot])
	w.pairs = w.pairs[:0]
	if i%c.tx < c.tx-1 {
		w.passBorder(f, t, i, i+1, tileMask, 0, tileSide)
	}
	if i/c.tx < c.ty-1 {
		w.passBorder(f, t, i, i+c.tx, tileArea-tileSide, 0, 1)
	}
	w.passes = append(w.passes, w.pairs...)
}

// passBorder does so between two tiles, for the cells k, k + step, ... of tile i and nk, nk + step, ... of tile j.
func (w *seeker) passBorder(f *forest, t *tile, i, j, k, nk, step int) {
	beside, all := f.c.tiles[j], f.c.plain[j].label
	for range tileSide {
		if beside != nil {
			all = beside.label[nk]
		}
		if all != t.label[k] {
			w.touch(f, i, k, j, nk)
		}
		k, nk = k+step, nk+step
	}
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
	p := pass{at, f.c.tiles[i].id(k), min(a, b), max(a, b)}
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
