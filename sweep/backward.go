package sweep

import (
	"cmp"
	"slices"
)

// putBack returns the cut cells in order of falling time; cells in held are left to their own moment, which moved
// gives by rising time.
func (f *forest) putBack(q *queue, held map[uint32]tick, moved []uint64, tileOf []int32) {
	k := len(moved) - 1
	for n := len(q.first) - 2; n >= 0; n-- {
		events := q.bucket(f.c, n, f.level)
		for i := len(events) - 1; i >= 0; i-- {
			e := events[i]
			for k >= 0 && moved[k] > e {
				f.restore(tick(moved[k]>>32), uint32(moved[k]), tileOf)
				k--
			}
			if held != nil {
				if _, ok := held[uint32(e)]; ok {
					continue
				}
			}
			f.restore(tick(e>>32), uint32(e), tileOf)
		}
	}
	for ; k >= 0; k-- {
		f.restore(tick(moved[k]>>32), uint32(moved[k]), tileOf)
	}
}

// restore puts one cell back. id holds the slot of its tile and its place in the tile.
func (f *forest) restore(at tick, id uint32, tileOf []int32) {
	c := f.c
	if at == tickNever {
		f.move = -1
	} else if f.move < 0 || at < c.clock.first[f.move] || at >= c.clock.first[f.move+1] {
		if m := f.move - 1; m >= 0 && at >= c.clock.first[m] && at < c.clock.first[m+1] {
			f.move = m
		} else {
			f.move = int32(c.clock.move(at))
		}
	}
	slot, k := id>>(2*tileBits), int(id&(tileArea-1))
	t := c.list[slot]
	i := int(tileOf[slot])
	var near around
	blank := c.blankAt(i, k)
	if inside(k) && t.blank == nil {
		f.lookInside(&near, t, k)
	} else {
		f.lookAround(&near, i, k, blank)
	}
	root := noNode
	switch near.count {
	case 0:
		root = f.add(blank, repOf(i, k))
	case 1:
		root = near.sets[0]
		if near.neck && f.seekNecks {
			f.necks = append(f.necks, uint64(at)<<32|uint64(id))
		}
	default:
		root = f.meet(near.sets[:near.count], at, id)
	}
	t.label[k] = root
	n := &f.nodes[root]
	n.enter(f.move)
	n.size++
	ty := uint32(i) / uint32(c.tx)
	n.sx += int64(uint32(i)-ty*uint32(c.tx))<<tileBits + int64(k&tileMask)
	n.sy += int64(ty)<<tileBits + int64(k>>tileBits)
	n.rim = n.rim || near.rim
}

// around is what a cell finds at its four sides when it comes back.
type around struct {
	sets  [4]int32 // the first count of them are the sets there, each once
	count int
	rim   bool // the blank ends there
	neck  bool // the sides hang together only by the cell, as far as the eight cells round it tell
}

func (a *around) add(root int32) {
	for n := 0; n < a.count; n++ {
		if a.sets[n] == root {
			return
		}
	}
	a.sets[a.count] = root
	a.count++
}

// lookInside does it for a cell whose neighbours all lie in its own tile.
func (f *forest) lookInside(a *around, t *tile, k int) {
	r, u, l, d := t.label[k+1], t.label[k+tileSide], t.label[k-1], t.label[k-tileSide]
	sides, last := 0, noNode
	for n, side := range [4]int32{r, u, l, d} {
		if side == noNode {
			a.rim = a.rim || t.cut[k+[4]int{1, tileSide, -1, -tileSide}[n]] == tickOutside
			continue
		}
		sides++
		if side != last {
			a.add(f.find(side))
			last = side
		}
	}
	if sides < 2 {
		return
	}
	joined := 0
	if r != noNode && u != noNode && t.label[k+tileSide+1] != noNode {
		joined++
	}
	if u != noNode && l != noNode && t.label[k+tileSide-1] != noNode {
		joined++
	}
	if l != noNode && d != noNode && t.label[k-tileSide-1] != noNode {
		joined++
	}
	if d != noNode && r != noNode && t.label[k-tileSide+1] != noNode {
		joined++
	}
	a.neck = sides-joined > 1
}

