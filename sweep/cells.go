package sweep

import "math"

// tick counts small stretches of the program's path (see clock). Values below firstTick tell that a cell had no
// material at the start.
type tick = uint32

const (
	tickOutside tick = 0 // beyond the rim of every blank
	tickHole    tick = 1 // in a cut-out that was there from the start
	firstTick   tick = 2
	tickNever   tick = math.MaxUint32
)

// tile keeps tileSide x tileSide cells, row by row.
type tile struct {
	thin  *thinTile // nil until a cell becomes a web without being cut through
	blank *[tileArea]uint16
	// h is the height of the material left above the table side; where there is none (any more), minus the depth
	// that a tool has reached below it.
	h     [tileArea]fix
	cut   [tileArea]tick
	label [tileArea]int32 // node of the tree of pieces
	top   fix             // upper bound of h
	dirty bool
	rim   bool // not all its cells were of one kind at the start
	slot  int32
	used  bool // heights, moments and labels may be those of an earlier use
}

// thinTile keeps when cells became webs. A cell that went from full height to nothing at once has no entry (0) during
// the sweep, and after it the moment of the cut.
type thinTile struct {
	at [tileArea]tick
	h  [tileArea]fix // least height before it was cut through, if it was
}

// id names cell k of a tile with memory by slot and place.
func (t *tile) id(k int) uint32 { return uint32(t.slot)<<(2*tileBits) | uint32(k) }

// thinned notes that cell n is a web of height left, now become one at a tick if it was none before.
func (t *tile) thinned(n int, now bool, left fix, at tick) {
	if now && t.thin == nil {
		t.thin = new(thinTile)
	}
	if t.thin == nil {
		return
	}
	if now {
		t.thin.at[n] = at
	}
	t.thin.h[n] = left
}

// webHeight gives the height of a cell as a web.
func (t *tile) webHeight(k int) fix {
	if t.cut[k] != tickNever {
		return t.thin.h[k]
	}
	return t.h[k]
}

// settleThin completes the moments.
func (c *cells) settleThin() {
	for _, t := range c.list {
		if t.thin == nil {
			continue
		}
		for k, at := range &t.thin.at {
			if at == 0 {
				t.thin.at[k] = t.cut[k]
			}
		}
	}
}

// uniform describes a tile without memory: all cells are alike and no tool has touched them.
type uniform struct {
	blank int16 // index of the blank, noBlank or holeBlank
	label int32
}

const (
	noBlank   int16 = -1
	holeBlank int16 = -2
	mixed     int16 = -3 // has memory from the start
)

// cells is the tiled store behind a Record.
type cells struct {
	tx, ty int     // tiles along X and Y
	tiles  []*tile // nil where nothing was touched; index ty*tx
	plain  []uniform
	list   []*tile // tiles with memory in order of index, by slot; set after the sweep
	tileOf []int32 // index of the tile of each slot; likewise
	tops   []fix   // of the blanks
	clock  clock
}

func (c *cells) at(ix, iy int) (*tile, int) {
	return c.tiles[(iy>>tileBits)*c.tx+ix>>tileBits], (iy&tileMask)<<tileBits | ix&tileMask
}

// touch gives the tile with memory at index i, taking it from spare tiles first where needed.
func (c *cells) touch(i int, spare *shed) *tile {
	if t := c.tiles[i]; t != nil {
		return t
	}
	t := spare.tile()
	u := c.plain[i]
	cut, h := tickNever, fix(0)
	switch u.blank {
	case noBlank:
		cut = tickOutside
	case holeBlank:
		cut = tickHole
	default:
		h = c.tops[u.blank]
	}
	if cut != tickOutside || t.used {
		fill(t.cut[:], cut)
	}
	if h != 0 || t.used {
		fill(t.h[:], h)
	}
	t.top = h
	c.tiles[i] = t
	return t
}

// fill makes all of a slice that is not empty one value; copying is quicker than a loop.
func fill[T any](to []T, value T) {
	to[0] = value
	for n := 1; n < len(to); n *= 2 {
		copy(to[n:], to[:n])
	}
}

// topOf is an upper bound of the heights in tile i.
func (c *cells) topOf(i int) fix {
	if t := c.tiles[i]; t != nil {
		return t.top
	}
	if b := c.plain[i].blank; b >= 0 {
		return c.tops[b]
	}
	return 0
}

// refreshTop lowers the bound to what is there.
func (t *tile) refreshTop() {
	top := fix(math.MinInt32)
	for _, h := range &t.h {
		top = max(top, h)
	}
	t.top, t.dirty = top, false
}

