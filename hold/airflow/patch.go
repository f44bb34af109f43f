package airflow

// largeLabel is the number of groups from which on the heaps of a label are kept from call to call.
const largeLabel = 4096

// Patches gives the contact face of a piece on open zones at the current moment, in at most MaxPatches patches that together have its
// exact area and first moment. The order is the same for the same record and moment.
func (m *Model) Patches(piece int32) []Patch {
	var small []int32 // groups
	var large []*stack
	count := 0
	for label, owner := range m.pieceOf() {
		if owner != piece {
			continue
		}
		if len(m.ofLabel[label]) < largeLabel {
			small = append(small, m.ofLabel[label]...)
			count += len(m.ofLabel[label])
			continue
		}
		if m.stacks[label] == nil {
			m.stacks[label] = m.newStack(label)
		}
		m.refreshStack(m.stacks[label])
		large = append(large, m.stacks[label])
		count += len(m.stacks[label].blocks)
	}
	side := 1
	if len(large) > 0 {
		side = blockSide
	}
	for count > MaxPatches*side*side {
		side *= 2
	}
	m.piles = m.piles[:0]
	for _, id := range small {
		g := &m.air.groups[id]
		m.heapGroup(g, func(level int, h heap) { m.piles = append(m.piles, pile{g.cell, int32(level), h}) })
	}
	for {
		if patches, ok := m.join(m.piles, large, int32(side)); ok {
			return patches
		}
		side *= 2
	}
}

// join sums heaps in squares of the given side in air cells; not ok if that makes too many.
func (m *Model) join(small []pile, large []*stack, side int32) ([]Patch, bool) {
	nx := int32(m.air.grid.NX)
	across := (nx + side - 1) / side
	index := map[int32]int{}
	var heaps []heap
	tooMany := false
	put := func(square int32, level int, h heap) {
		key := square*int32(levelCount) + int32(level)
		k, ok := index[key]
		if !ok {
			if len(heaps) == MaxPatches {
				tooMany = true
				return
			}
			k = len(heaps)
			index[key] = k
			heaps = append(heaps, heap{})
		}
		heaps[k].add(h)
	}
	for i := range small {
		p := &small[i]
		put(p.cell/nx/side*across+p.cell%nx/side, int(p.level), p.heap)
		if tooMany {
			return nil, false
		}
	}
	for _, s := range large {
		for k, block := range s.blocks {
			square := block/m.blocksX*blockSide/side*across + block%m.blocksX*blockSide/side
			for level, h := range s.heaps[k] {
				if h.area > 0 {
					put(square, level, h)
				}
			}
		}
		if tooMany {
			return nil, false
		}
	}
	patches := make([]Patch, 0, len(heaps))
	for _, h := range heaps {
		patches = append(patches, Patch{X: h.x / h.area, Y: h.y / h.area, AreaMM2: h.area, W: min(1, max(0, h.w/h.area))})
	}
	return patches, true
}
