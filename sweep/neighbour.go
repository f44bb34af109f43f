package sweep

import "math/bits"

// The eight neighbours of a cell as bits of a byte, going round from the right one upwards; beside are the four with a
// common side.
const (
	toRight uint8 = 1
	toUp    uint8 = 4
	toLeft  uint8 = 16
	toDown  uint8 = 64
	beside        = toRight | toUp | toLeft | toDown
)

// parts tells, for the neighbours of a cell that outlast it, whether those beside it fall apart into several groups
// without it, looking no further than the eight.
var parts = func() (out [256]bool) {
	for later := range out {
		groups := bits.OnesCount8(uint8(later) & beside)
		for n := 0; n < 8; n += 2 {
			three := uint8(1)<<n | uint8(2)<<n | bits.RotateLeft8(4, n)
			if uint8(later)&three == three {
				groups--
			}
		}
		out[later] = groups > 1
	}
	return out
}()

// standingBeside tells which of the eight neighbours of a cell stand at the end, of its own blank, as bits going round
// from the right one upwards.
func (c *cells) standingBeside(x, y int) (out uint8) {
	blank := c.blankOf(x, y)
	for n, step := range [8][2]int{{1, 0}, {1, 1}, {0, 1}, {-1, 1}, {-1, 0}, {-1, -1}, {0, -1}, {1, -1}} {
		nx, ny := x+step[0], y+step[1]
		if nx >= 0 && ny >= 0 && nx < c.tx<<tileBits && ny < c.ty<<tileBits && c.cutTick(nx, ny) == tickNever &&
			c.blankOf(nx, ny) == blank {
			out |= 1 << n
		}
	}
	return out
}

// inside tells whether all eight cells round cell k lie in its own tile.
func inside(k int) bool {
	x, y := k&tileMask, k>>tileBits
	return x > 0 && x < tileMask && y > 0 && y < tileMask
}

// side gives the cell next to cell k of tile i; dir is 0 right, 1 up, 2 left, 3 down. ok is false off the grid.
func (c *cells) side(i, k, dir int) (ni, nk int, ok bool) {
	switch dir {
	case 0:
		if k&tileMask != tileMask {
			return i, k + 1, true
		}
		return i + 1, k - tileMask, i%c.tx != c.tx-1
	case 1:
		if k < tileArea-tileSide {
			return i, k + tileSide, true
		}
		return i + c.tx, k - tileArea + tileSide, i/c.tx != c.ty-1
	case 2:
		if k&tileMask != 0 {
			return i, k - 1, true
		}
		return i - 1, k + tileMask, i%c.tx != 0
	}
	if k >= tileSide {
		return i, k - tileSide, true
	}
	return i - c.tx, k + tileArea - tileSide, i/c.tx != 0
}

// nearRim tells whether a cell of tile i may lie on the outer rim of a blank.
func (c *cells) nearRim(i int) bool {
	open := func(i int, ok bool) bool {
		if !ok {
			return true
		}
		t := c.tiles[i]
		if t == nil {
			return c.plain[i].blank == noBlank
		}
		// Tiles of one blank only have no cells outside it.
		return c.plain[i].blank == noBlank || c.plain[i].blank == mixed || t.rim
	}
	return open(i, true) || open(i-1, i%c.tx > 0) || open(i+1, i%c.tx < c.tx-1) || open(i-c.tx, i >= c.tx) ||
		open(i+c.tx, i/c.tx < c.ty-1)
}

// atRim tells whether a cell lies on the outer rim of its blank.
func (c *cells) atRim(i, k int) bool {
	for dir := 0; dir < 4; dir++ {
		ni, nk, ok := c.side(i, k, dir)
		if !ok {
			return true
		}
		if t := c.tiles[ni]; t != nil {
			if t.cut[nk] == tickOutside {
				return true
			}
		} else if c.plain[ni].blank == noBlank {
			return true
		}
	}
	return false
}

// plainAtRim does the same for a whole tile without memory.
func (c *cells) plainAtRim(i int) bool {
	for k := 0; k < tileSide; k++ {
		for _, e := range [...]int{k, tileArea - tileSide + k, k << tileBits, k<<tileBits | tileMask} {
			if c.atRim(i, e) {
				return true
			}
		}
	}
	return false
}
