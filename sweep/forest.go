package sweep

import "staydown/sweep/parallel"

// forest is the merge tree of a store while it grows.
type forest struct {
	c      *cells
	floor  int    // tiles below are not looked at by scan
	stay   []node // as remaining leaves them
	nodes  []node
	meets  []meeting // in order of falling time
	stands stands
	// necks are the cells whose removal parted their own surroundings though not, as far as the raster tells, the set.
	necks []uint64 // tick and cell, in order of falling time

	pages     [][][]uint32 // slot and place of the cells that are cut, by stretches of time
	pageTicks tick         // of a stretch
	nearRim   []bool       // of each slot
	last      int          // move of the latest cell that was put back
}

// newForest labels the material that is left at the end of a sweep.
func newForest(c *cells, jobs int) *forest {
	f := &forest{c: c}
	f.remaining(jobs)
	return f
}

// mostStrips is how many strips of tile rows the grid is labelled in.
const mostStrips = 16

// remaining labels the material that is left at the end, set by set, in order of their first cell.
func (f *forest) remaining(jobs int) {
	c := f.c
	rows := (c.ty + mostStrips - 1) / mostStrips
	strips := make([]forest, (c.ty+rows-1)/rows)
	parallel.For(jobs, len(strips), func(_, n int) {
		strips[n] = forest{c: c, floor: n * rows * c.tx}
		strips[n].scan(min((n+1)*rows, c.ty) * c.tx)
	})
	var all forest
	base := make([]int32, len(strips))
	for n := range strips {
		base[n] = int32(len(all.nodes))
		for _, node := range strips[n].nodes {
			node.up += base[n]
			all.nodes = append(all.nodes, node)
		}
	}
	for n := 1; n < len(strips); n++ {
		for i := n * rows * c.tx; i < (n*rows+1)*c.tx; i++ {
			for k := range tileSide {
				blank := c.blankAt(i, k)
				up, down := f.labelIn(i, k, blank), f.labelIn(i-c.tx, k+tileArea-tileSide, blank)
				if up != noNode && down != noNode {
					all.unite(up+base[n], down+base[n-1])
				}
			}
		}
	}
	name := make([]int32, len(all.nodes))
	for l := range all.nodes { // a set's root is its first label
		r := all.find(int32(l))
		if r == int32(l) {
			name[l] = f.add(all.nodes[l].blank, all.nodes[l].rep)
		}
		name[l] = name[r]
	}
	parts := make([][]sums, max(1, jobs))
	parallel.For(jobs, len(strips), func(worker, n int) {
		if parts[worker] == nil {
			parts[worker] = make([]sums, len(f.nodes))
		}
		to := min((n+1)*rows, c.ty) * c.tx
		for i := n * rows * c.tx; i < to; i++ {
			f.rename(i, name[base[n]:], parts[worker])
		}
	})
	for _, part := range parts {
		for n := range part {
			f.nodes[n].add(&part[n])
		}
	}
	f.stay, f.nodes = f.nodes, nil
}

// scan gives provisional labels to the tiles from floor up to, but without, to.
func (f *forest) scan(to int) {
	for i := f.floor; i < to; i++ {
		if t := f.c.tiles[i]; t != nil {
			f.scanTile(i, t)
		} else if f.c.plain[i].blank >= 0 {
			f.scanPlain(i)
		} else {
			f.c.plain[i].label = noNode
		}
	}
}

// rename gives the cells of a tile the final names of their labels and sums them up.
func (f *forest) rename(i int, name []int32, to []sums) {
	c := f.c
	x0, y0 := int64(i%c.tx)<<tileBits, int64(i/c.tx)<<tileBits
	t := c.tiles[i]
	if t == nil {
		if u := &c.plain[i]; u.label != noNode {
			u.label = name[u.label]
			s := &to[u.label]
			s.size += tileArea
			s.sx += x0*tileArea + tileSide*(tileSide*(tileSide-1)/2)
			s.sy += y0*tileArea + tileSide*(tileSide*(tileSide-1)/2)
			s.rim = s.rim || c.nearRim(i) && f.c.plainAtRim(i)
		}
		return
	}
	nearRim := c.nearRim(i)
	for k := 0; k < tileArea; {
		l := t.label[k]
		if l == noNode {
			k++
			continue
		}
		// A run of one label in a row is entered at once.
		n, k0, stop := name[l], k, k|tileMask
		for ; k <= stop && t.label[k] == l; k++ {
			t.label[k] = n
		}
		count, x, y := int64(k-k0), x0+int64(k0&tileMask), y0+int64(k0>>tileBits)
		s := &to[n]
		s.size += count
		s.sx += count*x + count*(count-1)/2
		s.sy += count * y
		for j := k0; nearRim && !s.rim && j < k; j++ {
			s.rim = f.c.atRim(i, j)
		}
	}
}

