// Package wording writes figures as messages and pages show them, each kind in one way:
//
//	Clock(750)                  0:12:30
//	Margin(0.996)               0.99
//	MarginRange(0.5, 0.9, 1.6)  0.90 (0.50 to 1.60)
//	Chance(0.62)                6 of 10
//	Count(3, "piece", "pieces") 3 pieces
//	Lines(LineRange{3, 3}, LineRange{5, 7}) lines 3 and 5 to 7
//
// It knows nothing of units other than seconds; lengths and feeds are written in the program's own units by hold.
package wording

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
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

// MarginRange writes a margin with its low and high end where they are known and differ.
func MarginRange(low, likely, high float64) string {
	if math.IsNaN(low) || math.IsNaN(high) || low == high {
		return Margin(likely)
	}
	return fmt.Sprintf("%s (%s to %s)", Margin(likely), Margin(low), Margin(high))
}

// Chance writes a chance as a share of like cases; "an unknown share of" for NaN.
func Chance(c float64) string {
	switch {
	case math.IsNaN(c):
		return "an unknown share of"
	case c >= 0.995:
		return "nearly all"
	case c >= 0.95 || c < 0.095 && c >= 0.0095:
		return fmt.Sprintf("%.0f of 100", 100*c)
	case c >= 0.095:
		return fmt.Sprintf("%.0f of 10", 10*c)
	}
	return "fewer than 1 of 100"
}

// Count writes a number with its noun: "1 piece", "3 pieces".
func Count(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return strconv.Itoa(n) + " " + many
}

// LineRange is a range of lines, both ends included.
type LineRange struct{ First, Last int }

// maxRanges is the number of ranges of lines that a sentence names; beyond it, it names the whole range.
const maxRanges = 6

// Lines writes ranges of lines, in order and those that meet or overlap as one: "line 12", "lines 3, 5 to 7 and 12".
// No range gives an empty text.
func Lines(ranges ...LineRange) string { return listed(Named(ranges...)) }

// AllLines writes ranges of lines as Lines does, but every one of them, however many.
func AllLines(ranges ...LineRange) string { return listed(joined(ranges)) }

func listed(all []LineRange) string {
	if len(all) == 0 {
		return ""
	}
	if len(all) == 1 && all[0].First == all[0].Last {
		return fmt.Sprintf("line %d", all[0].First)
	}
	var out []string
	for _, r := range all {
		if r.First == r.Last {
			out = append(out, strconv.Itoa(r.First))
		} else {
			out = append(out, fmt.Sprintf("%d to %d", r.First, r.Last))
		}
	}
	last := len(out) - 1
	if last == 0 {
		return "lines " + out[0]
	}
	return "lines " + strings.Join(out[:last], ", ") + " and " + out[last]
}

// Named gives the ranges that Lines names: those of many in one.
func Named(ranges ...LineRange) []LineRange {
	all := joined(ranges)
	if len(all) > maxRanges {
		all = []LineRange{{all[0].First, all[len(all)-1].Last}}
	}
	return all
}

// joined puts ranges in order and makes one of those that meet or overlap.
func joined(all []LineRange) []LineRange {
	all = slices.Clone(all)
	slices.SortFunc(all, func(a, b LineRange) int { return a.First - b.First })
	var out []LineRange
	for _, r := range all {
		if n := len(out); n > 0 && r.First <= out[n-1].Last+1 {
			out[n-1].Last = max(out[n-1].Last, r.Last)
		} else {
			out = append(out, r)
		}
	}
	return out
}
