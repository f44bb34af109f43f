package patches

const (
	// blockSide is the side of a block, in air cells.
	blockSide = 1 << blockFold
	blockFold = 4
	// largePiece is the number of groups from which on the sums of a piece are kept from call to call.
	largePiece = 4096
)

// blockCache keeps the moments of large pieces block by block; a call costs what has changed since the last one.
type blockCache struct {
	nx, ny  int                  // air cells
	across  int                  // blocks along X
	version []uint64             // of each block, from 1
	pieces  map[int32]*blockSums // of large pieces
}

// blockSums are the moments of a large piece in each block that it reaches into, as of a version of the block. Many
// labels may belong to the piece, as to a sheet whose parts are not free yet.
type blockSums struct {
	blocks   []int32 // rising
	versions []uint64
	sums     [][]square // by part of the chuck
}

func newBlockCache(nx, ny int) blockCache {
	c := blockCache{nx: nx, ny: ny, across: (nx + blockSide - 1) / blockSide, pieces: map[int32]*blockSums{}}
	c.version = make([]uint64, c.across*((ny+blockSide-1)/blockSide))
	for i := range c.version {
		c.version[i] = 1
	}
	return c
}

func (c *blockCache) of(cell int32) int {
	return int(cell)/c.nx/blockSide*c.across + int(cell)%c.nx/blockSide
}

// touch makes what is kept of the block of the cell void.
func (c *blockCache) touch(cell int32) { c.version[c.of(cell)]++ }

// corner is the lowest air cell of a block.
func (c *blockCache) corner(block int32) (x, y int) {
	return int(block) % c.across * blockSide, int(block) / c.across * blockSide
}

// sums gives the moments of a large piece, up to date. The piece of each label is known.
func (f *Faces) sums(piece int32, labels []int32) *blockSums {
	s := f.cache.pieces[piece]
	if s == nil {
		s = f.newBlockSums(labels)
		f.cache.pieces[piece] = s
	}
	for k, block := range s.blocks {
		if s.versions[k] != f.cache.version[block] {
			s.versions[k] = f.cache.version[block]
			s.sums[k] = f.sumBlock(block, piece, s.sums[k][:0])
		}
	}
	return s
}

// newBlockSums finds the blocks that the groups of some labels lie in. A piece never gains labels.
func (f *Faces) newBlockSums(labels []int32) *blockSums {
	in := make([]bool, len(f.cache.version))
	for _, label := range labels {
		for _, id := range f.ofLabel[label] {
			in[f.cache.of(f.air.Groups[id].Cell)] = true
		}
	}
	s := &blockSums{}
	for block, yes := range in {
		if yes {
			s.blocks = append(s.blocks, int32(block))
		}
	}
	s.versions = make([]uint64, len(s.blocks))
	s.sums = make([][]square, len(s.blocks))
	return s
}

// sumBlock sums what a piece covers of a block.
func (f *Faces) sumBlock(block, piece int32, sums []square) []square {
	c := &f.cache
	x, y := c.corner(block)
	wide := min(blockSide, c.nx-x)
	for end := min(y+blockSide, c.ny); y < end; y++ {
		cell := y*c.nx + x
		for id := f.air.First[cell]; id < f.air.First[cell+wide]; id++ {
			if g := &f.air.Groups[id]; g.Support.Held() && f.piece[g.Label] == piece {
				at := squareOf(&sums, f.partOf(g.Cell))
				f.split(g, func(level int, s moments) { sums[at].sums[level].add(s) })
			}
		}
	}
	return sums
}

// squareOf is the index of the square of a part of the chuck; there are few.
func squareOf(all *[]square, part uint16) int {
	for i := range *all {
		if (*all)[i].part == part {
			return i
		}
	}
	*all = append(*all, square{part: part})
	return len(*all) - 1
}
