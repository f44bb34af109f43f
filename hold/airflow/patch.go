package airflow

import "math"

// Patches gives the contact face of a piece on open zones at the current moment, in at most MaxPatches patches that together have its
// exact area and first moment.
func (m *Model) Patches(piece int32) []Patch {
	cells := 0
	owners := m.pieceOf()
	for label, owner := range owners {
		if owner == piece {
			cells += len(m.ofLabel[label])
		}
	}
	side := 1
	for float64(cells)/float64(side*side) > MaxPatches/8 {
		side *= 2
	}
	for {
		if patches, ok := m.gatherPatches(owners, piece, side); ok {
			return patches
		}
		side *= 2
	}
}

// heap sums what lies in one square of air cells.
type heap struct{ area, x, y, w float64 }

func (m *Model) gatherPatches(owners []int32, piece int32, side int) ([]Patch, bool) {
	across := (m.air.grid.NX + side - 1) / side
	index := map[int32]int{}
	var heaps []heap
	for label, owner := range owners {
		if owner != piece {
			continue
		}
		for _, id := range m.ofLabel[label] {
			g := &m.air.groups[id]
			if g.area <= 0 {
				continue
			}
			ix, iy := int(g.cell)%m.air.grid.NX, int(g.cell)/m.air.grid.NX
			key := int32(iy/side*across + ix/side)
			k, ok := index[key]
			if !ok {
				if len(heaps) == MaxPatches {
					return nil, false
				}
				k = len(heaps)
				index[key] = k
				heaps = append(heaps, heap{})
			}
			area := float64(g.area) * m.air.fineMM * m.air.fineMM
			heaps[k].area += area
			heaps[k].x += area * (m.air.grid.OriginX + (float64(ix*m.air.m)+float64(g.sumX)/float64(g.area)+0.5)*m.air.fineMM)
			heaps[k].y += area * (m.air.grid.OriginY + (float64(iy*m.air.m)+float64(g.sumY)/float64(g.area)+0.5)*m.air.fineMM)
			heaps[k].w += area * m.w[g.cell]
		}
	}
	patches := make([]Patch, 0, len(heaps))
	for _, h := range heaps {
		patches = append(patches, Patch{X: h.x / h.area, Y: h.y / h.area, AreaMM2: h.area, W: math.Min(1, math.Max(0, h.w/h.area))})
	}
	return patches, true
}

// Raster is the transmission w of the air cells at the current moment, row by row from the lowest Y; NaN where no material lies.
type Raster struct {
	OriginX, OriginY float64 // mm
	CellMM           float64
	NX, NY           int
	W                []float32
}

// Raster gives the field for a picture.
func (m *Model) Raster() Raster {
	g := m.air.grid
	out := Raster{OriginX: g.OriginX, OriginY: g.OriginY, CellMM: g.CellMM, NX: g.NX, NY: g.NY, W: make([]float32, g.NX*g.NY)}
	for cell := range out.W {
		var area, sum float64
		for k := m.air.first[cell]; k < m.air.first[cell+1]; k++ {
			q := &m.air.groups[k]
			area += float64(q.area)
			if q.ground.held() || q.ground.onLayer() {
				sum += float64(q.area) * m.w[cell]
			}
		}
		out.W[cell] = float32(math.NaN())
		if area > 0 {
			out.W[cell] = float32(sum / area)
		}
	}
	return out
}