// blankAt tells which blank the cell k of tile i belongs to.
func (c *cells) blankAt(i, k int) int16 {
	if t := c.tiles[i]; t != nil && t.blank != nil {
		return int16(t.blank[k])
	}
	return c.plain[i].blank
}

// cutTick and height of a cell inside the grid.
func (c *cells) cutTick(ix, iy int) tick {
	t, k := c.at(ix, iy)
	if t != nil {
		return t.cut[k]
	}
	switch c.plain[(iy>>tileBits)*c.tx+ix>>tileBits].blank {
	case noBlank:
		return tickOutside
	case holeBlank:
		return tickHole
	}
	return tickNever
}

func (c *cells) height(ix, iy int) fix {
	t, k := c.at(ix, iy)
	if t != nil {
		return t.h[k]
	}
	return c.topOf((iy>>tileBits)*c.tx + ix>>tileBits)
}

func (c *cells) node(ix, iy int) int32 {
	t, k := c.at(ix, iy)
	if t != nil {
		return t.label[k]
	}
	return c.plain[(iy>>tileBits)*c.tx+ix>>tileBits].label
}

// shed hands out empty tiles, cut from large blocks so that none of their memory is lost to rounding, and takes them
// back.
type shed struct {
	block []tile
	back  []*tile
}

const shedTiles = 32

func (s *shed) tile() *tile {
	if n := len(s.back); n > 0 {
		t := s.back[n-1]
		s.back = s.back[:n-1]
		t.thin, t.blank, t.dirty, t.rim, t.slot = nil, nil, false, false, 0
		t.used = true
		return t
	}
	if len(s.block) == 0 {
		s.block = make([]tile, shedTiles)
	}
	t := &s.block[0]
	s.block = s.block[1:]
	return t
}

// recycle takes the tiles of a store that is done with.
func (s *shed) recycle(c *cells) {
	for _, t := range c.tiles {
		if t != nil {
			s.back = append(s.back, t)
		}
	}
}

// place gives the column and row of cell k of tile i.
func (c *cells) place(i, k int) (x, y int32) {
	return int32(i%c.tx)<<tileBits + int32(k&tileMask), int32(i/c.tx)<<tileBits + int32(k>>tileBits)
}

// goneAt gives the moment at which a cell was cut through.
func (c *cells) goneAt(i, k int) (cut tick) {
	if t := c.tiles[i]; t != nil {
		return t.cut[k]
	}
	switch c.plain[i].blank {
	case noBlank:
		return tickOutside
	case holeBlank:
		return tickHole
	}
	return tickNever
}

func (c *cells) labelOf(i, k int) int32 {
	if t := c.tiles[i]; t != nil {
		return t.label[k]
	}
	return c.plain[i].label
}

func (c *cells) blankOf(x, y int) int16 {
	return c.blankAt((y>>tileBits)*c.tx+x>>tileBits, (y&tileMask)<<tileBits|x&tileMask)
}

// whereIs gives the place of a cell named by slot and place in its tile.
func (c *cells) whereIs(id uint32) (x, y int) {
	i, k := int(c.tileOf[id>>(2*tileBits)]), int(id&(tileArea-1))
	px, py := c.place(i, k)
	return int(px), int(py)
}

// listTiles gives the tiles with memory their slots.
func (c *cells) listTiles() {
	for i, t := range c.tiles {
		if t != nil {
			t.slot = int32(len(c.list))
			c.list, c.tileOf = append(c.list, t), append(c.tileOf, int32(i))
		}
	}
}

// newCells is an empty store for a grid.
func newCells(g Grid, s Stock, clock clock) *cells {
	c := &cells{tx: (g.NX + tileSide - 1) / tileSide, ty: (g.NY + tileSide - 1) / tileSide, clock: clock}
	c.tiles, c.plain = make([]*tile, c.tx*c.ty), make([]uniform, c.tx*c.ty)
	for _, b := range s.Blanks {
		c.tops = append(c.tops, toFix(b.TopMM-s.BottomMM))
	}
	return c
}

// fillPlain makes all of a store that is empty one blank.
func (c *cells) fillPlain(blank int16) {
	for i := range c.plain {
		c.plain[i].blank = blank
	}
}

// dropThin forgets when cells became webs.
func (c *cells) dropThin() {
	for _, t := range c.list {
		t.thin = nil
	}
}

const (
	tileBits = 5 // a tile is 32 x 32 cells: 4 KiB of heights, one page
	tileSide = 1 << tileBits
	tileArea = tileSide * tileSide
	tileMask = tileSide - 1
)
