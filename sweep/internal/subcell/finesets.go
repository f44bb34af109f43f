package subcell

import (
	"slices"

	"staydown/sweep/internal/raster"
)

// fineSets is a small raster on which sets of cells are joined in order of falling time.
type fineSets struct {
	w, h  int
	cut   []raster.Tick
	blank []int16 // only with several blanks
	apart bool    // there are several
	up    []int32
	kid   []int8    // of a root: the side it belongs to; 0 for none
	mine  []int8    // of a cell: it is a place of that side; 0 for none
	same  [128]int8 // of a side: one that it was joined to, or itself
	sides int       // not yet joined

	marks       []int32 // places of sides
	late, early []uint64
	from        []int32 // scratch of path, all 0 between calls
	queue       []int32
}

// reset takes over the moments of the cells of a store.
func (v *fineSets) reset(c *raster.Cells, g raster.Grid) {
	v.w, v.h, v.sides, v.apart = g.NX, g.NY, 0, len(c.Tops) > 1
	n := v.w * v.h
	if cap(v.cut) < n {
		v.cut, v.blank, v.up = make([]raster.Tick, n), make([]int16, n), make([]int32, n)
		v.kid, v.mine, v.from = make([]int8, n), make([]int8, n), make([]int32, n)
	}
	v.cut, v.blank, v.up, v.kid, v.mine, v.from = v.cut[:n], v.blank[:n], v.up[:n], v.kid[:n], v.mine[:n], v.from[:n]
	clear(v.mine)
	v.marks = v.marks[:0]
	for i := range v.same {
		v.same[i] = int8(i)
	}
	for ti, t := range c.Tiles {
		x0, y0 := ti%c.TX<<raster.TileBits, ti/c.TX<<raster.TileBits
		w, h := min(raster.TileSide, v.w-x0), min(raster.TileSide, v.h-y0)
		for y := range h {
			row, k := (y0+y)*v.w+x0, y<<raster.TileBits
			cut, blank := v.cut[row:row+w], v.blank[row:row+w]
			if t != nil {
				copy(cut, t.Cut[k:])
			} else {
				at := c.CutOf(ti, k)
				for x := range cut {
					cut[x] = at
				}
			}
			for x := range blank {
				if !v.apart {
					break
				}
				blank[x] = c.BlankOf(ti, k+x)
			}
		}
	}
}

func (v *fineSets) mark(x, y int, side int8) {
	v.mine[y*v.w+x] = side
	v.marks = append(v.marks, int32(y*v.w+x))
	v.sides = max(v.sides, int(side))
}

func (v *fineSets) find(i int32) int32 {
	for v.up[i] != i {
		v.up[i] = v.up[v.up[i]]
		i = v.up[i]
	}
	return i
}

func (v *fineSets) side(k int8) int8 {
	for v.same[k] != k {
		k = v.same[k]
	}
	return k
}

// fill puts the cells back and tells of every place where two sides join, before they count as one. It goes back to
// asked.from at most. What goes at asked.to or later counts as one moment: if sides meet then ok is false. about is a
// moment not long before the last of them, as a guess that only saves time.
func (v *fineSets) fill(asked raster.Interval, about raster.Tick, met func(at raster.Tick, cell int32, a,
	b int8)) (ok bool) {
	late, early, sides := v.late[:0], v.early[:0], v.sides
	for y, i := 0, int32(0); y < v.h; y++ {
		for x := range v.w {
			switch cut := v.cut[i]; {
			case cut >= asked.To:
				// The cells to the right and above are not back yet.
				v.up[i], v.kid[i] = i, v.mine[i]
				if x > 0 && v.up[i-1] >= 0 {
					v.join(i, i-1, raster.TickNever, met)
				}
				if y > 0 && v.up[i-int32(v.w)] >= 0 {
					v.join(i, i-int32(v.w), raster.TickNever, met)
				}
			case cut < raster.FirstTick || cut < asked.From:
				v.up[i] = -1
			case cut >= about:
				v.up[i] = -1
				late = append(late, uint64(cut)<<32|uint64(i))
			default:
				v.up[i] = -1
				early = append(early, uint64(cut)<<32|uint64(i))
			}
			i++
		}
	}
	v.late, v.early = late, early
	if v.sides < sides && asked.To != raster.TickNever {
		return false
	}
	for _, events := range [2][]uint64{late, early} {
		if v.sides <= 1 {
			break
		}
		slices.Sort(events)
		for n := len(events) - 1; n >= 0 && v.sides > 1; n-- {
			v.put(int32(uint32(events[n])), raster.Tick(events[n]>>32), met)
		}
	}
	return true
}

// put returns one cell.
func (v *fineSets) put(i int32, at raster.Tick, met func(at raster.Tick, cell int32, a, b int8)) {
	v.up[i], v.kid[i] = i, v.mine[i]
	x, y := int(i)%v.w, int(i)/v.w
	if x > 0 {
		v.join(i, i-1, at, met)
	}
	if x < v.w-1 {
		v.join(i, i+1, at, met)
	}
	if y > 0 {
		v.join(i, i-int32(v.w), at, met)
	}
	if y < v.h-1 {
		v.join(i, i+int32(v.w), at, met)
	}
}

// join joins cell i to its neighbor n, if that stands.
func (v *fineSets) join(i, n int32, at raster.Tick, met func(at raster.Tick, cell int32, a, b int8)) {
	if v.up[n] < 0 || v.apart && v.blank[n] != v.blank[i] {
		return
	}
	a, b := v.find(i), v.find(n)
	if a == b {
		return
	}
	if a > b {
		a, b = b, a
	}
	if ka, kb := v.kid[a], v.kid[b]; ka != 0 && kb != 0 {
		if ka, kb = v.side(ka), v.side(kb); ka != kb {
			met(at, i, ka, kb)
			v.same[kb] = ka
			v.sides--
		}
	}
	v.up[b] = a
	v.kid[a] = max(v.kid[a], v.kid[b])
}

// path gives a chain of cells that stand until at and lead from side a to side b: breadth first, so a shortest one.
func (v *fineSets) path(at raster.Tick, a, b int8) (out []int) {
	slices.Sort(v.marks)
	queue := v.queue[:0]
	for _, i := range v.marks {
		if v.side(v.mine[i]) == a && v.cut[i] >= at {
			v.from[i] = i + 1
			queue = append(queue, i)
		}
	}
	for next := 0; next < len(queue) && out == nil; next++ {
		i := queue[next]
		if v.mine[i] != 0 && v.side(v.mine[i]) == b {
			out = append(out, int(i))
			for ; v.from[i] != i+1; i = v.from[i] - 1 {
				out = append(out, int(v.from[i]-1))
			}
			break
		}
		x, y := int(i)%v.w, int(i)/v.w
		for d, step := range [4]int32{1, int32(v.w), -1, -int32(v.w)} {
			if d == 0 && x == v.w-1 || d == 1 && y == v.h-1 || d == 2 && x == 0 || d == 3 && y == 0 {
				continue
			}
			if n := i + step; v.from[n] == 0 && v.cut[n] >= max(at, raster.FirstTick) &&
				!(v.apart && v.blank[n] != v.blank[i]) {
				v.from[n] = i + 1
				queue = append(queue, n)
			}
		}
	}
	for _, i := range queue {
		v.from[i] = 0
	}
	v.queue = queue
	return out
}
