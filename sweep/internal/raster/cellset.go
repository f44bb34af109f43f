package raster

import (
	"math/bits"

	"staydown/sweep/parallel"
)

// CellSet has a bit for each cell of a tile: word y, bit x.
type CellSet [TileSide]cellRow

// cellRow has a bit for each cell of a row of a tile.
type cellRow = uint16

func (s *CellSet) Add(k int) { s[k>>TileBits] |= 1 << (k & TileMask) }

func (s *CellSet) Any() bool {
	all := cellRow(0)
	for _, w := range s {
		all |= w
	}
	return all != 0
}

func (s *CellSet) Count() (n int) {
	for _, w := range s {
		n += bits.OnesCount16(w)
	}
	return n
}

// Each calls f for the cells of a set in rising order.
func (s *CellSet) Each(f func(k int)) {
	for y, w := range s {
		for ; w != 0; w &= w - 1 {
			f(y<<TileBits | bits.TrailingZeros16(w))
		}
	}
}

// CellRegion is a set of cells on the whole grid, tile by tile.
type CellRegion struct {
	c    *Cells
	Sets []*CellSet // nil: none
	at   connecting
}

func NewRegion(c *Cells) *CellRegion { return &CellRegion{c: c, Sets: make([]*CellSet, len(c.Tiles))} }

// RegionPart is a stretch of region in one tile.
type RegionPart struct {
	Tile int32
	Set  CellSet
}

// cells with which the rows of a tile and of those round it are looked at: bit 0 is the last cell of the tile on the
// left.
type framed [TileSide + 2]uint32

func (g *CellRegion) framed(i int) (out framed) {
	x := i % g.c.TX
	for column, j := range [3]int{i - 1, i, i + 1} {
		if x+column-1 < 0 || x+column-1 == g.c.TX {
			continue
		}
		// The tile's rows, with the last of the one below and the first of the one above.
		if s := g.set(j - g.c.TX); s != nil {
			out[0] |= frame(s[TileMask], column)
		}
		if s := g.set(j); s != nil {
			for y, w := range s {
				out[y+1] |= frame(w, column)
			}
		}
		if s := g.set(j + g.c.TX); s != nil {
			out[TileSide+1] |= frame(s[0], column)
		}
	}
	return out
}

// frame puts a row of a tile, or the cell at the end of one beside it, in its place: column 0 is the tile on the left.
func frame(w cellRow, column int) uint32 {
	switch column {
	case 0:
		return uint32(w >> TileMask)
	case 1:
		return uint32(w) << 1
	}
	return uint32(w&1) << (TileSide + 1)
}

// set is the region in a tile, nil off the grid.
func (g *CellRegion) set(i int) *CellSet {
	if i < 0 || i >= len(g.Sets) {
		return nil
	}
	return g.Sets[i]
}

// besideAny tells whether tile i or one round it has any region.
func (g *CellRegion) besideAny(i int) bool {
	for _, row := range [3]int{i - g.c.TX, i, i + g.c.TX} {
		for j := max(0, row-1); j <= min(len(g.Sets)-1, row+1); j++ {
			if g.Sets[j] != nil {
				return true
			}
		}
	}
	return false
}

// Dilate gives the region with all cells beside it, across corners too if asked for. Tiles are added where it reaches
// them.
func (g *CellRegion) Dilate(jobs int, corners bool) *CellRegion {
	out := NewRegion(g.c)
	parallel.ForRuns(jobs, len(g.Sets), 1<<8, func(_, i int) {
		if !g.besideAny(i) {
			return
		}
		f := g.framed(i)
		var s CellSet
		for y := range s {
			up, at, down := f[y+2], f[y+1], f[y]
			w := at | at<<1 | at>>1 | up | down
			if corners {
				w |= up<<1 | up>>1 | down<<1 | down>>1
			}
			s[y] = cellRow(w >> 1)
		}
		if s.Any() {
			out.Sets[i] = &s
		}
	})
	return out
}

