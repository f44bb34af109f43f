package airflow

import (
	"fmt"
	"math"

	"staydown/sweep"
)

// slots divides the program in stretches that each cut through about as much as slotCells air cells. All that happens in one air
// cell within one of them counts as happening at the earliest of its moments: a cell is exposed early by no more than
// the time the tool takes to cross it, and the number of events is bounded by the area of the kerfs, however many moves they
// are made of.
type slots struct {
	base  []int64 // number of the first slot of each move
	parts []int32 // slots within it
}

const (
	slotCells  = 2
	noSlot     = math.MaxInt64 // never
	startSlot  = -1
	mostOfMove = 1 << 20
)

// newSlots counts the cells that each move cuts through.
func newSlots(src source, m int) (*slots, error) {
	n := src.grid.NX
	cut, label, depth := make([]sweep.Progress, n), make([]int32, n), make([]float32, n)
	var cells []int32
	for iy := 0; iy < src.grid.NY; iy++ {
		src.read(iy, cut, label, depth)
		for ix, at := range cut {
			if label[ix] <= 0 || at >= sweep.Never {
				continue
			}
			if !(at >= 0) || at >= mostMoves {
				return nil, fmt.Errorf("a cell is cut through at moment %g; at most %d moves can be computed", float64(at), mostMoves)
			}
			k := at.Move()
			for len(cells) <= k {
				cells = append(cells, 0)
			}
			cells[k]++
		}
	}
	s := &slots{base: make([]int64, len(cells)), parts: make([]int32, len(cells))}
	slot, filled, full := int64(0), int32(0), int32(min(slotCells*m*m, math.MaxInt32/2))
	for k, c := range cells {
		if filled > 0 && filled+c > full {
			slot, filled = slot+1, 0
		}
		s.base[k], s.parts[k] = slot, 1
		if c > full {
			s.parts[k] = min((c+full-1)/full, mostOfMove)
			slot += int64(s.parts[k])
			continue
		}
		filled += c
	}
	return s, nil
}

// of gives the slot of a moment.
func (s *slots) of(at sweep.Progress) int64 {
	switch {
	case at >= sweep.Never:
		return noSlot
	case at < 0:
		return startSlot
	}
	k := at.Move()
	if k >= len(s.base) {
		return noSlot - 1
	}
	part := int64((float64(at) - float64(k)) * float64(s.parts[k]))
	return s.base[k] + min(part, int64(s.parts[k])-1)
}
