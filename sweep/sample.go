package sweep

import "math"

// sample gathers what happens on a stretch of path no longer than a cell. All its fields are joined by sums of
// whole numbers, least and greatest values, so that the order in which cells are met does not matter.
type sample struct {
	n         int32
	bits      uint16
	vol       int64   // fix times cells
	sMin      float32 // mm, offset of removed cells to the left of the path
	sMax      float32
	low, high fix // of what was removed
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

func (s *sample) join(o *sample) {
	s.n += o.n
	s.bits |= o.bits
	s.vol += o.vol
	s.sMin = min(s.sMin, o.sMin)
	s.sMax = max(s.sMax, o.sMax)
	s.low = min(s.low, o.low)
	s.high = max(s.high, o.high)
}
