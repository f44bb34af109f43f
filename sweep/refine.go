package sweep

import (
	"slices"
	"sort"
	"sync"
	"sync/atomic"
)

// Where a raster says that two grown sets come apart, a bridge thinner than a cell may still join them: a cut that stops
// a tenth of a millimetre short of its own beginning leaves one, and no cell's centre need lie on it. So each place
// where a piece would come free is swept again on a local grid with fineness x fineness cells for each cell, over a
// window that grows until the answer stays. On it the widest path between the two sides (widest in time) tells when
// the last bridge really goes. Bound: a bridge narrower than sqrt(2)/fineness of a cell, a tenth of it, may be missed.
const (
	fineness    = 15 // odd: the centre of a cell is then the centre of one of its parts
	firstWindow = 3  // half width of the window, cells
	lastWindow  = 24
	maxRounds   = 24
	maxRefined  = 1 << 13 // places looked at; beyond, the raster's answer stands (pieces then come free rather too early)
	// nearTicks is how far the moment may move without the sets being put together anew.
	nearTicks = 8 * ticksPerCell
)

// bridges finds the true moments of the splits of a forest.
type bridges struct {
	s      *setup
	c      *cells
	f      *forest
	tileOf []int32
	near   *moveIndex
	hold   map[uint32]tick // cells that stand for a bridge, with the moment it goes
	done   map[uint32]bool // places looked at
	capped bool
}

// grow puts the cells back, looks closely at every split, and repeats with the bridges that were found.
func (b *bridges) grow() {
	f := b.f
	q := newQueue(b.c, f.level)
	start := append([]node(nil), f.nodes...)
	b.hold, b.done = map[uint32]tick{}, map[uint32]bool{}
	for round := 0; ; round++ {
		moved := make([]uint64, 0, len(b.hold))
		for id, at := range b.hold {
			moved = append(moved, uint64(at)<<32|uint64(id))
		}
		slices.Sort(moved)
		f.putBack(q, b.hold, moved, b.tileOf)
		if round == maxRounds || !b.look() {
			return
		}
		f.nodes = append(f.nodes[:0], start...)
		for _, id := range q.ids {
			b.c.list[id>>(2*tileBits)].label[id&(tileArea-1)] = noNode
		}
	}
}

// split is a place to look at and what was found there.
type split struct {
	node   int32
	at     tick
	bridge []uint32 // cells on it
}

// look refines the new splits and tells whether the sets have to be put together anew.
func (b *bridges) look() (again bool) {
	var todo []split
	times := make([]tick, 0)
	for i := range b.f.nodes {
		n := &b.f.nodes[i]
		if len(n.kids) == 0 {
			continue
		}
		times = append(times, n.at)
		if _, held := b.hold[n.cell]; held || b.done[n.cell] {
			continue
		}
		if len(b.done) >= maxRefined {
			b.capped = true
			break
		}
		b.done[n.cell] = true
		todo = append(todo, split{node: int32(i)})
	}
	if len(todo) == 0 {
		return false
	}
	if b.near == nil {
		b.near = newMoveIndex(b.s)
	}
	var next atomic.Int64
	work := func() {
		for {
			i := int(next.Add(1)) - 1
			if i >= len(todo) {
				return
			}
			b.refine(&todo[i])
		}
	}
	var wg sync.WaitGroup
	for i := 1; i < b.s.opt.Jobs && i < len(todo); i++ {
		wg.Add(1)
		go func() { defer wg.Done(); work() }()
	}
	work()
	wg.Wait()
	sort.Slice(times, func(i, j int) bool { return times[i] < times[j] })
	for _, p := range todo {
		n := &b.f.nodes[p.node]
		if p.at == n.at {
			continue
		}
		lo, hi := min(p.at, n.at), max(p.at, n.at)
		between := sort.Search(len(times), func(i int) bool { return times[i] > hi }) -
			sort.Search(len(times), func(i int) bool { return times[i] >= lo })
		if hi-lo <= nearTicks && between == 1 {
			n.at = p.at
			continue
		}
		for _, id := range p.bridge {
			if old, ok := b.hold[id]; !ok || old < p.at {
				b.hold[id] = p.at
			}
		}
		again = true
	}
	return again
}

// refine looks at one split in growing windows until one is large enough.
func (b *bridges) refine(p *split) {
	n := &b.f.nodes[p.node]
	i := int(b.tileOf[n.cell>>(2*tileBits)])
	k := int(n.cell & (tileArea - 1))
	cx, cy := (i%b.c.tx)<<tileBits+k&tileMask, (i/b.c.tx)<<tileBits+k>>tileBits
	p.at = n.at
	for w := firstWindow; w <= lastWindow; w *= 2 {
		at, bridge, cramped, ok := b.window(cx, cy, w, n.kids)
		if !ok {
			return
		}
		p.at, p.bridge = at, bridge
		if !cramped {
			break
		}
	}
	if len(p.bridge) == 0 {
		p.bridge = []uint32{n.cell}
	}
}

// kidOf tells which of the meeting sets a label is part of; -1 for none.
func (f *forest) kidOf(label int32, kids []int32) int {
	most := kids[0]
	for _, k := range kids {
		most = max(most, k)
	}
	for label != noNode && label <= most {
		for f.nodes[label].alias != label {
			label = f.nodes[label].alias
		}
		for i, k := range kids {
			if k == label {
				return i
			}
		}
		label = f.nodes[label].met
	}
	return -1
}
