package patches

import (
	"math"
	"math/bits"

	"github.com/paulmach/orb"
	"github.com/paulmach/orb/clip"
	"github.com/paulmach/orb/planar"
)

// Within gives the contact face inside an outline at the moment, whoever it belongs to, in at most MaxPatches patches.
// The points of the outline do not change between calls.
//
// Of an air cell across the outline as large a share of each group counts as the outline covers of the cell; the areas
// are scaled down when their sum exceeds that of the outline, so that they never overstate it.
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
	covers  map[int]moments // of cells across the outline: what it covers of them
}

// cellRun is a stretch of air cells of one row, by number; across is true where a side of the outline may lie across
// them.
type cellRun struct {
	from, to int
	across   bool
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
		covers: f.covers(outline)}
	for iy := y0; iy <= y1; iy++ {
		inside, known := false, false // of the stretch of cells that no side of the outline lies across
		for ix := x0; ix <= x1; ix++ {
			_, onSide := o.covers[iy*grid.NX+ix]
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

// covers gives what an outline covers of each air cell that a side of it may lie across.
func (f *Faces) covers(outline orb.MultiPolygon) map[int]moments {
	grid, out := f.air.Grid, map[int]moments{}
	byRow := map[int][]int{}
	for cell := range f.across(outline) {
		if cell[0] >= 0 && cell[0] < grid.NX && cell[1] >= 0 && cell[1] < grid.NY {
			byRow[cell[1]] = append(byRow[cell[1]], cell[0])
		}
	}
	for iy, columns := range byRow {
		south := grid.OriginY + float64(iy)*grid.CellMM
		row := outline.Bound()
		row.Min[1], row.Max[1] = south, south+grid.CellMM
		strip := clip.MultiPolygon(row, outline.Clone())
		for _, ix := range columns {
			west := grid.OriginX + float64(ix)*grid.CellMM
			in := clip.MultiPolygon(orb.Bound{Min: orb.Point{west, south},
				Max: orb.Point{west + grid.CellMM, south + grid.CellMM}}, strip.Clone())
			middle, area := planar.CentroidArea(in)
			area = math.Abs(area)
			out[iy*grid.NX+ix] = moments{area: area, x: area * middle[0], y: area * middle[1]}
		}
	}
	return out
}

// putWithin puts what of an air cell lies in an outline into the patch grid.
func (f *Faces) putWithin(cell int, across bool, o *outlineCells) {
	iy, ix := cell/f.air.Grid.NX, cell%f.air.Grid.NX
	put := func(level int, s moments) { f.grid.put(int32(ix), int32(iy), level, f.partOf(int32(cell)), s) }
	putIn := put // what the outline covers
	if across {
		in, all := o.covers[cell], f.coveredMM2(cell)
		if in.area <= 0 {
			return
		}
		if share := in.area / all; share < 1 {
			putIn = func(level int, s moments) {
				area := s.area * share
				put(level, moments{area: area, x: area * in.x / in.area, y: area * in.y / in.area, w: s.w * share})
			}
		}
	}
	for id := f.air.First[cell]; id < f.air.First[cell+1]; id++ {
		if g := &f.air.Groups[id]; g.Support.Held() && g.Area > 0 {
			f.split(g, putIn)
		}
	}
}

// coveredMM2 is the area of an air cell that material covers.
func (f *Faces) coveredMM2(cell int) (mm2 float64) {
	for id := f.air.First[cell]; id < f.air.First[cell+1]; id++ {
		mm2 += float64(f.air.Groups[id].Area) * f.air.FineMM * f.air.FineMM
	}
	return mm2
}
