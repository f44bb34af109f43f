package sweep

// haloSide is the side of a tile with a border of one cell all round.
const haloSide = tileSide + 2

// inHalo gives the place of cell k in the halo of its tile.
func inHalo(k int) int { return (k>>tileBits+1)*haloSide + k&tileMask + 1 }

// tileBeside gives the tile dx, dy (-1, 0 or 1) away.
func (c *cells) tileBeside(i, dx, dy int) (j int, ok bool) {
	x, y := i%c.tx+dx, i/c.tx+dy
	return y*c.tx + x, x >= 0 && x < c.tx && y >= 0 && y < c.ty
}
