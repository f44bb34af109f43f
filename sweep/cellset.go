package sweep

import (
	"math/bits"

	"staydown/sweep/parallel"
)

// cellSet has a bit for each cell of a tile: word y, bit x.
type cellSet [tileSide]uint32

func (s *cellSet) add(k int) { s[k>>tileBits] |= 1 << (k & tileMask) }

func (s *cellSet) any() bool {
	all := uint32(0)
	for _, w := range s {
		all |= w
	}
	return all != 0
}

func (s *cellSet) count() (n int) {
	for _, w := range s {
		n += bits.OnesCount32(w)
	}
	return n
}

// each calls f for the cells of a set in rising order.
func (s *cellSet) each(f func(k int)) {
	for y, w := range s {
		for ; w != 0; w &= w - 1 {
			f(y<<tileBits | bits.TrailingZeros32(w))
		}
	}
}

// ground is a set of cells on the whole grid, tile by tile.
type ground struct {
	c    *cells
	sets []*cellSet // nil: none
}

func newGround(c *cells) *ground { return &ground{c, make([]*cellSet, len(c.tiles))} }

// patch is a stretch of ground in one tile.
type patch struct {
	tile int32
	set  cellSet
}

// cells with which the rows of a tile and of those round it are looked at: bit 0 is the last cell of the tile on the
// left.
type framed [tileSide + 2]uint64

func (g *ground) framed(i int) (out framed) {
	tx := g.c.tx
	row := func(i, y int, ok bool) uint32 {
		if !ok || i < 0 || i >= len(g.sets) || g.sets[i] == nil {
			return 0
		}
		return g.sets[i][y]
	}
	left, right := i%tx > 0, i%tx < tx-1
	for n := range out {
		j, y := i, n-1
		switch {
		case y < 0:
			j, y = i-tx, tileMask
		case y > tileMask:
			j, y = i+tx, 0
		}
		out[n] = uint64(row(j, y, true))<<1 | uint64(row(j-1, y, left)>>tileMask) | uint64(row(j+1, y,
			right)&1)<<(tileSide+1)
	}
	return out
}

// beside tells whether tile i or one round it has any ground.
func (g *ground) beside(i int) bool {
	for _, row := range [3]int{i - g.c.tx, i, i + g.c.tx} {
		for j := max(0, row-1); j <= min(len(g.sets)-1, row+1); j++ {
			if g.sets[j] != nil {
				return true
			}
		}
	}
	return false
}

// grow gives the ground with all cells beside it, across corners too if asked for. Tiles are added where it reaches
// them.
func (g *ground) grow(jobs int, corners bool) *ground {
	out := newGround(g.c)
	parallel.ForRuns(jobs, len(g.sets), 1<<8, func(_, i int) {
		if !g.beside(i) {
			return
		}
		f := g.framed(i)
		var s cellSet
		for y := range s {
			up, at, down := f[y+2], f[y+1], f[y]
			w := at | at<<1 | at>>1 | up | down
			if corners {
				w |= up<<1 | up>>1 | down<<1 | down>>1
			}
			s[y] = uint32(w >> 1)
		}
		if s.any() {
			out.sets[i] = &s
		}
	})
	return out
}

// take takes the cells that hang together with cell k of tile i out of the ground, across edges.
func (g *ground) take(i, k int) (out []patch) {
	todo := map[int32]*cellSet{}
	index := map[int32]int{}
	seed := new(cellSet)
	seed.add(k)
	todo[int32(i)] = seed
	stack := []int32{int32(i)}
	pass := func(i int, ok bool, to func(s *cellSet)) {
		if !ok || i < 0 || i >= len(g.sets) || g.sets[i] == nil {
			return
		}
		t := todo[int32(i)]
		if t == nil {
			t = new(cellSet)
			todo[int32(i)] = t
		}
		before := *t
		to(t)
		for y := range t {
			t[y] &= g.sets[i][y]
		}
		if t.any() && *t != before {
			stack = append(stack, int32(i))
		}
	}
	for len(stack) > 0 {
		i := int(stack[len(stack)-1])
		stack = stack[:len(stack)-1]
		seeds := todo[int32(i)]
		if seeds == nil || !seeds.any() {
			continue
		}
		var in cellSet
		spread(seeds, g.sets[i], &in)
		*seeds = cellSet{}
		for y := range in {
			g.sets[i][y] &^= in[y]
		}
		n, ok := index[int32(i)]
		if !ok {
			n = len(out)
			index[int32(i)] = n
			out = append(out, patch{tile: int32(i)})
		}
		var left, right uint32
		for y := range in {
			out[n].set[y] |= in[y]
			left, right = left|in[y]&1, right|in[y]>>tileMask
		}
		tx := g.c.tx
		if in[0] != 0 {
			pass(i-tx, true, func(s *cellSet) { s[tileMask] |= in[0] })
		}
		if in[tileMask] != 0 {
			pass(i+tx, true, func(s *cellSet) { s[0] |= in[tileMask] })
		}
		if left != 0 {
			pass(i-1, i%tx > 0, func(s *cellSet) {
				for y := range in {
					s[y] |= in[y] & 1 << tileMask
				}
			})
		}
		if right != 0 {
			pass(i+1, i%tx < tx-1, func(s *cellSet) {
				for y := range in {
					s[y] |= in[y] >> tileMask
				}
			})
		}
	}
	return out
}

// spread gives the cells of a tile's ground that hang together with seeds.
func spread(seeds, ground, in *cellSet) {
	for more := true; more; {
		more = false
		grow := func(y, from int) {
			seed := seeds[y]
			if from >= 0 && from < tileSide {
				seed |= in[from]
			}
			if seed &= ground[y] &^ in[y]; seed != 0 {
				in[y] |= alongRow(seed, ground[y])
				more = true
			}
		}
		for y := range tileSide {
			grow(y, y-1)
		}
		for y := tileMask; y >= 0; y-- {
			grow(y, y+1)
		}
	}
}

// alongRow gives the stretches of ones in ground that hold a seed (Kogge and Stone, 1973).
func alongRow(seed, ground uint32) uint32 {
	up, down := seed, seed
	gu, gd := ground, ground
	for n := 1; n < tileSide; n *= 2 {
		up |= gu & (up << n)
		gu &= gu << n
		down |= gd & (down >> n)
		gd &= gd >> n
	}
	return up | down
}

func (g *ground) put(patches []patch) {
	for n := range patches {
		i := patches[n].tile
		if g.sets[i] == nil {
			g.sets[i] = new(cellSet)
		}
		for y, w := range patches[n].set {
			g.sets[i][y] |= w
		}
	}
}

func (g *ground) meets(patches []patch) bool {
	for n := range patches {
		if s := g.sets[patches[n].tile]; s != nil {
			for y, w := range patches[n].set {
				if s[y]&w != 0 {
					return true
				}
			}
		}
	}
	return false
}
