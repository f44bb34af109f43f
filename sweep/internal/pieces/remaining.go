package pieces

import (
	"staydown/sweep/internal/raster"
	"staydown/sweep/parallel"
)

// NewMergeTree labels the material that is left at the end of a sweep.
func NewMergeTree(c *raster.Cells, jobs int) *MergeTree {
	f := &MergeTree{c: c}
	f.remaining(jobs)
	return f
}

// mostStrips is how many strips of tile rows the grid is labeled in.
const mostStrips = 16

// remaining labels the material that is left at the end, set by set, in order of their first cell.
func (f *MergeTree) remaining(jobs int) {
	c := f.c
	rows := (c.TY + mostStrips - 1) / mostStrips
	strips := make([]MergeTree, (c.TY+rows-1)/rows)
	parallel.For(jobs, len(strips), func(_, n int) {
		strips[n] = MergeTree{c: c, floor: n * rows * c.TX}
		strips[n].scan(min((n+1)*rows, c.TY) * c.TX)
	})
	labels := 0
	for n := range strips {
		labels += len(strips[n].nodes)
	}
	all := MergeTree{nodes: make([]treeNode, 0, labels)}
	base := make([]int32, len(strips))
	for n := range strips {
		base[n] = int32(len(all.nodes))
		for _, node := range strips[n].nodes {
			node.up += base[n]
			all.nodes = append(all.nodes, node)
		}
	}
	for n := 1; n < len(strips); n++ {
		for i := n * rows * c.TX; i < (n*rows+1)*c.TX; i++ {
			for k := range raster.TileSide {
				blank := c.BlankOf(i, k)
				up, down := f.labelIn(i, k, blank), f.labelIn(i-c.TX, k+raster.TileArea-raster.TileSide, blank)
				if up != NoLabel && down != NoLabel {
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
	parts := make([][]cellSums, max(1, jobs))
	parallel.For(jobs, len(strips), func(worker, n int) {
		if parts[worker] == nil {
			parts[worker] = make([]cellSums, len(f.nodes))
		}
		to := min((n+1)*rows, c.TY) * c.TX
		for i := n * rows * c.TX; i < to; i++ {
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
func (f *MergeTree) scan(to int) {
	for i := f.floor; i < to; i++ {
		if t := f.c.Tiles[i]; t != nil {
			f.scanTile(i, t)
		} else if f.c.Plain[i].Blank >= 0 {
			f.scanPlain(i)
		} else {
			f.c.Plain[i].Label = NoLabel
		}
	}
}

// rename gives the cells of a tile the final names of their labels and sums them up.
func (f *MergeTree) rename(i int, name []int32, to []cellSums) {
	c := f.c
	x0, y0 := int64(i%c.TX)<<raster.TileBits, int64(i/c.TX)<<raster.TileBits
	t := c.Tiles[i]
	if t == nil {
		if u := &c.Plain[i]; u.Label != NoLabel {
			u.Label = name[u.Label]
			s := &to[u.Label]
			s.size += raster.TileArea
			s.sx += x0*raster.TileArea + raster.TileSide*(raster.TileSide*(raster.TileSide-1)/2)
			s.sy += y0*raster.TileArea + raster.TileSide*(raster.TileSide*(raster.TileSide-1)/2)
			s.rim = s.rim || c.NearRim(i) && f.c.PlainAtRim(i)
		}
		return
	}
	nearRim := c.NearRim(i)
	for k := 0; k < raster.TileArea; {
		l := t.Label[k]
		if l == NoLabel {
			k++
			continue
		}
		// A run of one label in a row is entered at once.
		n, k0, stop := name[l], k, k|raster.TileMask
		for ; k <= stop && t.Label[k] == l; k++ {
			t.Label[k] = n
		}
		count, x, y := int64(k-k0), x0+int64(k0&raster.TileMask), y0+int64(k0>>raster.TileBits)
		s := &to[n]
		s.size += count
		s.sx += count*x + count*(count-1)/2
		s.sy += count * y
		for j := k0; nearRim && !s.rim && j < k; j++ {
			s.rim = f.c.AtRim(i, j)
		}
	}
}

// scanTile gives provisional labels to a tile with memory, joining them to the tiles to the left and below.
func (f *MergeTree) scanTile(i int, t *raster.Tile) {
	if t.Blank != nil {
		f.scanMixed(i, t)
		return
	}
	gone, blank := &t.Cut, f.c.Plain[i].Blank
	var first [raster.TileSide]int32
	for x := range first {
		first[x] = f.below(i, t, x, blank)
	}
	below := &first
	for y := range raster.TileSide {
		gone, label := (*[raster.TileSide]raster.Tick)(gone[y<<raster.TileBits:]),
			(*[raster.TileSide]int32)(t.Label[y<<raster.TileBits:])
		for x := 0; x < raster.TileSide; {
			if gone[x] != raster.TickNever {
				label[x] = NoLabel
				x++
				continue
			}
			x0, l := x, NoLabel
			if x == 0 {
				l = f.leftOf(i, t, y<<raster.TileBits, blank)
			}
			for last := l; x < raster.TileSide && gone[x] == raster.TickNever; x++ {
				switch d := below[x]; {
				case d == last || d == NoLabel:
				case l == NoLabel:
					l, last = d, d
				default:
					f.unite(l, d)
					last = d
				}
			}
			if l == NoLabel {
				l = f.add(blank, repOf(i, y<<raster.TileBits|x0))
			}
			for ; x0 < x; x0++ {
				label[x0] = l
			}
		}
		below = label
	}
}

// scanMixed does the same cell by cell for a tile with cells of several blanks.
func (f *MergeTree) scanMixed(i int, t *raster.Tile) {
	for k, at := range &t.Cut {
		if at != raster.TickNever {
			t.Label[k] = NoLabel
			continue
		}
		b := f.c.BlankOf(i, k)
		l, d := f.leftOf(i, t, k, b), f.below(i, t, k, b)
		switch {
		case l == NoLabel && d == NoLabel:
			l = f.add(b, repOf(i, k))
		case l == NoLabel:
			l = d
		case d != NoLabel && d != l:
			f.unite(l, d)
		}
		t.Label[k] = l
	}
}

func (f *MergeTree) unite(a, b int32) {
	a, b = f.find(a), f.find(b)
	if a > b {
		a, b = b, a
	}
	f.nodes[b].up = a
}

func (f *MergeTree) leftOf(i int, t *raster.Tile, k int, blank int16) int32 {
	if k&raster.TileMask != 0 {
		if t.Blank != nil && int16(t.Blank[k-1]) != blank {
			return NoLabel
		}
		return t.Label[k-1]
	}
	if i%f.c.TX == 0 {
		return NoLabel
	}
	return f.labelIn(i-1, k+raster.TileMask, blank)
}

func (f *MergeTree) below(i int, t *raster.Tile, k int, blank int16) int32 {
	if k >= raster.TileSide {
		if t.Blank != nil && int16(t.Blank[k-raster.TileSide]) != blank {
			return NoLabel
		}
		return t.Label[k-raster.TileSide]
	}
	if i-f.c.TX < f.floor {
		return NoLabel
	}
	return f.labelIn(i-f.c.TX, k+raster.TileArea-raster.TileSide, blank)
}

// scanPlain gives a provisional label to a tile without memory: a new one only where it touches none.
func (f *MergeTree) scanPlain(i int) {
	u := &f.c.Plain[i]
	label, last := NoLabel, NoLabel
	join := func(beside int32) {
		switch {
		case beside == last || beside == NoLabel:
			return
		case label == NoLabel:
			label = beside
		default:
			f.unite(label, beside)
		}
		last = beside
	}
	for k := range raster.TileSide {
		if i%f.c.TX > 0 {
			join(f.labelIn(i-1, k<<raster.TileBits|raster.TileMask, u.Blank))
		}
	}
	for k := range raster.TileSide {
		if i-f.c.TX >= f.floor {
			join(f.labelIn(i-f.c.TX, raster.TileArea-raster.TileSide+k, u.Blank))
		}
	}
	if label == NoLabel {
		label = f.add(u.Blank, repOf(i, 0))
	}
	u.Label = label
}
