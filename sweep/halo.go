package sweep

// halo is a tile with a border of one cell all round.
type halo struct {
	at    [haloSide * haloSide]order
	blank [haloSide * haloSide]int16
	mixed bool // cells of different blanks may touch
}

const haloSide = tileSide + 2

// load reads tile i and what lies round it.
func (h *halo) load(f *forest, i int) {
	c := f.c
	own := c.plain[i].blank
	h.mixed = own == mixed
	t := c.tiles[i]
	for k, at := range f.level(t) {
		h.at[inHalo(k)] = f.orderIn(t.slot, k, at)
	}
	for dy := -1; dy <= 1; dy++ {
		for dx := -1; dx <= 1; dx++ {
			if dx == 0 && dy == 0 {
				continue
			}
			j, ok := c.tileBeside(i, dx, dy)
			if ok {
				u := c.plain[j].blank
				h.mixed = h.mixed || u == mixed || u >= 0 && u != own
			}
			inHaloFrom(dx, dy, func(k, p int) {
				h.at[p] = 0
				if ok {
					h.at[p] = f.orderOf(j, k)
				}
			})
		}
	}
	if !h.mixed {
		return
	}
	for k := range tileArea {
		h.blank[inHalo(k)] = c.blankAt(i, k)
	}
	for dy := -1; dy <= 1; dy++ {
		for dx := -1; dx <= 1; dx++ {
			if j, ok := c.tileBeside(i, dx, dy); ok && (dx != 0 || dy != 0) {
				inHaloFrom(dx, dy, func(k, p int) { h.blank[p] = c.blankAt(j, k) })
			}
		}
	}
}

// inHalo gives the place of cell k in the halo of its tile.
func inHalo(k int) int { return (k>>tileBits+1)*haloSide + k&tileMask + 1 }

// inHaloFrom lists the cells of the tile dx, dy away (0, 0: the tile itself) that lie in a halo, with their places there.
func inHaloFrom(dx, dy int, cell func(k, p int)) {
	for y := max(0, -dy*tileMask); y <= min(tileMask, tileMask-dy*tileMask); y++ {
		for x := max(0, -dx*tileMask); x <= min(tileMask, tileMask-dx*tileMask); x++ {
			cell(y<<tileBits|x, (y+dy*tileSide+1)*haloSide+x+dx*tileSide+1)
		}
	}
}

// tileBeside gives the tile dx, dy (-1, 0 or 1) away.
func (c *cells) tileBeside(i, dx, dy int) (j int, ok bool) {
	x, y := i%c.tx+dx, i/c.tx+dy
	return y*c.tx + x, x >= 0 && x < c.tx && y >= 0 && y < c.ty
}

// haloStep is the step to a neighbour; dir as for cells.side.
var haloStep = [4]int{1, haloSide, -1, -haloSide}

// later gives the order of place n if it holds material of the blank of place p that outlasts p, else 0.
func (h *halo) later(p, n int) order {
	if o := h.at[n]; o > h.at[p] && (!h.mixed || h.blank[n] == h.blank[p]) {
		return o
	}
	return 0
}
