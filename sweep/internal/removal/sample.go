package removal

import (
	"math"

	"staydown/sweep/internal/raster"
)

// sample gathers what happens on a stretch of path no longer than a cell. All its fields are joined by sums of
// whole numbers, least and greatest values, so that the order in which cells are met does not matter.
type sample struct {
	n         int32
	bits      uint16
	vol       int64   // fix times cells
	sMin      float32 // mm, offset of removed cells to the left of the path
	sMax      float32
	low, high raster.Fixed // of what was removed
}

const (
	bitThrough uint16 = 1 << iota
	bitLeft
	bitRight
	bitFloor
)

func (s *sample) reset() {
	*s = sample{sMin: math.MaxFloat32, sMax: -math.MaxFloat32, low: math.MaxInt32, high: math.MinInt32}
}

// add enters a cell that is lowered from a height to what is left.
func (s *sample) add(side float32, from, left raster.Fixed) {
	s.n++
	s.vol += int64(from - left)
	if side < s.sMin {
		s.sMin = side
	}
	if side > s.sMax {
		s.sMax = side
	}
	s.high, s.low = max(s.high, from), min(s.low, left)
}

func (s *sample) join(o *sample) {
	s.n += o.n
	s.bits |= o.bits
	s.vol += o.vol
	s.sMin = min(s.sMin, o.sMin)
	s.sMax = max(s.sMax, o.sMax)
	s.low = min(s.low, o.low)
	s.high = max(s.high, o.high)
}
