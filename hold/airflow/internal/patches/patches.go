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
//     kept with the version of the block. A cell that is cut, whose w has moved, or whose label has changed hands,
//     makes a new version; the next call sums only such blocks anew.
//   - The patch grid. It counts which squares hold anything and joins what lies in one, for cells and blocks alike.
//
// It does not know pressure in Pa, or how w came about.
package patches

import (
	"github.com/paulmach/orb"

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
	chuckParts
	owners
	cache    blockCache
	outlines map[*orb.Polygon]*outlineCells // by the first polygon of an outline
	portions []portion                      // scratch of split
	grid     patchGrid                      // scratch
}

// New takes the air cells as they lie at the start, and which piece a label belongs to at a moment.
func New(a *cells.Air, pieceAt func(label int32, p sweep.Progress) int32) *Faces {
	return &Faces{air: a, chuckParts: onePart, owners: newOwners(a, pieceAt), cache: newBlockCache(a.Grid.NX,
		a.Grid.NY),
		outlines: map[*orb.Polygon]*outlineCells{}}
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
		if patches, ok := f.grid.join(fold, 1, f.parts); ok {
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
			f.split(g, func(level int, s moments) { f.grid.put(g.Cell%nx, g.Cell/nx, level, f.partOf(g.Cell), s) })
		}
	}
}

// putBlocks puts the blocks of a large piece into the patch grid.
func (f *Faces) putBlocks(s *blockSums) {
	for k, block := range s.blocks {
		x, y := f.cache.corner(block)
		for i := range s.sums[k] {
			of := &s.sums[k][i]
			for level := range of.sums {
				if sum := &of.sums[level]; sum.area > 0 {
					f.grid.put(int32(x), int32(y), level, of.part, *sum)
				}
			}
		}
	}
}
