package report

import (
	"fmt"
	"math"
	"strconv"

	"staydown/hold"
)

// significantDigits is the precision of numbers in files. Nine digits are far below any error of the model and keep
// 0.30000000000000004 out of the output.
const significantDigits = 9

// number renders v in at most significantDigits digits without an exponent where that stays short. It returns ""
// for NaN and infinities, which JSON and CSV cannot carry.
func number(v float64) string {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return ""
	}
	rounded, err := strconv.ParseFloat(strconv.FormatFloat(v, 'g', significantDigits, 64), 64)
	if err != nil || rounded == 0 {
		return "0" // also for -0
	}
	if a := math.Abs(rounded); a < 1e-6 || a >= 1e15 {
		return strconv.FormatFloat(rounded, 'g', -1, 64)
	}
	return strconv.FormatFloat(rounded, 'f', -1, 64)
}

// marginText renders a margin for people: two decimals, rounded down so that 0.996 never reads as 1.00 while
// the verdict says loose; "none" for a margin that does not exist and "not loaded" for +Inf.
func marginText(m float64) string {
	switch {
	case math.IsNaN(m):
		return "none"
	case math.IsInf(m, 1):
		return "not loaded"
	case m >= 1000:
		return "over 1000"
	default:
		return hold.MarginText(m)
	}
}

// clock renders seconds as h:mm:ss, rounded to the nearest second.
func clock(seconds float64) string {
	if math.IsNaN(seconds) || math.IsInf(seconds, 0) {
		return "-"
	}
	s := int64(math.Round(math.Max(0, math.Min(seconds, 1e12))))
	return fmt.Sprintf("%d:%02d:%02d", s/3600, s/60%60, s%60)
}

// count renders n with its noun: "1 piece", "3 pieces".
func count(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return strconv.Itoa(n) + " " + many
}
