package airflow

const (
	// blockSide is the side, in air cells, of the blocks whose heaps are kept.
	blockSide = 1 << blockFold
	blockFold = 4
	// largeFace is the number of groups from which on the heaps of a piece are kept from call to call.
	largeFace = 4096
)

// face is what is kept of a large piece: the heaps of each block it reaches into, as of a version of the block. Many
// labels may belong to the piece, as to a sheet whose parts are not free yet; a call costs what changed since the last
// one.
type face struct {
	blocks   []int32 // rising
	versions []uint64
	heaps    [][levelCount]heap
}

// blockGrid counts the changes of the blocks of the air grid.
type blockGrid struct {
	nx, ny  int      // air cells
	across  int      // blocks along X
	version []uint64 // of each block, from 1
}

func newBlockGrid(nx, ny int) blockGrid {
	b := blockGrid{nx: nx, ny: ny, across: (nx + blockSide - 1) / blockSide}
	b.version = make([]uint64, b.across*((ny+blockSide-1)/blockSide))
	for i := range b.version {
		b.version[i] = 1
	}
	return b
}

func (b *blockGrid) of(cell int32) int {
	return int(cell)/b.nx/blockSide*b.across + int(cell)%b.nx/blockSide
}

// touch makes what is kept of the block of the cell void.
func (b *blockGrid) touch(cell int32) { b.version[b.of(cell)]++ }

// corner is the lowest air cell of a block.
func (b *blockGrid) corner(block int32) (x, y int) {
	return int(block) % b.across * blockSide, int(block) / b.across * blockSide
}

// faceOf gives the face of a large piece, up to date.
func (m *Model) faceOf(piece int32, labels []int32) *face {
	f := m.faces[piece]
	if f == nil {
		f = m.newFace(labels)
		m.faces[piece] = f
	}
	for k, block := range f.blocks {
		if f.versions[k] != m.blocks.version[block] {
			f.versions[k] = m.blocks.version[block]
			f.heaps[k] = m.heapBlock(block, piece)
		}
	}
	return f
}

// newFace finds the blocks that the groups of some labels lie in. A piece never gains labels.
func (m *Model) newFace(labels []int32) *face {
	in := make([]bool, len(m.blocks.version))
	for _, label := range labels {
		for _, id := range m.ofLabel[label] {
			in[m.blocks.of(m.air.groups[id].cell)] = true
		}
	}
	f := &face{}
	for block, yes := range in {
		if yes {
			f.blocks = append(f.blocks, int32(block))
		}
	}
	f.versions = make([]uint64, len(f.blocks))
	f.heaps = make([][levelCount]heap, len(f.blocks))
	return f
}

// heapBlock sums what a piece covers of a block.
func (m *Model) heapBlock(block, piece int32) (heaps [levelCount]heap) {
	b := &m.blocks
	x, y := b.corner(block)
	wide := min(blockSide, b.nx-x)
	for end := min(y+blockSide, b.ny); y < end; y++ {
		cell := y*b.nx + x
		for id := m.air.first[cell]; id < m.air.first[cell+wide]; id++ {
			if g := &m.air.groups[id]; g.ground.held() && m.piece[g.label] == piece {
				m.heapGroup(g, func(level int, h heap) { heaps[level].add(h) })
			}
		}
	}
	return heaps
}
