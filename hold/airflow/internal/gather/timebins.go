package gather

import (
	"math"

	"staydown/sweep"
)

// timeBins divides the program in stretches that each cut through about as much as binCells air cells. All that happens
// in one air cell within one of them counts as happening at the earliest of its moments: a cell is exposed early by no
// more than the time the tool takes to cross it, and the number of events is bounded by the area of the kerfs, however
// many moves they are made of.
type timeBins struct {
	base  []int64 // number of the first bin of each move
	parts []int32 // bins within it
}

const (
	binCells   = 2
	noBin      = math.MaxInt64 // never
	startBin   = -1
	mostOfMove = 1 << 20
)

// newTimeBins divides moves that cut through so many cells each.
func newTimeBins(cells []int32, m int) *timeBins {
	s := &timeBins{base: make([]int64, len(cells)), parts: make([]int32, len(cells))}
	bin, filled, full := int64(0), int32(0), int32(min(binCells*m*m, math.MaxInt32/2))
	for k, c := range cells {
		if filled > 0 && filled+c > full {
			bin, filled = bin+1, 0
		}
		s.base[k], s.parts[k] = bin, 1
		if c > full {
			s.parts[k] = min((c+full-1)/full, mostOfMove)
			bin += int64(s.parts[k])
			continue
		}
		filled += c
	}
	return s
}

// of gives the bin of a moment.
func (s *timeBins) of(at sweep.Progress) int64 {
	switch {
	case at >= sweep.Never:
		return noBin
	case at < 0:
		return startBin
	}
	k := at.Move()
	if k >= len(s.base) {
		return noBin - 1
	}
	part := int64((float64(at) - float64(k)) * float64(s.parts[k]))
	return s.base[k] + min(part, int64(s.parts[k])-1)
}