// TakeConnected takes the cells that hang together with cell k of tile i out of the region, across edges.
func (g *CellRegion) TakeConnected(i, k int) (out []RegionPart) {
	c := &g.at
	if c.g == nil {
		*c = connecting{g: g, todo: make([]CellSet, len(g.Sets)), part: make([]int32, len(g.Sets))}
	}
	c.todo[i].Add(k)
	c.stack = append(c.stack, int32(i))
	for len(c.stack) > 0 {
		i := int(c.stack[len(c.stack)-1])
		c.stack = c.stack[:len(c.stack)-1]
		seeds := &c.todo[i]
		if !seeds.Any() {
			continue
		}
		var in CellSet
		spread(seeds, g.Sets[i], &in)
		*seeds = CellSet{}
		for y := range in {
			g.Sets[i][y] &^= in[y]
		}
		if c.part[i] == 0 {
			out = append(out, RegionPart{Tile: int32(i)})
			c.part[i] = int32(len(out))
		}
		n := c.part[i] - 1
		var left, right cellRow
		for y := range in {
			out[n].Set[y] |= in[y]
			left, right = left|in[y]&1, right|in[y]>>TileMask
		}
		tx := g.c.TX
		if in[0] != 0 {
			c.pass(i-tx, true, func(s *CellSet) { s[TileMask] |= in[0] })
		}
		if in[TileMask] != 0 {
			c.pass(i+tx, true, func(s *CellSet) { s[0] |= in[TileMask] })
		}
		if left != 0 {
			c.pass(i-1, i%tx > 0, func(s *CellSet) {
				for y := range in {
					s[y] |= in[y] & 1 << TileMask
				}
			})
		}
		if right != 0 {
			c.pass(i+1, i%tx < tx-1, func(s *CellSet) {
				for y := range in {
					s[y] |= in[y] >> TileMask
				}
			})
		}
	}
	for n := range out {
		c.part[out[n].Tile] = 0
	}
	return out
}

// connecting is what TakeConnected is at. Nothing is left of it when it is done.
type connecting struct {
	g     *CellRegion
	todo  []CellSet // by tile: cells found but not yet spread from
	stack []int32   // tiles with such
	part  []int32   // by tile: its place among those found, from 1; 0 for none yet
}

// pass adds to a neighboring tile, where there is one, those of the region's cells that to names.
func (c *connecting) pass(i int, ok bool, to func(s *CellSet)) {
	if !ok || i < 0 || i >= len(c.g.Sets) || c.g.Sets[i] == nil {
		return
	}
	t := &c.todo[i]
	before := *t
	to(t)
	for y := range t {
		t[y] &= c.g.Sets[i][y]
	}
	if t.Any() && *t != before {
		c.stack = append(c.stack, int32(i))
	}
}

func (s *CellSet) full() bool {
	all := ^cellRow(0)
	for _, w := range s {
		all &= w
	}
	return all == ^cellRow(0)
}

// spread gives the cells of a tile's region that hang together with seeds, of which there are some.
func spread(seeds, region, in *CellSet) {
	if region.full() {
		*in = *region
		return
	}
	for more := true; more; {
		more = false
		grow := func(y, from int) {
			seed := seeds[y]
			if from >= 0 && from < TileSide {
				seed |= in[from]
			}
			if seed &= region[y] &^ in[y]; seed != 0 {
				in[y] |= alongRow(seed, region[y])
				more = true
			}
		}
		for y := range TileSide {
			grow(y, y-1)
		}
		for y := TileMask; y >= 0; y-- {
			grow(y, y+1)
		}
	}
}

// alongRow gives the stretches of ones in region that hold a seed (Kogge and Stone, 1973).
func alongRow(seed, region cellRow) cellRow {
	up, down := seed, seed
	gu, gd := region, region
	for n := 1; n < TileSide; n *= 2 {
		up |= gu & (up << n)
		gu &= gu << n
		down |= gd & (down >> n)
		gd &= gd >> n
	}
	return up | down
}

func (g *CellRegion) Add(patches []RegionPart) {
	for n := range patches {
		i := patches[n].Tile
		if g.Sets[i] == nil {
			g.Sets[i] = new(CellSet)
		}
		for y, w := range patches[n].Set {
			g.Sets[i][y] |= w
		}
	}
}

func (g *CellRegion) Overlaps(patches []RegionPart) bool {
	for n := range patches {
		if s := g.Sets[patches[n].Tile]; s != nil {
			for y, w := range patches[n].Set {
				if s[y]&w != 0 {
					return true
				}
			}
		}
	}
	return false
}
