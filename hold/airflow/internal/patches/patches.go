// Package patches gives the contact face of a piece as a few hundred patches of one transmission each.
//
//	group of an air cell -> portions along the profile behind its edge -> moments by level -> patches
//
//	 air cells            blocks of 16 x 16          patch grid of 2^fold cells a side
//	 +-+-+-+-+            +---------+                +-------+   fold grows until MaxPatches are enough;
//	 |p|p|q|q|   sums     | p: sum  |     sums       | p | q |   area and first moments stay exact, hold is at most
//	 +-+-+-+-+  ------>   | q: sum  |    ------>     +-------+   1 % short (levels)
//
// Three things make it cheap. They pay: the patches of a large sheet cost four to seven times as much without.
//
//   - Partial sums. A patch is the sum of moments: area, area times place, area times w. Sums of sums are sums, so a
//     block of cells enters the patch grid as one entry for each level.
//   - The block cache. Of a piece of 4096 groups and more, as the sheet is until the end, the sums of each block are
//     kept with the version of the block. A cell that is cut, whose w has moved, or whose label has changed hands, makes
//     a new version; the next call sums only such blocks anew.
//   - The patch grid. It counts which squares hold anything and joins what lies in one, for cells and blocks alike.
//
// It does not know pressure in Pa, or how w came about.
package patches

import (
	"math"
	"math/bits"

	"github.com/paulmach/orb"
	"github.com/paulmach/orb/planar"

	"staydown/hold/airflow/internal/cells"
	"staydown/hold/airflow/internal/field"
	"staydown/sweep"
)

// MaxPatches is the most patches that are given for one piece.
const MaxPatches = 512

// Faces are the contact faces of all pieces as they change with the program.
type Faces struct {
	air   *cells.Air
	field *field.Field // nil without a layer
	owners
	cache    blockCache
	portions []portion // scratch of split
	grid     patchGrid // scratch
}

// New takes the air cells as they lie at the start, and which piece a label belongs to at a moment.
func New(a *cells.Air, pieceAt func(label int32, p sweep.Progress) int32) *Faces {
	return &Faces{air: a, owners: newOwners(a, pieceAt), cache: newBlockCache(a.Grid.NX, a.Grid.NY)}
}

// Lay gives the field of the transmission; without one only gasketed zones hold.
func (f *Faces) Lay(w *field.Field) { f.field = w }

// Touch is called when a cell or its transmission has changed.
func (f *Faces) Touch(cell int32) { f.cache.touch(cell) }

// Count takes an event that has changed a group.
func (f *Faces) Count(g *cells.Group, e *cells.Event) {
	if g.Support.Held() {
		f.held[g.Label] += int64(e.Area)
	}
	f.Touch(g.Cell)
}

// update gives the piece of each label. What is kept of the blocks of one that has changed hands is void.
func (f *Faces) update() []int32 {
	return f.owners.update(func(groups []int32) {
		for _, id := range groups {
			f.Touch(f.air.Groups[id].Cell)
		}
	})
}

// HeldAreaMM2 is the area of the piece that lies on open zones at the moment.
func (f *Faces) HeldAreaMM2(piece int32) float64 {
	f.update()
	return float64(f.heldCells(piece)) * f.air.FineMM * f.air.FineMM
}

// Of gives the contact face of a piece on open zones at the moment, in at most MaxPatches patches that together have
// its exact area and first moment.
func (f *Faces) Of(piece int32) []Patch {
	var labels []int32
	groups := 0
	for label, owner := range f.update() {
		if owner == piece {
			labels = append(labels, int32(label))
			groups += len(f.ofLabel[label])
		}
	}
	f.grid.reset()
	fold := 0
	if groups < largePiece {
		for groups > MaxPatches<<(2*fold) {
			fold++
		}
		f.putGroups(labels)
	} else {
		fold = blockFold
		f.putBlocks(f.sums(piece, labels))
	}
	for {
		if patches, ok := f.grid.join(fold, 1); ok {
			return patches
		}
		fold++
	}
}

