package raster

import (
	"math"
	"slices"
)

// Tile keeps TileSide x TileSide cells, row by row.
type Tile struct {
	Thin  *thinTile // nil until a cell becomes a web without being cut through
	Blank *[TileArea]uint16
	// Height is the height of the material left above the table side; where there is none (any more), minus the depth
	// that a tool has reached below it.
	Height [TileArea]Fixed
	Cut    [TileArea]Tick
	Label  [TileArea]int32 // node of the tree of pieces
	top    Fixed           // upper bound of h
	dirty  bool
	Rim    bool // not all its cells were of one kind at the start
	Slot   int32
	used   bool // heights, moments and labels may be those of an earlier use
}

// thinTile keeps which cells became webs.
type thinTile struct {
	Height [TileArea]Fixed // least height before it was cut through, if it was
	// At is when; nil where nobody asks. A cell that went from full height to nothing at once has no entry (0) during
	// the sweep, and after it the moment of the cut.
	At *[TileArea]Tick
}

// ID names cell k of a tile with memory by slot and place.
func (t *Tile) ID(k int) uint32 { return uint32(t.Slot)<<(2*TileBits) | uint32(k) }

// MarkThin notes that cell n is a web of height left, now become one if it was none before.
func (t *Tile) MarkThin(n int, now bool, left Fixed) {
	if now && t.Thin == nil {
		t.Thin = new(thinTile)
	}
	if t.Thin != nil {
		t.Thin.Height[n] = left
	}
}

// MarkThinAt notes as well that it became one at a tick.
func (t *Tile) MarkThinAt(n int, now bool, left Fixed, at Tick) {
	t.MarkThin(n, now, left)
	if !now {
		return
	}
	if t.Thin.At == nil {
		t.Thin.At = new([TileArea]Tick)
	}
	t.Thin.At[n] = at
}

// WebHeight gives the height of a cell as a web.
func (t *Tile) WebHeight(k int) Fixed {
	if t.Cut[k] != TickNever {
		return t.Thin.Height[k]
	}
	return t.Height[k]
}

// CompleteThin completes the moments.
func (c *Cells) CompleteThin() {
	for _, t := range c.List {
		if t.Thin == nil || t.Thin.At == nil {
			continue
		}
		for k, at := range t.Thin.At {
			if at == 0 {
				t.Thin.At[k] = t.Cut[k]
			}
		}
	}
}

// uniform describes a tile without memory: all cells are alike and no tool has touched them.
type uniform struct {
	Blank int16 // index of the blank, noBlank or holeBlank
	Label int32
}

const (
	noBlank   int16 = -1
	holeBlank int16 = -2
	Mixed     int16 = -3 // has memory from the start
)

// Cells is the tiled store behind a Record.
type Cells struct {
	TX, TY int     // tiles along X and Y
	Tiles  []*Tile // nil where nothing was touched; index ty*tx
	Plain  []uniform
	List   []*Tile // tiles with memory in order of index, by slot; set after the sweep
	TileOf []int32 // index of the tile of each slot; likewise
	Tops   []Fixed // of the blanks
	Clock  clock
}

func (c *Cells) At(ix, iy int) (*Tile, int) {
	return c.Tiles[(iy>>TileBits)*c.TX+ix>>TileBits], (iy&TileMask)<<TileBits | ix&TileMask
}

// Touch gives the tile with memory at index i, taking it from spare tiles first where needed.
func (c *Cells) Touch(i int, spare *TilePool) *Tile {
	if t := c.Tiles[i]; t != nil {
		return t
	}
	t := spare.tile()
	u := c.Plain[i]
	cut, h := TickNever, Fixed(0)
	switch u.Blank {
	case noBlank:
		cut = TickOutside
	case holeBlank:
		cut = tickHole
	default:
		h = c.Tops[u.Blank]
	}
	if cut != TickOutside || t.used {
		Fill(t.Cut[:], cut)
	}
	if h != 0 || t.used {
		Fill(t.Height[:], h)
	}
	t.top = h
	c.Tiles[i] = t
	return t
}

// Fill makes all of a slice that is not empty one value; copying is quicker than a loop.
func Fill[T any](to []T, value T) {
	to[0] = value
	for n := 1; n < len(to); n *= 2 {
		copy(to[n:], to[:n])
	}
}

// TopOf is an upper bound of the heights in tile i.
func (c *Cells) TopOf(i int) Fixed {
	if t := c.Tiles[i]; t != nil {
		return t.top
	}
	if b := c.Plain[i].Blank; b >= 0 {
		return c.Tops[b]
	}
	return 0
}

// refreshTop lowers the bound to what is there.
func (t *Tile) refreshTop() {
	top := Fixed(math.MinInt32)
	for _, h := range &t.Height {
		top = max(top, h)
	}
	t.top, t.dirty = top, false
}

// BlankOf tells which blank the cell k of tile i belongs to.
func (c *Cells) BlankOf(i, k int) int16 {
	if t := c.Tiles[i]; t != nil && t.Blank != nil {
		return int16(t.Blank[k])
	}
	return c.Plain[i].Blank
}

