package airflow

import "math"

// split divides a group by levels of transmission.
func (f *Faces) split(g *group, put func(level int, s moments)) {
	if g.area <= 0 {
		return
	}
	area := float64(g.area) * f.air.fineMM * f.air.fineMM
	x, y := f.middle(g)
	mean, inner, depth := f.transmission(g)
	f.portions = profile(f.portions, mean/inner, depth)
	for _, p := range f.portions {
		a, w := area*p.share, inner*p.w
		put(levelOf(w), moments{area: a, x: a * x, y: a * y, w: a * w})
	}
}

// middle is the middle of what a group covers, mm.
func (f *Faces) middle(g *group) (x, y float64) {
	grid, fine := f.air.grid, f.air.fineMM
	ix, iy := int(g.cell)%grid.NX, int(g.cell)/grid.NX
	return grid.OriginX + (float64(ix*f.air.m)+float64(g.sumX)/float64(g.area)+0.5)*fine,
		grid.OriginY + (float64(iy*f.air.m)+float64(g.sumY)/float64(g.area)+0.5)*fine
}

// transmission is the mean transmission under one group, that far behind all edges, and how deep the group is behind
// its own in decay lengths (0: flat).
//
// Where several groups share an air cell, what the cell loses is divided by the length of their edges, so that a sliver
// beside a kerf does not borrow hold from the sheet across it.
func (f *Faces) transmission(g *group) (mean, inner, depth float64) {
	switch {
	case g.support == gasketed:
		return 1, 1, 0
	case !g.support.onLayer():
		return 0, 1, 0
	}
	mean = min(1, max(0, f.field.w[g.cell]))
	all := f.coverOf(g.cell)
	length := g.sides.length()
	if all.length <= 0 {
		return mean, 1, 0
	}
	share, inner := float64(all.breath)/float64(all.area)*f.field.sheet.share(f.field.zoneOf(int(g.cell))), 1.0
	if f.field.seep != nil {
		through := f.field.work.throughMM * max(0, all.seep) / (float64(all.area) * f.air.fineMM * f.air.fineMM)
		share, inner = share+through, share/(share+through)
	}
	if mean >= inner {
		return mean, 1, 0 // most of it comes from beyond the cell
	}
	if g.area < all.area {
		mean = inner * f.shareLoss(g, (1-mean/inner)*float64(all.area))
	}
	if length <= 0 {
		return mean, inner, 0
	}
	return mean, inner, float64(g.area) * f.air.fineMM / length * math.Sqrt(share/f.field.kappa[g.cell])
}

// cover is what lies on the layer in one air cell, in fine cells.
type cover struct {
	area, breath int32
	seep         float64 // see group
	length       float64
}

func (f *Faces) coverOf(cell int32) cover {
	var c cover
	for k := f.air.first[cell]; k < f.air.first[cell+1]; k++ {
		o := &f.air.groups[k]
		if !o.support.onLayer() || o.area <= 0 {
			continue
		}
		c.area += o.area
		c.length += o.sides.length()
		c.seep += float64(o.seep)
		if o.support == breathing {
			c.breath += o.area
		}
	}
	return c
}

// shareLoss is the mean transmission under one of several groups of a cell that together lose the given area: 1 - q P/A
// for perimeter P and area A with the one q that makes up the loss, no group losing more than all.
func (f *Faces) shareLoss(g *group, loss float64) float64 {
	from, to := f.air.first[g.cell], f.air.first[g.cell+1]
	q := 0.0
	for range to - from {
		var full, open float64 // groups that have lost all, and the edges of the others
		for k := from; k < to; k++ {
			o := &f.air.groups[k]
			if !o.support.onLayer() || o.area <= 0 {
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
