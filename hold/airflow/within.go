package airflow

import (
	"github.com/paulmach/orb"
	"github.com/paulmach/orb/planar"
)

// PatchesWithin gives the contact face inside an outline at the current moment, whoever it belongs to: the body of a
// piece that only webs still join to its surroundings. There are at most MaxPatches of them.
//
// What lies in an air cell across the outline counts wholly or not at all, by its middle; the areas are scaled down
// when their sum exceeds that of the outline, so that they never overstate it.
func (m *Model) PatchesWithin(outline orb.MultiPolygon) []Patch {
	if len(outline) == 0 {
		return nil
	}
	grid := m.air.grid
	b := outline.Bound()
	clip := func(v float64, n int) int { return max(0, min(n-1, int(v))) }
	x0, x1 := clip((b.Min[0]-grid.OriginX)/grid.CellMM, grid.NX), clip((b.Max[0]-grid.OriginX)/grid.CellMM, grid.NX)
	y0, y1 := clip((b.Min[1]-grid.OriginY)/grid.CellMM, grid.NY), clip((b.Max[1]-grid.OriginY)/grid.CellMM, grid.NY)
	side := 1
	for (x1-x0+side)/side*((y1-y0+side)/side)*int(levelCount) > MaxPatches {
		side *= 2
	}
	across := (x1 - x0 + side) / side
	heaps := make([]heap, across*((y1-y0+side)/side)*int(levelCount))
	sum := 0.0
	for iy := y0; iy <= y1; iy++ {
		for ix := x0; ix <= x1; ix++ {
			cell := iy*grid.NX + ix
			for id := m.air.first[cell]; id < m.air.first[cell+1]; id++ {
				g := &m.air.groups[id]
				if !g.ground.held() {
					continue
				}
				square := ((iy-y0)/side*across + (ix-x0)/side) * int(levelCount)
				if x, y := m.middleOf(g); g.area <= 0 || !planar.MultiPolygonContains(outline, orb.Point{x, y}) {
					continue
				}
				m.heapGroup(g, func(level int, h heap) {
					heaps[square+level].add(h)
					sum += h.area
				})
			}
		}
	}
	scale := 1.0
	if area := planar.Area(outline); area > 0 && sum > area {
		scale = area / sum
	}
	var patches []Patch
	for i := range heaps {
		if h := &heaps[i]; h.area > 0 {
			patches = append(patches, h.patch(scale))
		}
	}
	return patches
}
