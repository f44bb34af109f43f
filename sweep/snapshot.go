package sweep

import "math/bits"

// cellSet has a bit for each cell of a tile: word y, bit x.
type cellSet [tileSide]uint32

func (s *cellSet) has(k int) bool { return s[k>>tileBits]>>(k&tileMask)&1 != 0 }
func (s *cellSet) add(k int)      { s[k>>tileBits] |= 1 << (k & tileMask) }

// shot is what a snapshot shows of one tile.
type shot struct {
	solid cellSet // above web height
	web   cellSet // a web: not above, and not cut through
	core  cellSet // of solid, what was flooded
	seen  cellSet // of web, what was flooded so far
	now   cellSet // of web, what the last flood found
	inner cellSet // of now, what lies beside the core
	outer cellSet // of now, what lies beside other solid cells
	todo  cellSet // reached from other tiles, still to be flooded
	used  bool    // the flood at hand has found cells here
}

// snapshot shows one blank at one moment, tile by tile.
type snapshot struct {
	c     *cells
	when  tick
	blank int16
	shots tiled[shot]
	found []int32 // tiles in which the last flood found cells
	stack []int32
}

// reset turns to another blank or moment.
func (s *snapshot) reset(c *cells, blank int16, when tick) {
	s.c, s.blank, s.when = c, blank, when
	s.shots.reset(len(c.tiles))
}

// at gives the shot of tile i.
func (s *snapshot) at(i int) *shot {
	if t := s.shots.tiles[i]; t != nil {
		return t
	}
	t := s.shots.at(i)
	s.expose(i, t)
	return t
}

// expose reads the cells of tile i.
func (s *snapshot) expose(i int, t *shot) {
	c := s.c
	tl := c.tiles[i]
	if tl == nil {
		if c.plain[i].blank == s.blank {
			for y := range t.solid {
				t.solid[y] = ^uint32(0)
			}
		}
		return
	}
	if tl.blank == nil && c.plain[i].blank != s.blank {
		return
	}
	web := webLevel(tl)
	for k := range web {
		switch {
		case web[k] > s.when:
			t.solid.add(k)
		case tl.cut[k] > s.when:
			t.web.add(k)
		default:
			continue
		}
	}
	if tl.blank == nil {
		return
	}
	for k, b := range tl.blank {
		if int16(b) != s.blank {
			t.solid[k>>tileBits] &^= 1 << (k & tileMask)
			t.web[k>>tileBits] &^= 1 << (k & tileMask)
		}
	}
}

// beside gives, cell by cell, the set in tile i or in the tile next to it whose cell lies dx, dy (-1, 0 or 1) away.
func (s *snapshot) beside(i, dx, dy int, of func(t *shot) *cellSet) (out cellSet) {
	row := func(i, y int) uint32 {
		if i < 0 || i >= len(s.c.tiles) {
			return 0
		}
		return of(s.at(i))[y]
	}
	tx := s.c.tx
	for y := range out {
		j, ny := i, y+dy
		switch {
		case ny < 0:
			j, ny = i-tx, tileMask
		case ny > tileMask:
			j, ny = i+tx, 0
		}
		w := row(j, ny)
		switch {
		case dx > 0:
			w >>= 1
			if i%tx < tx-1 {
				w |= row(j+1, ny) << tileMask
			}
		case dx < 0:
			w <<= 1
			if i%tx > 0 {
				w |= row(j-1, ny) >> tileMask
			}
		}
		out[y] = w
	}
	return out
}

// sides are the steps to the four neighbours of a cell: right, up, left, down.
var sides = [4][2]int{{1, 0}, {0, 1}, {-1, 0}, {0, -1}}

func solidOf(t *shot) *cellSet { return &t.solid }
func coreOf(t *shot) *cellSet  { return &t.core }
func webOf(t *shot) *cellSet   { return &t.web }
func nowOf(t *shot) *cellSet   { return &t.now }

