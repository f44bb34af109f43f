package airflow

import "math"

// heap sums the portions of one level in one square of air cells.
type heap struct{ area, x, y, w float64 }

func (h *heap) add(o heap) {
	h.area += o.area
	h.x += o.x
	h.y += o.y
	h.w += o.w
}

// heapGroup divides a group by levels of transmission.
func (m *Model) heapGroup(g *group, put func(level int, h heap)) {
	if g.area <= 0 {
		return
	}
	area := float64(g.area) * m.air.fineMM * m.air.fineMM
	x, y := m.middleOf(g)
	mean, inner, depth := m.groupW(g)
	m.portions = profile(m.portions, mean/inner, depth)
	for _, p := range m.portions {
		a, w := area*p.share, inner*p.w
		put(levelOf(w), heap{area: a, x: a * x, y: a * y, w: a * w})
	}
}

// middleOf is the middle of what a group covers, mm.
func (m *Model) middleOf(g *group) (x, y float64) {
	grid, fine := m.air.grid, m.air.fineMM
	ix, iy := int(g.cell)%grid.NX, int(g.cell)/grid.NX
	return grid.OriginX + (float64(ix*m.air.m)+float64(g.sumX)/float64(g.area)+0.5)*fine,
		grid.OriginY + (float64(iy*m.air.m)+float64(g.sumY)/float64(g.area)+0.5)*fine
}

// groupW is the mean transmission under one group, that far behind all edges, and how deep the group is behind its own
// in decay lengths (0: flat).
//
// Where several groups share an air cell, what the cell loses is divided by the length of their edges, so that a sliver
// beside a kerf does not borrow hold from the sheet across it.
func (m *Model) groupW(g *group) (mean, inner, depth float64) {
	switch {
	case g.ground == gasketed:
		return 1, 1, 0
	case !g.ground.onLayer():
		return 0, 1, 0
	}
	f := m.field
	mean = min(1, max(0, f.w[g.cell]))
	all := m.layerOf(g.cell)
	length := g.sides.length()
	if all.length <= 0 {
		return mean, 1, 0
	}
	share, inner := float64(all.breath)/float64(all.area)*f.sheet.share(f.zoneOf(int(g.cell))), 1.0
	if f.seep != nil {
		through := f.work.throughMM * max(0, all.seep) / (float64(all.area) * f.fineMM * f.fineMM)
		share, inner = share+through, share/(share+through)
	}
	if mean >= inner {
		return mean, 1, 0 // most of it comes from beyond the cell
	}
	if g.area < all.area {
		mean = inner * m.shareLoss(g, (1-mean/inner)*float64(all.area))
	}
	if length <= 0 {
		return mean, inner, 0
	}
	return mean, inner, float64(g.area) * f.fineMM / length * math.Sqrt(share/f.kappa[g.cell])
}

// cover is what lies on the layer in one air cell, in fine cells.
type cover struct {
	area, breath int32
	seep         float64 // see group
	length       float64
}

func (m *Model) layerOf(cell int32) cover {
	var c cover
	for k := m.air.first[cell]; k < m.air.first[cell+1]; k++ {
		o := &m.air.groups[k]
		if !o.ground.onLayer() || o.area <= 0 {
			continue
		}
		c.area += o.area
		c.length += o.sides.length()
		c.seep += float64(o.seep)
		if o.ground == breathing {
			c.breath += o.area
		}
	}
	return c
}

// shareLoss is the mean transmission under one of several groups of a cell that together lose the given area: 1 - q P/A
// for perimeter P and area A with the one q that makes up the loss, no group losing more than all.
func (m *Model) shareLoss(g *group, loss float64) float64 {
	from, to := m.air.first[g.cell], m.air.first[g.cell+1]
	q := 0.0
	for range to - from {
		var full, open float64 // groups that have lost all, and the edges of the others
		for k := from; k < to; k++ {
			o := &m.air.groups[k]
			if !o.ground.onLayer() || o.area <= 0 {
				continue
			}
			edges := o.sides.length()
			if q > 0 && q*edges >= float64(o.area) {
				full += float64(o.area)
			} else {
				open += edges
			}
		}
		if open <= 0 {
			break
		}
		next := (loss - full) / open
		if next <= q {
			break
		}
		q = next
	}
	return 1 - min(1, q*g.sides.length()/float64(g.area))
}
