// Package wording writes figures as messages and pages show them, each kind in one way:
//
//	Clock(750)                  0:12:30
//	Margin(0.996)               0.99
//	Count(3, "piece", "pieces") 3 pieces
//
// It knows nothing of units other than seconds; lengths and feeds are written in the program's own units by hold.
package wording

import (
	"fmt"
	"math"
	"strconv"
)

// Clock writes seconds as h:mm:ss, rounded to the nearest second; "unknown" when they are not finite.
func Clock(seconds float64) string {
	if math.IsNaN(seconds) || math.IsInf(seconds, 0) {
		return "unknown"
	}
	s := int64(math.Round(math.Max(0, math.Min(seconds, 1e12))))
	return fmt.Sprintf("%d:%02d:%02d", s/3600, s/60%60, s%60)
}

// Margin writes a margin with two decimals, rounded down so that 0.996 never reads as 1.00 while the verdict says
// loose; "none" for NaN and "not loaded" for +Inf.
func Margin(m float64) string {
	switch {
	case math.IsNaN(m):
		return "none"
	case math.IsInf(m, 1):
		return "not loaded"
	case m >= 1000:
		return "over 1000"
	}
	return fmt.Sprintf("%.2f", math.Floor(m*100+1e-9)/100)
}

// Count writes a number with its noun: "1 piece", "3 pieces".
func Count(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return strconv.Itoa(n) + " " + many
}
