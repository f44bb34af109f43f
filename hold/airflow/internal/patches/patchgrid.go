package patches

import "math"

// entry is the moments of a part of a face, with where it lies.
type entry struct {
	x, y  int32 // lowest air cell of its square
	level int16
	part  uint16 // see Faces.parts
	moments
}

// patchGrid joins moments to patches, by level and part of the chuck in the squares of a grid.
type patchGrid struct {
	originX, originY int32 // air cell from which on squares are counted
	rowByRow         bool  // see list

	entries   []entry
	low, high [2]int32 // air cells that the entries reach from and to
	parts     uint16   // that the entries reach into: all those below this one
	index     []int32  // of each square among squares, from 1, part by part
	squares   []square // that have entries
	areaMM2   float64  // of all entries
}

// square is the sums of one square, by level.
type square struct {
	part uint16
	sums [levelCount]moments
}

// reset forgets all entries. Squares are counted from the first air cell on.
func (g *patchGrid) reset() {
	g.originX, g.originY, g.rowByRow, g.entries, g.parts, g.areaMM2 = 0, 0, false, g.entries[:0], 1, 0
	g.low, g.high = [2]int32{math.MaxInt32, math.MaxInt32}, [2]int32{}
}

// resetAt forgets all entries, for those of an outline. Squares are counted from an air cell on, and listed row by row.
func (g *patchGrid) resetAt(x, y int32) {
	g.reset()
	g.originX, g.originY, g.rowByRow = x, y, true
}

func (g *patchGrid) put(x, y int32, level int, part uint16, s moments) {
	x, y = x-g.originX, y-g.originY
	g.entries = append(g.entries, entry{x, y, int16(level), part, s})
	g.low = [2]int32{min(g.low[0], x), min(g.low[1], y)}
	g.high = [2]int32{max(g.high[0], x), max(g.high[1], y)}
	g.parts = max(g.parts, part+1)
	g.areaMM2 += s.area
}

// join sums the entries in squares of 2^fold air cells a side, their areas scaled; not ok if that makes more than
// MaxPatches.
func (g *patchGrid) join(fold int, scale float64, parts []Part) (patches []Patch, ok bool) {
	if len(g.entries) == 0 {
		return nil, true
	}
	x0, y0 := g.low[0]>>fold, g.low[1]>>fold
	across := g.high[0]>>fold - x0 + 1
	size := across * (g.high[1]>>fold - y0 + 1)
	g.index = append(g.index[:0], make([]int32, size*int32(g.parts))...)
	g.squares = g.squares[:0]
	count := 0
	for i := range g.entries {
		e := &g.entries[i]
		at := &g.index[int32(e.part)*size+(e.y>>fold-y0)*across+e.x>>fold-x0]
		if *at == 0 {
			g.squares = append(g.squares, square{part: e.part})
			*at = int32(len(g.squares))
		}
		sum := &g.squares[*at-1].sums[e.level]
		if sum.area == 0 {
			count++
		}
		if count > MaxPatches {
			return nil, false
		}
		sum.add(e.moments)
	}
	return g.list(make([]Patch, 0, count), scale, parts), true
}

// list appends the patches of all squares: row by row where an outline was laid over the grid, else in order of their
// first entries.
func (g *patchGrid) list(patches []Patch, scale float64, parts []Part) []Patch {
	if !g.rowByRow {
		for i := range g.squares {
			patches = listSquare(patches, &g.squares[i], scale, parts)
		}
		return patches
	}
	for _, at := range g.index {
		if at > 0 {
			patches = listSquare(patches, &g.squares[at-1], scale, parts)
		}
	}
	return patches
}

func listSquare(patches []Patch, s *square, scale float64, parts []Part) []Patch {
	for level := range s.sums {
		if sum := &s.sums[level]; sum.area > 0 {
			p := sum.patch(scale)
			p.Part = parts[s.part]
			patches = append(patches, p)
		}
	}
	return patches
}