// Portions gives the face of a piece at the moment before it is joined: each portion of one transmission.
func (f *Faces) Portions(piece int32, do func(areaMM2, w float64)) {
	for label, owner := range f.update() {
		if owner != piece {
			continue
		}
		for _, id := range f.ofLabel[label] {
			f.split(&f.air.Groups[id], func(_ int, s moments) { do(s.area, s.w/s.area) })
		}
	}
}

// putGroups puts the groups of some labels into the patch grid.
func (f *Faces) putGroups(labels []int32) {
	nx := int32(f.air.Grid.NX)
	for _, label := range labels {
		for _, id := range f.ofLabel[label] {
			g := &f.air.Groups[id]
			f.split(g, func(level int, s moments) { f.grid.put(g.Cell%nx, g.Cell/nx, level, s) })
		}
	}
}

// putBlocks puts the blocks of a large piece into the patch grid.
func (f *Faces) putBlocks(s *blockSums) {
	for k, block := range s.blocks {
		x, y := f.cache.corner(block)
		for level := range s.sums[k] {
			if sum := &s.sums[k][level]; sum.area > 0 {
				f.grid.put(int32(x), int32(y), level, *sum)
			}
		}
	}
}

// Within gives the contact face inside an outline at the moment, whoever it belongs to, in at most MaxPatches patches.
//
// What lies in an air cell across the outline counts wholly or not at all, by its middle; the areas are scaled down
// when their sum exceeds that of the outline, so that they never overstate it.
func (f *Faces) Within(outline orb.MultiPolygon) []Patch {
	if len(outline) == 0 {
		return nil
	}
	grid, b := f.air.Grid, outline.Bound()
	clip := func(v float64, n int) int { return max(0, min(n-1, int(v))) }
	x0, x1 := clip((b.Min[0]-grid.OriginX)/grid.CellMM, grid.NX), clip((b.Max[0]-grid.OriginX)/grid.CellMM, grid.NX)
	y0, y1 := clip((b.Min[1]-grid.OriginY)/grid.CellMM, grid.NY), clip((b.Max[1]-grid.OriginY)/grid.CellMM, grid.NY)
	side := 1 // of the squares: so many that all levels of all of them are no more than MaxPatches
	for (x1-x0+side)/side*((y1-y0+side)/side)*levelCount > MaxPatches {
		side *= 2
	}
	f.grid.resetAt(int32(x0), int32(y0))
	across := f.across(outline)
	for iy := y0; iy <= y1; iy++ {
		inside, known := false, false // of the stretch of cells that no side of the outline lies across
		for ix := x0; ix <= x1; ix++ {
			if across[cellAt{ix, iy}] {
				known = false
				f.putWithin(ix, iy, func(p orb.Point) bool { return planar.MultiPolygonContains(outline, p) })
				continue
			}
			if !known {
				middle := orb.Point{grid.OriginX + (float64(ix)+0.5)*grid.CellMM,
					grid.OriginY + (float64(iy)+0.5)*grid.CellMM}
				inside, known = planar.MultiPolygonContains(outline, middle), true
			}
			if inside {
				f.putWithin(ix, iy, func(orb.Point) bool { return true })
			}
		}
	}
	scale := 1.0
	if area := planar.Area(outline); area > 0 && f.grid.areaMM2 > area {
		scale = area / f.grid.areaMM2
	}
	patches, _ := f.grid.join(bits.TrailingZeros(uint(side)), scale)
	return patches
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
func (f *Faces) putWithin(ix, iy int, in func(orb.Point) bool) {
	cell := iy*f.air.Grid.NX + ix
	for id := f.air.First[cell]; id < f.air.First[cell+1]; id++ {
		g := &f.air.Groups[id]
		if !g.Support.Held() || g.Area <= 0 {
			continue
		}
		if x, y := f.middle(g); in(orb.Point{x, y}) {
			f.split(g, func(level int, s moments) { f.grid.put(int32(ix), int32(iy), level, s) })
		}
	}
}
