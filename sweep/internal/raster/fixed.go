package raster

import "math"

// Fixed is a height above the table side of the stock in units of 2^-16 mm (15 nm). Whole numbers make sums of
// volumes exact and independent of their order. Range +-32767 mm.
type Fixed int32

const FixedPerMM = 1 << 16

// ToFixed rounds to the nearest unit and stops at the range of heights.
func ToFixed(mm float64) Fixed {
	if !(mm > -MaxHeightMM) {
		return -MaxHeightMM * FixedPerMM
	}
	if mm > MaxHeightMM {
		return MaxHeightMM * FixedPerMM
	}
	return Fixed(math.Floor(float64(mm*FixedPerMM) + 0.5))
}

func (h Fixed) MM() float64 { return float64(h) / FixedPerMM }

// ThroughMM is the thickness of a film that counts as cut: tools are set to a hundredth of a millimeter, and a thinner
// film holds nothing.
const ThroughMM = 0.01

// MaxHeightMM bounds heights and depths, so that they fit the unit.
const MaxHeightMM = 30000
