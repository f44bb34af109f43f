package sweep

import "math/bits"

// The eight neighbours of a cell as bits of a byte, going round from the right one upwards; beside are the four with a common side.
const (
	toRight uint8 = 1
	toUp    uint8 = 4
	toLeft  uint8 = 16
	toDown  uint8 = 64
	beside        = toRight | toUp | toLeft | toDown
)

// ringStep are the steps to them.
var ringStep = [8][2]int{{1, 0}, {1, 1}, {0, 1}, {-1, 1}, {-1, 0}, {-1, -1}, {0, -1}, {1, -1}}

// parts tells, for the neighbours of a cell that outlast it, whether those beside it fall apart into several groups without it, looking
// no further than the eight.
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

// tickHalo holds the moments of the cells of a tile with a border of one cell all round.
type tickHalo [haloSide * haloSide]tick

// load reads tile i and what lies round it.
func (h *tickHalo) load(f *forest, i int) {
	for dy := -1; dy <= 1; dy++ {
		for dx := -1; dx <= 1; dx++ {
			j, ok := f.c.tileBeside(i, dx, dy)
			if !ok {
				h.side(dx, dy, &goneOutside)
				continue
			}
			switch t := f.c.tiles[j]; {
			case t != nil:
				h.side(dx, dy, f.level(t))
			case f.c.plain[j].blank >= 0:
				h.side(dx, dy, &goneNever)
			default:
				h.side(dx, dy, &goneOutside)
			}
		}
	}
}

// goneNever and goneOutside are the moments of tiles without memory.
var goneNever, goneOutside = func() (never, outside [tileArea]tick) {
	for k := range never {
		never[k], outside[k] = tickNever, tickOutside
	}
	return never, outside
}()

// side takes over what lies in the halo of the tile dx, dy away, the tile itself for 0, 0.
func (h *tickHalo) side(dx, dy int, gone *[tileArea]tick) {
	x, to, n := 0, 1, tileSide
	if dx != 0 {
		x, to, n = tileMask*(1-dx)/2, (haloSide-1)*(1+dx)/2, 1
	}
	y0, y1 := 0, tileSide
	if dy != 0 {
		y0 = tileMask * (1 - dy) / 2
		y1 = y0 + 1
	}
	if n > 1 {
		for y := y0; y < y1; y++ {
			copy(h[(y+1+dy*tileSide)*haloSide+1:], gone[y<<tileBits:(y+1)<<tileBits])
		}
		return
	}
	for y := y0; y < y1; y++ {
		h[(y+1+dy*tileSide)*haloSide+to] = gone[y<<tileBits|x]
	}
}

// row gives row y of the tile, -1 to tileSide, with its border.
func (h *tickHalo) row(y int) *[haloSide]tick { return (*[haloSide]tick)(h[(y+1)*haloSide:]) }

// tied tells whether a neighbour of cell k goes in the same moment.
func (h *tickHalo) tied(k int) bool {
	p := inHalo(k)
	down, own, up := (*[3]tick)(h[p-haloSide-1:]), (*[3]tick)(h[p-1:]), (*[3]tick)(h[p+haloSide-1:])
	at := own[1]
	return own[2] == at || up[2] == at || up[1] == at || up[0] == at || own[0] == at || down[0] == at || down[1] == at || down[2] == at
}

// laterByPlace tells which neighbours of cell k outlast it by their places, where they go in the same moment: tiles above come later than those
// below, those to the right later than those to the left, as cells do inside a tile.
func (h *tickHalo) laterByPlace(k int) (later uint8) {
	p, x, y := inHalo(k), k&tileMask, k>>tileBits
	for n, step := range ringStep {
		o, after := h[p+step[1]*haloSide+step[0]], false
		ty, tx := (y+step[1])>>tileBits, (x+step[0])>>tileBits
		switch {
		case o != h[p]:
			after = o > h[p]
		case ty != 0:
			after = ty > 0
		case tx != 0:
			after = tx > 0
		default:
			after = step[1] > 0 || step[1] == 0 && step[0] > 0
		}
		if after {
			later |= 1 << n
		}
	}
	return later
}
