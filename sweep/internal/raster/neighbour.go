package raster

import "math/bits"

// The eight neighbors of a cell as bits of a byte, going round from the right one upwards; beside are the four with a
// common side.
const (
	toRight uint8 = 1
	toUp    uint8 = 4
	toLeft  uint8 = 16
	toDown  uint8 = 64
	beside        = toRight | toUp | toLeft | toDown
)

// SplitsRound tells, for the neighbors of a cell that outlast it, whether those beside it fall apart into several
// groups without it, looking no further than the eight.
var SplitsRound = func() (out [256]bool) {
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

// StandingBeside tells which of the eight neighbors of a cell stand at the end, of its own blank, as bits going round
// from the right one upwards.
func (c *Cells) StandingBeside(x, y int) (out uint8) {
	blank, one := c.BlankAt(x, y), len(c.Tops) == 1
	for n, step := range [8][2]int{{1, 0}, {1, 1}, {0, 1}, {-1, 1}, {-1, 0}, {-1, -1}, {0, -1}, {1, -1}} {
		nx, ny := x+step[0], y+step[1]
		if nx >= 0 && ny >= 0 && nx < c.TX<<TileBits && ny < c.TY<<TileBits && c.CutAt(nx, ny) == TickNever &&
			(one || c.BlankAt(nx, ny) == blank) {
			out |= 1 << n
		}
	}
	return out
}

// InsideTile tells whether all eight cells round cell k lie in its own tile.
func InsideTile(k int) bool {
	x, y := k&TileMask, k>>TileBits
	return x > 0 && x < TileMask && y > 0 && y < TileMask
}

// Beside gives the cell next to cell k of tile i; dir is 0 right, 1 up, 2 left, 3 down. ok is false off the grid.
func (c *Cells) Beside(i, k, dir int) (ni, nk int, ok bool) {
	switch dir {
	case 0:
		if k&TileMask != TileMask {
			return i, k + 1, true
		}
		return i + 1, k - TileMask, i%c.TX != c.TX-1
	case 1:
		if k < TileArea-TileSide {
			return i, k + TileSide, true
		}
		return i + c.TX, k - TileArea + TileSide, i/c.TX != c.TY-1
	case 2:
		if k&TileMask != 0 {
			return i, k - 1, true
		}
		return i - 1, k + TileMask, i%c.TX != 0
	}
	if k >= TileSide {
		return i, k - TileSide, true
	}
	return i - c.TX, k + TileArea - TileSide, i/c.TX != 0
}

// NearRim tells whether a cell of tile i may lie on the outer rim of a blank.
func (c *Cells) NearRim(i int) bool {
	open := func(i int, ok bool) bool {
		if !ok {
			return true
		}
		t := c.Tiles[i]
		if t == nil {
			return c.Plain[i].Blank == noBlank
		}
		// Tiles of one blank only have no cells outside it.
		return c.Plain[i].Blank == noBlank || c.Plain[i].Blank == Mixed || t.Rim
	}
	return open(i, true) || open(i-1, i%c.TX > 0) || open(i+1, i%c.TX < c.TX-1) || open(i-c.TX, i >= c.TX) ||
		open(i+c.TX, i/c.TX < c.TY-1)
}

// AtRim tells whether a cell lies on the outer rim of its blank.
func (c *Cells) AtRim(i, k int) bool {
	for dir := 0; dir < 4; dir++ {
		ni, nk, ok := c.Beside(i, k, dir)
		if !ok {
			return true
		}
		if t := c.Tiles[ni]; t != nil {
			if t.Cut[nk] == TickOutside {
				return true
			}
		} else if c.Plain[ni].Blank == noBlank {
			return true
		}
	}
	return false
}

// PlainAtRim does the same for a whole tile without memory.
func (c *Cells) PlainAtRim(i int) bool {
	for k := 0; k < TileSide; k++ {
		for _, e := range [...]int{k, TileArea - TileSide + k, k << TileBits, k<<TileBits | TileMask} {
			if c.AtRim(i, e) {
				return true
			}
		}
	}
	return false
}
