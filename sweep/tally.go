package sweep

import "staydown/sweep/parallel"

// tally is what the cells of each piece add up to, by id, without those of the pieces cut from it later.
type tally struct {
	vol, num []int64 // heights, and cells left at the end
	top      []fix
	ext      []extent
	under    []under
}

// under is what stands under the tool when a piece is freed and goes with the same plunge.
type under struct {
	sums
	vol int64 // heights
}

func newTally(ids int) *tally {
	t := &tally{vol: make([]int64, ids), num: make([]int64, ids), top: make([]fix, ids), ext: make([]extent, ids),
		under: make([]under, ids)}
	for i := range t.ext {
		t.ext[i] = noExtent
	}
	return t
}

// join adds another part of the grid.
func (t *tally) join(o *tally) {
	for i := range t.vol {
		t.vol[i] += o.vol[i]
		t.num[i] += o.num[i]
		t.top[i] = max(t.top[i], o.top[i])
		t.ext[i] = t.ext[i].union(o.ext[i])
		t.under[i].add(&o.under[i].sums)
		t.under[i].vol += o.under[i].vol
	}
}

// takeStock turns the labels of the cells from nodes into ids and adds up what belongs to each. A cell counts with the
// height it has at the end, or, if it is cut through, with the least it had as a web before, else with that of its
// blank.
func takeStock(s *setup, c *cells, id []int32, tree *pieceTree) *tally {
	ids := len(tree.parent)
	parts := make([]*tally, max(1, s.opt.Jobs))
	parallel.For(s.opt.Jobs, c.ty, func(worker, ty int) {
		if parts[worker] == nil {
			parts[worker] = newTally(ids)
		}
		for i := ty * c.tx; i < (ty+1)*c.tx; i++ {
			if t := c.tiles[i]; t != nil {
				parts[worker].tile(c, i, t, id, tree)
			} else {
				parts[worker].plain(c, i, id)
			}
		}
	})
	sum := newTally(ids)
	for _, p := range parts {
		if p != nil {
			sum.join(p)
		}
	}
	return sum
}

func (a *tally) plain(c *cells, i int, id []int32) {
	u := &c.plain[i]
	if u.label == noNode {
		u.label = 0
		return
	}
	u.label = id[u.label]
	if l := u.label; l > 0 {
		h := c.tops[u.blank]
		a.vol[l] += int64(h) * tileArea
		a.num[l] += tileArea
		a.top[l] = max(a.top[l], h)
		x, y := c.place(i, 0)
		a.ext[l] = a.ext[l].with(x, y).with(x+tileMask, y+tileMask)
	}
}

func (a *tally) tile(c *cells, i int, t *tile, id []int32, tree *pieceTree) {
	for k := 0; k < tileArea; {
		node, k0, stop := t.label[k], k, k|tileMask
		l := int32(0)
		if node != noNode {
			l = id[node]
		}
		// A run of one label in a row is entered at once.
		for ; k <= stop && t.label[k] == node; k++ {
			t.label[k] = l
		}
		if l <= 0 {
			continue
		}
		full := c.tops[c.blankAt(i, k0)]
		whole := tree.whole[l]
		var vol, num int64
		top := a.top[l]
		for j := k0; j < k; j++ {
			h, gone := t.h[j], false
			switch {
			case h > 0: // it stays
				num++
			case t.thin != nil && t.thin.h[j] > 0:
				h, gone = t.thin.h[j], true
			default:
				h, gone = full, true
			}
			vol += int64(h)
			top = max(top, h)
			if gone && whole > 0 && t.cut[j] < whole {
				x, y := c.place(i, j)
				a.goes(tree, l, t.cut[j], under{sums{size: 1, sx: int64(x), sy: int64(y)}, int64(h)})
			}
		}
		a.vol[l] += vol
		a.num[l] += num
		a.top[l] = top
		x0, y := c.place(i, k0)
		a.ext[l] = a.ext[l].with(x0, y).with(x0+int32(k-1-k0), y)
	}
}

// goes enters a cell of piece l that is cut while the tool stands which frees l, and perhaps those that it was cut
// from.
func (a *tally) goes(tree *pieceTree, l int32, cut tick, cell under) {
	for ; l > 0 && cut < tree.whole[l]; l = tree.parent[l] {
		a.under[l].add(&cell.sums)
		a.under[l].vol += cell.vol
	}
}
