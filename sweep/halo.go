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
	h.mixed = f.c.mixedRound(i)
	for dy := -1; dy <= 1; dy++ {
		for dx := -1; dx <= 1; dx++ {
			j, ok := f.c.tileBeside(i, dx, dy)
			inHaloFrom(dx, dy, func(k, p int) {
				h.at[p] = 0
				if !ok {
					return
				}
				h.at[p] = f.orderOf(j, k)
				if h.mixed {
					h.blank[p] = f.c.blankAt(j, k)
				}
			})
		}
	}
}

// mixedRound tells whether cells of different blanks may touch in tile i and round it.
func (c *cells) mixedRound(i int) bool {
	own := c.plain[i].blank
	for dy := -1; dy <= 1; dy++ {
		for dx := -1; dx <= 1; dx++ {
			if j, ok := c.tileBeside(i, dx, dy); ok {
				if u := c.plain[j].blank; u == mixed || u >= 0 && u != own {
					return true
				}
			}
		}
	}
	return false
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

// later tells which neighbours of cell k outlast it, of its own blank, by their orders.
func (h *halo) later(k int) (later uint8) {
	p := inHalo(k)
	for n, step := range ringStep {
		q := p + step[1]*haloSide + step[0]
		if h.at[q] > h.at[p] && (!h.mixed || h.blank[q] == h.blank[p]) {
			later |= 1 << n
		}
	}
	return later
}
