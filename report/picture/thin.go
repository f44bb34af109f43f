package picture

import (
	"math"
	"slices"

	"staydown/hold/result"
)

// Thin picks the samples that a picture of the given number of pixel columns can show: of every column the first and
// last sample and those where held area, the stock's share, vacuum, margin or its low end are lowest or highest. A
// polyline through them covers the same pixels as one through all samples (Jugel et al., "M4: A Visualization-Oriented
// Time Series Data Aggregation", VLDB 2014). It returns rising indices, at most 12 a column.
func Thin(samples []result.Sample, spanS float64, columns int) []int {
	if len(samples) <= 2*columns || !(spanS > 0) {
		all := make([]int, len(samples))
		for i := range all {
			all[i] = i
		}
		return all
	}
	values := []func(result.Sample) float64{
		func(s result.Sample) float64 { return s.HeldAreaMM2 },
		func(s result.Sample) float64 { return s.StockHeldMM2 },
		func(s result.Sample) float64 { return s.VacuumKPa },
		likelyMargin, LowEnd,
	}
	var out []int
	for from := 0; from < len(samples); {
		col := column(samples[from].TimeS, spanS, columns)
		to := from + 1
		for to < len(samples) && column(samples[to].TimeS, spanS, columns) == col {
			to++
		}
		pick := []int{from, to - 1}
		for _, value := range values {
			lo, hi := -1, -1
			for i := from; i < to; i++ {
				v := value(samples[i])
				if math.IsNaN(v) || math.IsInf(v, 0) {
					continue
				}
				if lo < 0 || v < value(samples[lo]) {
					lo = i
				}
				if hi < 0 || v > value(samples[hi]) {
					hi = i
				}
			}
			if lo >= 0 {
				pick = append(pick, lo, hi)
			}
		}
		slices.Sort(pick)
		out = append(out, slices.Compact(pick)...)
		from = to
	}
	return out
}

func column(t, spanS float64, columns int) int {
	c := int(t / spanS * float64(columns))
	return max(0, min(c, columns-1))
}

// SpanS is the length of the time axis: the program's duration, or the last sample when that is later.
func SpanS(r *result.Result) float64 {
	span := r.Program.DurationS
	if n := len(r.Timeline); n > 0 {
		span = math.Max(span, r.Timeline[n-1].TimeS)
	}
	if !(span > 0) || math.IsInf(span, 1) {
		return 1
	}
	return span
}
