package pieces

import (
	"staydown/sweep/internal/plan"
	"staydown/sweep/internal/raster"
	"staydown/sweep/parallel"
)

func newTally(ids int) *tally {
	t := &tally{vol: make([]int64, ids), num: make([]int64, ids), top: make([]raster.Fixed, ids),
		ext:   make([]raster.Extent, ids),
		under: make([]cutUnderTool, ids)}
	for i := range t.ext {
		t.ext[i] = raster.NoExtent
	}
	return t
}

// join adds another part of the grid.
func (t *tally) join(o *tally) {
	for i := range t.vol {
		t.vol[i] += o.vol[i]
		t.num[i] += o.num[i]
		t.top[i] = max(t.top[i], o.top[i])
		t.ext[i] = t.ext[i].Union(o.ext[i])
		t.under[i].add(&o.under[i].cellSums)
		t.under[i].vol += o.under[i].vol
	}
}

// takeStock turns the labels of the cells from nodes into ids and adds up what belongs to each. A cell counts with the
// height it has at the end, or, if it is cut through, with the least it had as a web before, else with that of its
// blank.
func takeStock(s *plan.Setup, c *raster.Cells, id []int32, tree *Tree) *tally {
	ids := len(tree.parent)
	parts := make([]*tally, max(1, s.Opt.Jobs))
	parallel.For(s.Opt.Jobs, c.TY, func(worker, ty int) {
		if parts[worker] == nil {
			parts[worker] = newTally(ids)
		}
		for i := ty * c.TX; i < (ty+1)*c.TX; i++ {
			if t := c.Tiles[i]; t != nil {
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

func (a *tally) plain(c *raster.Cells, i int, id []int32) {
	u := &c.Plain[i]
	if u.Label == NoLabel {
		u.Label = 0
		return
	}
	u.Label = id[u.Label]
	if l := u.Label; l > 0 {
		h := c.Tops[u.Blank]
		a.vol[l] += int64(h) * raster.TileArea
		a.num[l] += raster.TileArea
		a.top[l] = max(a.top[l], h)
		x, y := c.Place(i, 0)
		a.ext[l] = a.ext[l].With(x, y).With(x+raster.TileMask, y+raster.TileMask)
	}
}

func (a *tally) tile(c *raster.Cells, i int, t *raster.Tile, id []int32, tree *Tree) {
	for k := 0; k < raster.TileArea; {
		node, k0, stop := t.Label[k], k, k|raster.TileMask
		l := int32(0)
		if node != NoLabel {
			l = id[node]
		}
		// A run of one label in a row is entered at once.
		for ; k <= stop && t.Label[k] == node; k++ {
			t.Label[k] = l
		}
		if l <= 0 {
			continue
		}
		full := c.Tops[c.BlankOf(i, k0)]
		whole := tree.whole[l]
		var vol, num int64
		top := a.top[l]
		for j := k0; j < k; j++ {
			h, gone := t.Height[j], false
			switch {
			case h > 0: // it stays
				num++
			case t.Thin != nil && t.Thin.Height[j] > 0:
				h, gone = t.Thin.Height[j], true
			default:
				h, gone = full, true
			}
			vol += int64(h)
			top = max(top, h)
			if gone && whole > 0 && t.Cut[j] < whole {
				x, y := c.Place(i, j)
				a.goes(tree, l, t.Cut[j], cutUnderTool{cellSums{size: 1, sx: int64(x), sy: int64(y)}, int64(h)})
			}
		}
		a.vol[l] += vol
		a.num[l] += num
		a.top[l] = top
		x0, y := c.Place(i, k0)
		a.ext[l] = a.ext[l].With(x0, y).With(x0+int32(k-1-k0), y)
	}
}

// goes enters a cell of piece l that is cut while the tool stands which frees l, and perhaps those that it was cut
// from.
func (a *tally) goes(tree *Tree, l int32, cut raster.Tick, cell cutUnderTool) {
	for ; l > 0 && cut < tree.whole[l]; l = tree.parent[l] {
		a.under[l].add(&cell.cellSums)
		a.under[l].vol += cell.vol
	}
}
