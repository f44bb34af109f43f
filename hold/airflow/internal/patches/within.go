package patches

import (
	"math"
	"math/bits"

	"github.com/paulmach/orb"
	"github.com/paulmach/orb/planar"
)

// Within gives the contact face inside an outline at the moment, whoever it belongs to, in at most MaxPatches patches.
// The points of the outline do not change between calls.
//
// What lies in an air cell across the outline counts wholly or not at all, by its middle; the areas are scaled down
// when their sum exceeds that of the outline, so that they never overstate it.
func (f *Faces) Within(outline orb.MultiPolygon) []Patch {
	if len(outline) == 0 {
		return nil
	}
	o := f.outlineCells(outline)
	f.grid.resetAt(int32(o.x0), int32(o.y0))
	for _, run := range o.runs {
		for cell := run.from; cell < run.to; cell++ {
			f.putWithin(cell, run.across, o)
		}
	}
	scale := 1.0
	if area := planar.Area(outline); area > 0 && f.grid.areaMM2 > area {
		scale = area / f.grid.areaMM2
	}
	for fold := o.fold; ; fold++ {
		if patches, ok := f.grid.join(fold, scale, f.parts); ok {
			return patches
		}
	}
}

// outlineCells are the air cells that an outline covers, wholly or in part.
type outlineCells struct {
	outline orb.MultiPolygon
	x0, y0  int // lowest column and row
	fold    int // of the squares: so large that all levels of all of them are no more than MaxPatches
	runs    []cellRun
	groups  map[int32]groupIn // of cells across the outline
}

// cellRun is a stretch of air cells of one row, by number; across is true where a side of the outline may lie across
// them.
type cellRun struct {
	from, to int
	across   bool
}

// groupIn tells whether the middle of a group, where it was when last asked for, lies in the outline.
type groupIn struct {
	middle orb.Point
	in     bool
}

// outlineCells finds the cells of an outline, once.
func (f *Faces) outlineCells(outline orb.MultiPolygon) *outlineCells {
	first := &outline[0]
	if o := f.outlines[first]; o != nil {
		return o
	}
	grid, b := f.air.Grid, outline.Bound()
	clip := func(v float64, n int) int { return max(0, min(n-1, int(v))) }
	x0, x1 := clip((b.Min[0]-grid.OriginX)/grid.CellMM, grid.NX), clip((b.Max[0]-grid.OriginX)/grid.CellMM, grid.NX)
	y0, y1 := clip((b.Min[1]-grid.OriginY)/grid.CellMM, grid.NY), clip((b.Max[1]-grid.OriginY)/grid.CellMM, grid.NY)
	side := 1
	for (x1-x0+side)/side*((y1-y0+side)/side)*levelCount > MaxPatches {
		side *= 2
	}
	o := &outlineCells{outline: outline, x0: x0, y0: y0, fold: bits.TrailingZeros(uint(side)),
		groups: map[int32]groupIn{}}
	across := f.across(outline)
	for iy := y0; iy <= y1; iy++ {
		inside, known := false, false // of the stretch of cells that no side of the outline lies across
		for ix := x0; ix <= x1; ix++ {
			onSide := across[cellAt{ix, iy}]
			if !onSide && !known {
				middle := orb.Point{grid.OriginX + (float64(ix)+0.5)*grid.CellMM,
					grid.OriginY + (float64(iy)+0.5)*grid.CellMM}
				inside = planar.MultiPolygonContains(outline, middle)
			}
			if known = !onSide; onSide || inside {
				o.add(iy*grid.NX+ix, onSide)
			}
		}
	}
	f.outlines[first] = o
	return o
}

// add adds a cell behind all those before it.
func (o *outlineCells) add(cell int, across bool) {
	if last := len(o.runs) - 1; last >= 0 && o.runs[last].to == cell && o.runs[last].across == across {
		o.runs[last].to++
		return
	}
	o.runs = append(o.runs, cellRun{cell, cell + 1, across})
}

// contains tells whether the middle of a group lies in the outline.
func (o *outlineCells) contains(group int32, middle orb.Point) bool {
	at, known := o.groups[group]
	if !known || at.middle != middle {
		at = groupIn{middle, planar.MultiPolygonContains(o.outline, middle)}
		o.groups[group] = at
	}
	return at.in
}

// cellAt is an air cell by column and row.
type cellAt [2]int

// across lists the air cells that a side of an outline may lie across: all those in the box round the side.
func (f *Faces) across(outline orb.MultiPolygon) map[cellAt]bool {
	grid, cells := f.air.Grid, map[cellAt]bool{}
	at := func(v, origin float64) int { return int(math.Floor((v - origin) / grid.CellMM)) }
	for _, polygon := range outline {
		for _, ring := range polygon {
			for i, p := range ring {
				q := ring[(i+1)%len(ring)]
				box := orb.Bound{Min: p, Max: p}.Extend(q).Pad(1e-6 * grid.CellMM)
				for iy := at(box.Min[1], grid.OriginY); iy <= at(box.Max[1], grid.OriginY); iy++ {
					for ix := at(box.Min[0], grid.OriginX); ix <= at(box.Max[0], grid.OriginX); ix++ {
						cells[cellAt{ix, iy}] = true
					}
				}
			}
		}
	}
	return cells
}

// putWithin puts what of an air cell lies in an outline into the patch grid.
func (f *Faces) putWithin(cell int, across bool, o *outlineCells) {
	iy, ix := cell/f.air.Grid.NX, cell%f.air.Grid.NX
	put := func(level int, s moments) { f.grid.put(int32(ix), int32(iy), level, f.partOf(int32(cell)), s) }
	for id := f.air.First[cell]; id < f.air.First[cell+1]; id++ {
		g := &f.air.Groups[id]
		if !g.Support.Held() || g.Area <= 0 {
			continue
		}
		if across {
			if x, y := f.middle(g); !o.contains(id, orb.Point{x, y}) {
				continue
			}
		}
		f.split(g, put)
	}
}