// lookAround does it for any cell.
func (f *forest) lookAround(a *around, i, k int, blank int16) {
	c := f.c
	for dir := 0; dir < 4; dir++ {
		ni, nk, ok := c.side(i, k, dir)
		if !ok {
			a.rim = true
			continue
		}
		if l := f.labelIn(ni, nk, blank); l != noNode {
			a.add(f.find(l))
		} else if o := c.tiles[ni]; o != nil && o.cut[nk] == tickOutside || o == nil && c.plain[ni].blank == noBlank {
			a.rim = true
		}
	}
	a.neck = a.count == 1 && f.seekNecks && f.isNeck(i, k, blank)
}

// isNeck tells whether the neighbours of a cell fall apart into several groups without it, looking no further than the
// eight cells round it.
func (f *forest) isNeck(i, k int, blank int16) bool {
	var has [8]bool // anticlockwise from the right; odd ones are corners
	for dir := 0; dir < 4; dir++ {
		ni, nk, ok := f.c.side(i, k, dir)
		if !ok {
			continue
		}
		has[2*dir] = f.labelIn(ni, nk, blank) != noNode
		if ci, ck, ok := f.c.side(ni, nk, (dir+1)&3); ok {
			has[2*dir+1] = f.labelIn(ci, ck, blank) != noNode
		}
	}
	sides, joined := 0, 0
	for n := 0; n < 8; n += 2 {
		if has[n] {
			sides++
			if has[n+1] && has[(n+2)&7] {
				joined++
			}
		}
	}
	return sides-joined > 1
}

// meet joins sets at a cell. Crumbs are taken in by the largest; two or more grown sets make a new node.
func (f *forest) meet(sets []int32, at tick, id uint32) int32 {
	big := sets[0]
	var grown []int32
	for _, s := range sets {
		if f.nodes[s].size > f.nodes[big].size || f.nodes[s].size == f.nodes[big].size && s < big {
			big = s
		}
		if f.nodes[s].size >= crumbCells {
			grown = append(grown, s)
		}
	}
	root := big
	// Sets that hang together to the end were never apart.
	split := len(grown) > 1 && at != tickNever
	if split {
		root = f.add(f.nodes[big].blank, f.nodes[big].rep)
		f.nodes[root].enter(f.move)
		f.meets = append(f.meets, meeting{root, grown, at, id, f.move})
	}
	for _, s := range sets {
		if s == root {
			continue
		}
		if split && f.nodes[s].size >= crumbCells {
			f.nodes[s].up, f.nodes[s].met = root, root
			n, o := &f.nodes[root], &f.nodes[s]
			n.size, n.sx, n.sy, n.rim = n.size+o.size, n.sx+o.sx, n.sy+o.sy, n.rim || o.rim
			n.solid += o.solidAfter(f.move)
			continue
		}
		f.absorb(root, s)
	}
	return root
}

// queue holds the cut cells roughly in order: bucket by bucket of neighbouring ticks. Within a bucket they are put in
// order when their turn comes. Four bytes a cell.
type queue struct {
	ids   []uint32
	first []int // of each bucket; one more entry for the end
	shift int   // a bucket holds 1<<shift ticks
	buf   []uint64
	spare []uint64
	// stand gives, for a tick in which a tool goes straight down, the square of a cell's distance from it; nil for other
	// ticks. The field itself is nil if nobody asks.
	stand func(at tick) func(id uint32) float64
}

// manyAtOnce is the number of cells of one tick from which their order is looked at.
const manyAtOnce = 8

const queueBuckets = 1 << 16

