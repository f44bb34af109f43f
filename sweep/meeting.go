package sweep

import (
	"cmp"
	"slices"
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
