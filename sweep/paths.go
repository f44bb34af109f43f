package sweep

import "math"

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
		p.same[i] = f.c.clock.first[f.nodes[i].move+1]
		if s := p.skip[next]; depth[next]-depth[s] == depth[s]-depth[p.skip[s]] {
			p.skip[i] = p.skip[s]
		}
	}
	return p
}

// nodeAt gives the node that a leaf is part of when a cell joins it, and between which orders (over lo, up to hi) that is so.
func (p *paths) nodeAt(leaf int32, at order) (n int32, lo, hi order) {
	n, hi = p.settled[leaf], math.MaxUint64
	for p.end[n] >= at {
		// A skip to a node that goes on never ends the way, so hi is the end of the node before.
		if s := p.skip[n]; p.end[s] >= at {
			n = s
		} else {
			n, hi = p.next[n], p.end[n]
		}
	}
	return n, p.end[n], hi
}

// sums are what cells add up to.
type sums struct {
	size   int64 // cells
	sx, sy int64 // sums of their indices
	same   int64 // cells cut by the move that ends their node
	rim    bool  // one touches the outer rim of its blank
}

func (s *sums) add(o *sums) {
	s.size, s.sx, s.sy, s.same, s.rim = s.size+o.size, s.sx+o.sx, s.sy+o.sy, s.same+o.same, s.rim || o.rim
}

// label gives the cells of a tile their nodes and sums them up.
func (w *seeker) label(f *forest, p *paths, slot int) {
	c, t, i := f.c, f.c.list[slot], int(f.tileOf[slot])
	x0, y0 := int64(i%c.tx)<<tileBits, int64(i/c.tx)<<tileBits
	nearRim := c.nearRim(i)
	leaf, node, lo, hi, same := noNode, noNode, order(0), order(0), tick(0)
	var run sums
	for k, at := range f.level(t) {
		if at < firstTick || at == tickNever {
			continue
		}
		// Only where the ticks do not tell are orders needed.
		if t.label[k] != leaf || at <= lo.tick() || at >= hi.tick() {
			if o := f.orderIn(t, k, at); t.label[k] != leaf || o <= lo || o > hi {
				if node != noNode {
					w.sums[node].add(&run)
				}
				leaf, run = t.label[k], sums{}
				node, lo, hi = p.nodeAt(leaf, o)
				same = p.same[node]
			}
		}
		t.label[k] = node
		run.size++
		run.sx += x0 + int64(k&tileMask)
		run.sy += y0 + int64(k>>tileBits)
		if at < same {
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
		all[f.settled(int32(i))].add(&f.nodes[i].sums)
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
		f.nodes[i].sums = all[i]
	}
}