// newQueue lists the cells for which level gives a tick of the program.
func newQueue(c *cells, level func(t *tile) *[tileArea]tick) *queue {
	last := c.clock.first[len(c.clock.first)-1]
	shift := 0
	for last>>shift >= queueBuckets {
		shift++
	}
	q := &queue{shift: shift, first: make([]int, int(last>>shift)+2)}
	for _, t := range c.list {
		for _, at := range level(t) {
			if at >= firstTick && at != tickNever {
				q.first[at>>shift+1]++
			}
		}
	}
	for i := 1; i < len(q.first); i++ {
		q.first[i] += q.first[i-1]
	}
	q.ids = make([]uint32, q.first[len(q.first)-1])
	next := append([]int(nil), q.first...)
	for slot, t := range c.list {
		for k, at := range level(t) {
			if at >= firstTick && at != tickNever {
				q.ids[next[at>>shift]] = uint32(slot)<<(2*tileBits) | uint32(k)
				next[at>>shift]++
			}
		}
	}
	return q
}

// bucket gives the cells of a bucket by rising time, tick in the upper half; valid until the next call.
func (q *queue) bucket(c *cells, n int, level func(t *tile) *[tileArea]tick) []uint64 {
	ids := q.ids[q.first[n]:q.first[n+1]]
	q.buf = q.buf[:0]
	for _, id := range ids {
		q.buf = append(q.buf, uint64(level(c.list[id>>(2*tileBits)])[id&(tileArea-1)])<<32|uint64(id))
	}
	out := q.buf
	switch {
	case len(q.buf) < 32 || len(q.buf) < 256 && q.shift > 8:
		slices.Sort(q.buf)
	default:
		if cap(q.spare) < len(q.buf) {
			q.spare = make([]uint64, len(q.buf)+len(q.buf)/2)
		}
		out = q.spare[:len(q.buf)]
		if q.shift <= 8 {
			sortInBucket(q.buf, out, q.shift)
		} else {
			out = sortByTick(q.buf, out)
		}
	}
	if q.stand != nil {
		q.outwards(out)
	}
	return out
}

// outwards orders the cells that a plunge cuts in one tick from its middle outwards: put back from the outside in, a bridge
// that it leaves beside other cuts or at the rim shows as a neck.
func (q *queue) outwards(events []uint64) {
	for i := 0; i < len(events); {
		j := i + 1
		for j < len(events) && events[j]>>32 == events[i]>>32 {
			j++
		}
		if j-i >= manyAtOnce {
			if far := q.stand(tick(events[i] >> 32)); far != nil {
				slices.SortStableFunc(events[i:j], func(a, b uint64) int { return cmp.Compare(far(uint32(a)), far(uint32(b))) })
			}
		}
		i = j
	}
}

// sortInBucket puts cells whose ticks differ in the lowest bits only, eight at most, in order; the result lies in b. It
// counts once and is stable, as sortByTick.
func sortInBucket(a, b []uint64, bits int) {
	var next [256]int32
	mask := uint64(1)<<bits - 1
	for _, v := range a {
		next[v>>32&mask]++
	}
	sum := int32(0)
	for i, n := range next[:mask+1] {
		next[i], sum = sum, sum+n
	}
	for _, v := range a {
		d := v >> 32 & mask
		b[next[d]] = v
		next[d]++
	}
}

// sortByTick is a stable radix sort on the upper halves; the result lies in a or in b. Only the digits in which they
// differ cost anything.
func sortByTick(a, b []uint64) []uint64 {
	if len(a) == 0 {
		return a
	}
	lo, hi := a[0]>>32, a[0]>>32
	for _, v := range a {
		lo, hi = min(lo, v>>32), max(hi, v>>32)
	}
	const digit = 11
	base := lo << 32
	for left, shift := hi-lo, 32; left > 0; left, shift = left>>digit, shift+digit {
		var next [1 << digit]int32
		for _, v := range a {
			next[(v-base)>>shift&(1<<digit-1)]++
		}
		sum := int32(0)
		for i, n := range next {
			next[i], sum = sum, sum+n
		}
		for _, v := range a {
			d := (v - base) >> shift & (1<<digit - 1)
			b[next[d]] = v
			next[d]++
		}
		a, b = b, a
	}
	return a
}
