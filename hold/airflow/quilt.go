package airflow

import "math"

// pile is a heap with where it lies.
type pile struct {
	x, y  int32 // lowest air cell of its square
	level int32
	heap
}

// quilt joins piles to patches.
type quilt struct {
	piles     []pile
	low, high [2]int32           // air cells that the piles reach from and to
	index     []int32            // of each square among squares, from 1
	squares   [][levelCount]heap // that have piles
}

func (q *quilt) clear() {
	q.piles = q.piles[:0]
	q.low, q.high = [2]int32{math.MaxInt32, math.MaxInt32}, [2]int32{}
}

func (q *quilt) put(x, y int32, level int, h heap) {
	q.piles = append(q.piles, pile{x, y, int32(level), h})
	q.low = [2]int32{min(q.low[0], x), min(q.low[1], y)}
	q.high = [2]int32{max(q.high[0], x), max(q.high[1], y)}
}

// join sums the piles by level in squares of 2^fold air cells a side; not ok if that makes more than MaxPatches.
func (q *quilt) join(fold int) (patches []Patch, ok bool) {
	if len(q.piles) == 0 {
		return nil, true
	}
	x0, y0 := q.low[0]>>fold, q.low[1]>>fold
	across := q.high[0]>>fold - x0 + 1
	q.index = append(q.index[:0], make([]int32, across*(q.high[1]>>fold-y0+1))...)
	q.squares = q.squares[:0]
	count := 0
	for i := range q.piles {
		p := &q.piles[i]
		at := &q.index[(p.y>>fold-y0)*across+p.x>>fold-x0]
		if *at == 0 {
			q.squares = append(q.squares, [levelCount]heap{})
			*at = int32(len(q.squares))
		}
		h := &q.squares[*at-1][p.level]
		if h.area == 0 {
			count++
		}
		if count > MaxPatches {
			return nil, false
		}
		h.add(p.heap)
	}
	patches = make([]Patch, 0, count)
	for i := range q.squares {
		for level := range q.squares[i] {
			if h := &q.squares[i][level]; h.area > 0 {
				patches = append(patches, h.patch(1))
			}
		}
	}
	return patches, true
}

// patch is the heap at its centroid, its area scaled.
func (h *heap) patch(scale float64) Patch {
	return Patch{X: h.x / h.area, Y: h.y / h.area, AreaMM2: h.area * scale, W: min(1, max(0, h.w/h.area))}
}
