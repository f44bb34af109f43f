package words

import (
	"math"
	"strconv"

	"staydown/parse/units"
)

// significantDigits is the precision of numbers in files. Nine digits are far below any error of the model and keep
// 0.30000000000000004 out of the output.
const significantDigits = 9

// Number renders v in at most significantDigits digits without an exponent where that stays short. It returns ""
// for NaN and infinities, which JSON and CSV cannot carry.
func Number(v float64) string {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return ""
	}
	rounded := units.Digits(v, significantDigits)
	if rounded == 0 {
		return "0" // also for -0
	}
	if a := math.Abs(rounded); a < 1e-6 || a >= 1e15 {
		return strconv.FormatFloat(rounded, 'g', -1, 64)
	}
	return strconv.FormatFloat(rounded, 'f', -1, 64)
}
