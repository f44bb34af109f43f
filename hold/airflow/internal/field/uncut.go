package field

import (
	"slices"

	"staydown/hold/airflow/internal/cells"
)

// Cut gives a solver for a program on the sheet of which this one has solved the field before anything is cut. Until
// the program begins the fields differ only near what it cuts in the end: by how deep the layer is cut there, and how
// wide what lies open is. They are solved anew from there on, as far as that is felt.
func (s *Solver) Cut(a *cells.Air, coarseMM float64, moved func(cell int32)) (*Solver, error) {
	f := s.Field.under(a)
	changed := f.conductNear(f.cutExtent(), coarseMM)
	cut := NewSolver(f, s.tol, moved)
	copy(cut.flows, s.flows)
	return cut, cut.Solve(changed)
}

// under is the field of the uncut sheet with what a program makes of its air cells.
func (f *Field) under(a *cells.Air) *Field {
	out := *f
	out.Air = a
	out.kappa, out.w = slices.Clone(f.kappa), slices.Clone(f.w)
	out.area, out.breath, out.edges = slices.Clone(f.area), slices.Clone(f.breath), slices.Clone(f.edges)
	out.link, out.source, out.sink, out.drain = slices.Clone(f.link), slices.Clone(f.source), slices.Clone(f.sink),
		slices.Clone(f.drain)
	out.mixed = slices.Clone(f.mixed)
	for row := range out.mixed {
		out.mixed[row] = slices.Clip(out.mixed[row])
	}
	return &out
}

// cutExtent is the smallest extent of the air cells in which something is cut.
func (f *Field) cutExtent() cells.Extent {
	e := cells.Extent{X0: f.Grid.NX, Y0: f.Grid.NY}
	add := func(cell int) {
		x, y := cell%f.Grid.NX, cell/f.Grid.NX
		e.X0, e.Y0, e.X1, e.Y1 = min(e.X0, x), min(e.Y0, y), max(e.X1, x+1), max(e.Y1, y+1)
	}
	for i := range f.Events {
		add(int(f.Groups[f.Events[i].Group].Cell))
	}
	for cell, mm := range f.DeepMM {
		if mm > 0 {
			add(cell)
		}
	}
	return e
}

// conductNear finds kappa of the cells near an extent, outside of which nothing is cut, and lists those of which it is
// another than before.
func (f *Field) conductNear(cut cells.Extent, coarseMM float64) (changed []int32) {
	if cut.X0 >= cut.X1 {
		return nil
	}
	half, width := f.widthReach()
	reach := max(f.cutReachCells(), 2*half+width)
	nx, ny := f.Grid.NX, f.Grid.NY
	near := cut.Grown(reach, nx, ny)
	read := near.Grown(reach, nx, ny)
	cutShare, widths := f.cutShares(read), f.openWidths(read)
	across, up := near.Size()
	for k := range across * up {
		i := near.Cell(k, nx)
		if !f.in[i] {
			continue
		}
		at := read.Index(i, nx)
		if kappa := f.kappaOf(i, cutShare[at], widths[at], coarseMM); kappa != f.kappa[i] {
			f.kappa[i] = kappa
			changed = append(changed, int32(i))
		}
	}
	return changed
}
