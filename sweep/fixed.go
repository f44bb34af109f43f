package sweep

import "math"

// fix is a height above the table side of the stock in units of 2^-16 mm (15 nm). Whole numbers make sums of
// volumes exact and independent of their order. Range +-32767 mm.
type fix int32

const fixPerMM = 1 << 16

// toFix rounds to the nearest unit and stops at the range of heights.
func toFix(mm float64) fix {
	if !(mm > -maxHeightMM) {
		return -maxHeightMM * fixPerMM
	}
	if mm > maxHeightMM {
		return maxHeightMM * fixPerMM
	}
	return fix(math.Floor(float64(mm*fixPerMM) + 0.5))
}

func (h fix) mm() float64 { return float64(h) / fixPerMM }

// ThroughMM is the thickness of a film that counts as cut: tools are set to a hundredth of a millimetre, and a thinner
// film holds nothing.
const ThroughMM = 0.01

// maxHeightMM bounds heights and depths, so that they fit the unit.
const maxHeightMM = 30000