// CutAt and height of a cell inside the grid.
func (c *Cells) CutAt(ix, iy int) Tick {
	t, k := c.At(ix, iy)
	if t != nil {
		return t.Cut[k]
	}
	switch c.Plain[(iy>>TileBits)*c.TX+ix>>TileBits].Blank {
	case noBlank:
		return TickOutside
	case holeBlank:
		return tickHole
	}
	return TickNever
}

func (c *Cells) HeightAt(ix, iy int) Fixed {
	t, k := c.At(ix, iy)
	if t != nil {
		return t.Height[k]
	}
	return c.TopOf((iy>>TileBits)*c.TX + ix>>TileBits)
}

func (c *Cells) LabelAt(ix, iy int) int32 {
	t, k := c.At(ix, iy)
	if t != nil {
		return t.Label[k]
	}
	return c.Plain[(iy>>TileBits)*c.TX+ix>>TileBits].Label
}

// TilePool hands out empty tiles, cut from large blocks so that none of their memory is lost to rounding, and takes
// them back.
type TilePool struct {
	block []Tile
	back  []*Tile
}

const poolTiles = 128

func (s *TilePool) tile() *Tile {
	if n := len(s.back); n > 0 {
		t := s.back[n-1]
		s.back = s.back[:n-1]
		t.Thin, t.Blank, t.dirty, t.Rim, t.Slot = nil, nil, false, false, 0
		t.used = true
		return t
	}
	if len(s.block) == 0 {
		s.block = make([]Tile, poolTiles)
	}
	t := &s.block[0]
	s.block = s.block[1:]
	return t
}

// Recycle takes the tiles of a store that is done with.
func (s *TilePool) Recycle(c *Cells) {
	for _, t := range c.Tiles {
		if t != nil {
			s.back = append(s.back, t)
		}
	}
}

// Place gives the column and row of cell k of tile i.
func (c *Cells) Place(i, k int) (x, y int32) {
	return int32(i%c.TX)<<TileBits + int32(k&TileMask), int32(i/c.TX)<<TileBits + int32(k>>TileBits)
}

// CutOf gives the moment at which a cell was cut through.
func (c *Cells) CutOf(i, k int) (cut Tick) {
	if t := c.Tiles[i]; t != nil {
		return t.Cut[k]
	}
	switch c.Plain[i].Blank {
	case noBlank:
		return TickOutside
	case holeBlank:
		return tickHole
	}
	return TickNever
}

func (c *Cells) LabelOf(i, k int) int32 {
	if t := c.Tiles[i]; t != nil {
		return t.Label[k]
	}
	return c.Plain[i].Label
}

func (c *Cells) BlankAt(x, y int) int16 {
	return c.BlankOf((y>>TileBits)*c.TX+x>>TileBits, (y&TileMask)<<TileBits|x&TileMask)
}

// WhereIs gives the place of a cell named by slot and place in its tile.
func (c *Cells) WhereIs(id uint32) (x, y int) {
	i, k := int(c.TileOf[id>>(2*TileBits)]), int(id&(TileArea-1))
	px, py := c.Place(i, k)
	return int(px), int(py)
}

// ListTiles gives the tiles with memory their slots.
func (c *Cells) ListTiles() {
	for i, t := range c.Tiles {
		if t != nil {
			t.Slot = int32(len(c.List))
			c.List, c.TileOf = append(c.List, t), append(c.TileOf, int32(i))
		}
	}
}

// NewCells is an empty store for a grid.
func NewCells(g Grid, s Stock, clock clock) *Cells {
	c := &Cells{TX: (g.NX + TileSide - 1) / TileSide, TY: (g.NY + TileSide - 1) / TileSide, Clock: clock}
	c.Tiles, c.Plain = make([]*Tile, c.TX*c.TY), make([]uniform, c.TX*c.TY)
	for _, b := range s.Blanks {
		c.Tops = append(c.Tops, ToFixed(b.TopMM-s.BottomMM))
	}
	return c
}

// FillPlain makes all of a store that is empty one blank.
func (c *Cells) FillPlain(blank int16) {
	for i := range c.Plain {
		c.Plain[i].Blank = blank
	}
}

// HasThin tells whether any cell became a web.
func (c *Cells) HasThin() bool {
	return slices.ContainsFunc(c.List, func(t *Tile) bool { return t.Thin != nil })
}

// DropThin forgets which cells became webs.
func (c *Cells) DropThin() {
	for _, t := range c.List {
		t.Thin = nil
	}
}

const (
	TileBits = 4 // a tile is 16 x 16 cells: larger ones hold more beside the cuts
	TileSide = 1 << TileBits
	TileArea = TileSide * TileSide
	TileMask = TileSide - 1
)

// UpdateTop keeps the bound of the heights fresh: visited cells were looked at.
func (t *Tile) UpdateTop(changed bool, visited int) {
	if changed {
		t.dirty = true
	} else if t.dirty && visited >= TileArea/4 {
		t.refreshTop()
	}
}