// flood adds to a set all cells of ground that hang together with cell k of tile i, and lists the tiles in found.
func (s *snapshot) flood(i, k int, ground, set func(t *shot) *cellSet) {
	s.found = s.found[:0]
	s.at(i).todo.add(k)
	s.stack = append(s.stack[:0], int32(i))
	for len(s.stack) > 0 {
		i := int(s.stack[len(s.stack)-1])
		s.stack = s.stack[:len(s.stack)-1]
		t := s.at(i)
		if !t.used {
			t.used = true
			s.found = append(s.found, int32(i))
		}
		in := set(t)
		t.spread(ground(t), in)
		s.hand(i-s.c.tx, i >= s.c.tx, tileMask, in[0], ground, set)
		s.hand(i+s.c.tx, i+s.c.tx < len(s.c.tiles), 0, in[tileMask], ground, set)
		if i%s.c.tx > 0 {
			s.handColumn(i-1, tileMask, in, 0, ground, set)
		}
		if i%s.c.tx < s.c.tx-1 {
			s.handColumn(i+1, 0, in, tileMask, ground, set)
		}
	}
	for _, i := range s.found {
		s.at(int(i)).used = false
	}
}

// hand passes cells that were reached on to row y of tile i.
func (s *snapshot) hand(i int, ok bool, y int, reached uint32, ground, set func(t *shot) *cellSet) {
	if !ok || reached == 0 {
		return
	}
	t := s.at(i)
	if fresh := reached & ground(t)[y] &^ set(t)[y] &^ t.todo[y]; fresh != 0 {
		t.todo[y] |= fresh
		s.stack = append(s.stack, int32(i))
	}
}

// handColumn passes column x of a set on to column nx of tile i.
func (s *snapshot) handColumn(i, nx int, in *cellSet, x int, ground, set func(t *shot) *cellSet) {
	any := uint32(0)
	for y := range in {
		any |= in[y] >> x & 1
	}
	if any == 0 {
		return
	}
	t := s.at(i)
	to, g := set(t), ground(t)
	fresh := uint32(0)
	for y := range in {
		f := in[y] >> x & 1 << nx & g[y] &^ to[y] &^ t.todo[y]
		t.todo[y] |= f
		fresh |= f
	}
	if fresh != 0 {
		s.stack = append(s.stack, int32(i))
	}
}

// spread floods the ground of one tile from its todo.
func (t *shot) spread(ground, in *cellSet) {
	for more := true; more; {
		more = false
		grow := func(y, from int) {
			seed := t.todo[y]
			if from >= 0 && from < tileSide {
				seed |= in[from]
			}
			if seed &= ground[y] &^ in[y]; seed != 0 {
				in[y] |= alongRow(seed, ground[y])
				more = true
			}
			t.todo[y] = 0
		}
		for y := 0; y < tileSide; y++ {
			grow(y, y-1)
		}
		for y := tileSide - 1; y >= 0; y-- {
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

// each calls f for the cells of a set in rising order.
func (s *cellSet) each(f func(k int)) {
	for y, w := range s {
		for ; w != 0; w &= w - 1 {
			f(y<<tileBits | bits.TrailingZeros32(w))
		}
	}
}

// less gives the cells that are not in o.
func (s cellSet) less(o *cellSet) cellSet {
	for y := range s {
		s[y] &^= o[y]
	}
	return s
}

func (s cellSet) or(o *cellSet) cellSet {
	for y := range s {
		s[y] |= o[y]
	}
	return s
}

func (s cellSet) and(o *cellSet) cellSet {
	for y := range s {
		s[y] &= o[y]
	}
	return s
}

func (s cellSet) count() (n int) {
	for _, w := range s {
		n += bits.OnesCount32(w)
	}
	return n
}

func (s *cellSet) any() bool {
	all := uint32(0)
	for _, w := range s {
		all |= w
	}
	return all != 0
}
