package airflow

// Patches gives the contact face of a piece on open zones at the current moment, in at most MaxPatches patches that
// together have its exact area and first moment. The order is the same for the same record and moment.
func (m *Model) Patches(piece int32) []Patch {
	var labels []int32
	groups := 0
	for label, owner := range m.pieceOf() {
		if owner == piece {
			labels = append(labels, int32(label))
			groups += len(m.ofLabel[label])
		}
	}
	m.quilt.clear()
	fold := 0
	if groups < largeFace {
		for groups > MaxPatches<<(2*fold) {
			fold++
		}
		m.pileGroups(labels)
	} else {
		fold = blockFold
		m.pileBlocks(m.faceOf(piece, labels))
	}
	for {
		if patches, ok := m.quilt.join(fold); ok {
			return patches
		}
		fold++
	}
}

// pileGroups piles up the groups of some labels.
func (m *Model) pileGroups(labels []int32) {
	nx := int32(m.air.grid.NX)
	for _, label := range labels {
		for _, id := range m.ofLabel[label] {
			g := &m.air.groups[id]
			m.heapGroup(g, func(level int, h heap) { m.quilt.put(g.cell%nx, g.cell/nx, level, h) })
		}
	}
}

// pileBlocks piles up the blocks of a face.
func (m *Model) pileBlocks(f *face) {
	for k, block := range f.blocks {
		x, y := m.blocks.corner(block)
		for level := range f.heaps[k] {
			if h := &f.heaps[k][level]; h.area > 0 {
				m.quilt.put(int32(x), int32(y), level, *h)
			}
		}
	}
}
