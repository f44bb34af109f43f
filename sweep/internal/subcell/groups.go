package subcell

import "staydown/sweep/internal/raster"

// maxGroups bounds the sides of one place.
const maxGroups = 100

// groups marks the cells of a window, without the one in its middle, that stand after a moment, group by group; nil if
// there are fewer than two groups. All cells of the window count, since many in a row may go in one tick (a plunge).
func (b *Bridges) groups(cx, cy, w int, at raster.Tick) []int8 {
	side := 2*w + 1
	out := make([]int8, side*side)
	blank := b.c.BlankAt(cx, cy)
	stands := func(x, y int) bool {
		if x == cx && y == cy || x < max(0, cx-w) || y < max(0, cy-w) || x > min(b.s.Grid.NX-1, cx+w) ||
			y > min(b.s.Grid.NY-1, cy+w) {
			return false
		}
		cut := b.c.CutAt(x, y)
		if cut <= at && len(b.held) > 0 {
			if t, k := b.c.At(x, y); t != nil {
				cut = max(cut, b.held[t.ID(k)])
			}
		}
		return cut > at && cut >= raster.FirstTick && b.c.BlankAt(x, y) == blank
	}
	n := int8(0)
	var stack [][2]int
	for d := 0; d < side*side && n < maxGroups; d++ {
		x, y := cx+d%side-w, cy+d/side-w
		if !stands(x, y) || out[(y-cy+w)*side+x-cx+w] != 0 {
			continue
		}
		n++
		out[(y-cy+w)*side+x-cx+w] = n
		stack = append(stack[:0], [2]int{x, y})
		for len(stack) > 0 {
			p := stack[len(stack)-1]
			stack = stack[:len(stack)-1]
			for e := 0; e < 4; e++ {
				x, y := p[0]+[4]int{1, 0, -1, 0}[e], p[1]+[4]int{0, 1, 0, -1}[e]
				if stands(x, y) && out[(y-cy+w)*side+x-cx+w] == 0 {
					out[(y-cy+w)*side+x-cx+w] = n
					stack = append(stack, [2]int{x, y})
				}
			}
		}
	}
	if n < 2 {
		return nil
	}
	return out
}
