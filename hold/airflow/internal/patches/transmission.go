package patches

import (
	"staydown/hold/airflow/internal/cells"
	"staydown/hold/airflow/internal/field"
)

// split divides a group by levels of transmission.
func (f *Faces) split(g *cells.Group, put func(level int, s moments)) {
	if g.Area <= 0 {
		return
	}
	area := float64(g.Area) * f.air.FineMM * f.air.FineMM
	x, y := f.middle(g)
	mean, inner, depth := f.Transmission(g)
	f.portions = profile(f.portions, mean/inner, depth)
	for _, p := range f.portions {
		a, w := area*p.share, inner*p.w
		put(levelOf(w), moments{area: a, x: a * x, y: a * y, w: a * w})
	}
}

// middle is the middle of what a group covers, mm.
func (f *Faces) middle(g *cells.Group) (x, y float64) {
	grid, fine := f.air.Grid, f.air.FineMM
	ix, iy := int(g.Cell)%grid.NX, int(g.Cell)/grid.NX
	return grid.OriginX + (float64(ix*f.air.Ratio)+float64(g.SumX)/float64(g.Area)+0.5)*fine,
		grid.OriginY + (float64(iy*f.air.Ratio)+float64(g.SumY)/float64(g.Area)+0.5)*fine
}

// Transmission is the mean transmission under one group, that far behind all edges, and how deep the group is behind
// its own in decay lengths (0: flat).
//
// Where several groups share an air cell, what the cell loses is divided by the length of their edges, so that a sliver
// beside a kerf does not borrow hold from the sheet across it.
func (f *Faces) Transmission(g *cells.Group) (mean, inner, depth float64) {
	switch {
	case g.Support == cells.Gasketed:
		return 1, 1, 0
	case !g.Support.OnLayer():
		return 0, 1, 0
	}
	mean = min(1, max(0, f.field.Transmission(int(g.Cell))))
	all, edges := f.coverOf(g.Cell)
	length := g.Sides.Length()
	if edges <= 0 {
		return mean, 1, 0
	}
	inner, perMM := f.field.Decay(int(g.Cell), all)
	if mean >= inner {
		return mean, 1, 0 // most of it comes from beyond the cell
	}
	if g.Area < all.Area {
		mean = inner * f.shareLoss(g, (1-mean/inner)*float64(all.Area))
	}
	if length <= 0 {
		return mean, inner, 0
	}
	return mean, inner, float64(g.Area) * f.air.FineMM / length * perMM
}

// coverOf sums what lies on the layer in one air cell, and the length of its edges in cells of the sweep.
func (f *Faces) coverOf(cell int32) (all field.Cover, edges float64) {
	for k := f.air.First[cell]; k < f.air.First[cell+1]; k++ {
		o := &f.air.Groups[k]
		if !o.Support.OnLayer() || o.Area <= 0 {
			continue
		}
		all.Area += o.Area
		edges += o.Sides.Length()
		all.Seep += float64(o.Seep)
		if o.Support == cells.Breathing {
			all.Breath += o.Area
		}
	}
	return all, edges
}

// shareLoss is the mean transmission under one of several groups of a cell that together lose the given area: 1 - q P/A
// for perimeter P and area A with the one q that makes up the loss, no group losing more than all.
func (f *Faces) shareLoss(g *cells.Group, loss float64) float64 {
	from, to := f.air.First[g.Cell], f.air.First[g.Cell+1]
	q := 0.0
	for range to - from {
		var full, open float64 // groups that have lost all, and the edges of the others
		for k := from; k < to; k++ {
			o := &f.air.Groups[k]
			if !o.Support.OnLayer() || o.Area <= 0 {
				continue
			}
			edges := o.Sides.Length()
			if q > 0 && q*edges >= float64(o.Area) {
				full += float64(o.Area)
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
	return 1 - min(1, q*g.Sides.Length()/float64(g.Area))
}
