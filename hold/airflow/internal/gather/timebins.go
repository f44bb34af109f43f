package gather

import (
	"fmt"
	"math"
	"runtime"

	"staydown/sweep"
	"staydown/sweep/parallel"
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
	mostMoves  = 100_000_000 // that can be computed
)

// newTimeBins counts the cells that each move cuts through.
func newTimeBins(src Source, m int) (*timeBins, error) {
	cells, err := countByMove(src)
	if err != nil {
		return nil, err
	}
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
	return s, nil
}

// countByMove gives how many cells each move cuts through. The rows are shared out among the processors; the counts are
// whole numbers and do not depend on how.
func countByMove(src Source) ([]int32, error) {
	shares := runtime.GOMAXPROCS(0)
	counts, errs := make([][]int32, shares), make([]error, shares)
	parallel.For(shares, shares, func(_, k int) {
		counts[k], errs[k] = countRows(src, src.Grid.NY*k/shares, src.Grid.NY*(k+1)/shares)
	})
	sum := counts[0]
	for k, count := range counts {
		if errs[k] != nil {
			return nil, errs[k]
		}
		if k == 0 {
			continue
		}
		sum = append(sum, make([]int32, max(0, len(count)-len(sum)))...)
		for move, n := range count {
			sum[move] += n
		}
	}
	return sum, nil
}

// countRows counts the cells of rows from up to, but without, to.
func countRows(src Source, from, to int) ([]int32, error) {
	cut, label := make([]sweep.Progress, src.Grid.NX), make([]int32, src.Grid.NX)
	var cells []int32
	for iy := from; iy < to; iy++ {
		src.Read(iy, cut, label, nil)
		for from := 0; from < len(cut); {
			to, alike := src.Stretch(from, iy)
			if alike && (label[from] <= 0 || cut[from] >= sweep.Never) {
				from = to
				continue
			}
			for ; from < to; from++ {
				at := cut[from]
				if label[from] <= 0 || at >= sweep.Never {
					continue
				}
				if !(at >= 0) || at >= mostMoves {
					return nil, fmt.Errorf("a cell is cut through at moment %g; at most %d moves can be computed",
						float64(at), mostMoves)
				}
				k := at.Move()
				if k >= len(cells) {
					cells = append(cells, make([]int32, k+1-len(cells))...)
				}
				cells[k]++
			}
		}
	}
	return cells, nil
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