// scanTile gives provisional labels to a tile with memory, joining them to the tiles to the left and below.
func (f *forest) scanTile(i int, t *tile) {
	if t.blank != nil {
		f.scanMixed(i, t)
		return
	}
	gone, blank := &t.cut, f.c.plain[i].blank
	var first [tileSide]int32
	for x := range first {
		first[x] = f.below(i, t, x, blank)
	}
	below := &first
	for y := range tileSide {
		gone, label := (*[tileSide]tick)(gone[y<<tileBits:]), (*[tileSide]int32)(t.label[y<<tileBits:])
		for x := 0; x < tileSide; {
			if gone[x] != tickNever {
				label[x] = noNode
				x++
				continue
			}
			x0, l := x, noNode
			if x == 0 {
				l = f.leftOf(i, t, y<<tileBits, blank)
			}
			for last := l; x < tileSide && gone[x] == tickNever; x++ {
				switch d := below[x]; {
				case d == last || d == noNode:
				case l == noNode:
					l, last = d, d
				default:
					f.unite(l, d)
					last = d
				}
			}
			if l == noNode {
				l = f.add(blank, repOf(i, y<<tileBits|x0))
			}
			for ; x0 < x; x0++ {
				label[x0] = l
			}
		}
		below = label
	}
}

// scanMixed does the same cell by cell for a tile with cells of several blanks.
func (f *forest) scanMixed(i int, t *tile) {
	for k, at := range &t.cut {
		if at != tickNever {
			t.label[k] = noNode
			continue
		}
		b := f.c.blankAt(i, k)
		l, d := f.leftOf(i, t, k, b), f.below(i, t, k, b)
		switch {
		case l == noNode && d == noNode:
			l = f.add(b, repOf(i, k))
		case l == noNode:
			l = d
		case d != noNode && d != l:
			f.unite(l, d)
		}
		t.label[k] = l
	}
}

func (f *forest) unite(a, b int32) {
	a, b = f.find(a), f.find(b)
	if a > b {
		a, b = b, a
	}
	f.nodes[b].up = a
}

func (f *forest) leftOf(i int, t *tile, k int, blank int16) int32 {
	if k&tileMask != 0 {
		if t.blank != nil && int16(t.blank[k-1]) != blank {
			return noNode
		}
		return t.label[k-1]
	}
	if i%f.c.tx == 0 {
		return noNode
	}
	return f.labelIn(i-1, k+tileMask, blank)
}

func (f *forest) below(i int, t *tile, k int, blank int16) int32 {
	if k >= tileSide {
		if t.blank != nil && int16(t.blank[k-tileSide]) != blank {
			return noNode
		}
		return t.label[k-tileSide]
	}
	if i-f.c.tx < f.floor {
		return noNode
	}
	return f.labelIn(i-f.c.tx, k+tileArea-tileSide, blank)
}

// labelIn gives the label of a cell if it is of the same blank.
func (f *forest) labelIn(i, k int, blank int16) int32 {
	if t := f.c.tiles[i]; t != nil {
		if l := t.label[k]; l == noNode || f.c.blankAt(i, k) != blank {
			return noNode
		}
		return t.label[k]
	}
	if u := f.c.plain[i]; u.blank == blank {
		return u.label
	}
	return noNode
}

// scanPlain gives a provisional label to a tile without memory.
func (f *forest) scanPlain(i int) {
	u := &f.c.plain[i]
	u.label = f.add(u.blank, repOf(i, 0))
	last := noNode
	join := func(label int32) {
		if label != noNode && label != last {
			f.unite(label, u.label)
			last = label
		}
	}
	for k := range tileSide {
		if i%f.c.tx > 0 {
			join(f.labelIn(i-1, k<<tileBits|tileMask, u.blank))
		}
	}
	for k := range tileSide {
		if i-f.c.tx >= f.floor {
			join(f.labelIn(i-f.c.tx, tileArea-tileSide+k, u.blank))
		}
	}
}
