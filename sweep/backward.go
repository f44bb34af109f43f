package sweep

// putBack returns the cut cells in order of falling time. events are sorted by rising time.
func (f *forest) putBack(events []uint64, tileOf []int32) {
	for n := len(events) - 1; n >= 0; n-- {
		e := events[n]
		f.restore(tick(e>>32), uint32(e), tileOf)
	}
}

// restore puts one cell back. id holds the slot of its tile and its place in the tile.
func (f *forest) restore(at tick, id uint32, tileOf []int32) {
	c := f.c
	slot, k := id>>(2*tileBits), int(id&(tileArea-1))
	t := c.list[slot]
	i := int(tileOf[slot])
	var near [4]int32
	count := 0
	rim := false
	blank := c.blankAt(i, k)
	if x, y := k&tileMask, k>>tileBits; x > 0 && x < tileMask && y > 0 && y < tileMask && t.blank == nil {
		for _, nk := range [4]int{k + 1, k + tileSide, k - 1, k - tileSide} {
			if l := t.label[nk]; l != noNode {
				near, count = f.addNear(near, count, l)
			} else if t.cut[nk] == tickOutside {
				rim = true
			}
		}
	} else {
		for dir := 0; dir < 4; dir++ {
			ni, nk, ok := c.side(i, k, dir)
			if !ok {
				rim = true
				continue
			}
			if l := f.labelIn(ni, nk, blank); l != noNode {
				near, count = f.addNear(near, count, l)
			} else if o := c.tiles[ni]; o != nil && o.cut[nk] == tickOutside || o == nil && c.plain[ni].blank == noBlank {
				rim = true
			}
		}
	}
	root := noNode
	switch count {
	case 0:
		root = f.add(blank)
	case 1:
		root = near[0]
	default:
		root = f.meet(near[:count], at, id)
	}
	t.label[k] = root
	n := &f.nodes[root]
	n.size++
	n.sx += int64(i%c.tx)<<tileBits + int64(k&tileMask)
	n.sy += int64(i/c.tx)<<tileBits + int64(k>>tileBits)
	n.rim = n.rim || rim
}

func (f *forest) addNear(near [4]int32, count int, label int32) ([4]int32, int) {
	r := f.find(label)
	for n := 0; n < count; n++ {
		if near[n] == r {
			return near, count
		}
	}
	near[count] = r
	return near, count + 1
}

// meet joins sets at a cell. Crumbs are taken in by the largest; two or more grown sets make a new node.
func (f *forest) meet(sets []int32, at tick, id uint32) int32 {
	big := sets[0]
	grown := make([]int32, 0, 4)
	for _, s := range sets {
		if f.nodes[s].size > f.nodes[big].size || f.nodes[s].size == f.nodes[big].size && s < big {
			big = s
		}
		if f.nodes[s].size >= crumbCells {
			grown = append(grown, s)
		}
	}
	root := big
	if len(grown) > 1 {
		root = f.add(f.nodes[big].blank)
		f.nodes[root].kids, f.nodes[root].at, f.nodes[root].cell = grown, at, id
	}
	for _, s := range sets {
		if s == root {
			continue
		}
		if len(grown) > 1 && f.nodes[s].size >= crumbCells {
			f.nodes[s].up = root
			n, o := &f.nodes[root], &f.nodes[s]
			n.size, n.sx, n.sy, n.rim = n.size+o.size, n.sx+o.sx, n.sy+o.sy, n.rim || o.rim
			continue
		}
		f.absorb(root, s)
	}
	return root
}

// events lists the cells that were cut, by rising time: tick in the upper half, slot and place in the lower.
func (c *cells) events() []uint64 {
	var out []uint64
	for slot, t := range c.list {
		for k, at := range t.cut {
			if at >= firstTick && at != tickNever {
				out = append(out, uint64(at)<<32|uint64(slot)<<(2*tileBits)|uint64(k))
			}
		}
	}
	return sortByTick(out)
}

// sortByTick is a stable radix sort on the upper halves.
func sortByTick(a []uint64) []uint64 {
	b := make([]uint64, len(a))
	for shift := 32; shift < 64; shift += 11 {
		var count [1 << 11]int
		for _, v := range a {
			count[v>>shift&(1<<11-1)]++
		}
		sum := 0
		for i, n := range count {
			count[i], sum = sum, sum+n
		}
		for _, v := range a {
			d := v >> shift & (1<<11 - 1)
			b[count[d]] = v
			count[d]++
		}
		a, b = b, a
	}
	return a
}
