package picture

import (
	"cmp"
	"math"
	"slices"

	"staydown/hold/result"
	"staydown/report/words"
)

// Span is a part of the program's time, seconds.
type Span struct{ FromS, ToS float64 }

// RiskySpans gives the times with a margin whose low end is below the one asked for, and apart from them those with a
// margin below 1 or an unheld piece. They come from the timeline, where a sample speaks for the time since the one
// before it, and from the findings. Spans with no more than gapS between them become one, so that a picture asks for no
// more than it can show.
func RiskySpans(r *result.Result, gapS float64) (atRisk, loose []Span) {
	before := 0.0
	for _, s := range r.Timeline {
		switch {
		case s.LeastMargin < 1:
			loose = append(loose, Span{before, s.TimeS})
		case s.LeastLow < r.Margin:
			atRisk = append(atRisk, Span{before, s.TimeS})
		}
		before = s.TimeS
	}
	for _, f := range r.Findings {
		if f.Line == 0 || words.Kind(f) == f.Rule {
			continue
		}
		at := Span{f.TimeS, math.Max(f.TimeS, f.LastTimeS)}
		if f.Level == result.LevelError {
			loose = append(loose, at)
		} else {
			atRisk = append(atRisk, at)
		}
	}
	return mergeSpans(atRisk, gapS), mergeSpans(loose, gapS)
}

// mergeSpans sorts spans and merges those at most gapS apart.
func mergeSpans(spans []Span, gapS float64) []Span {
	slices.SortFunc(spans, func(a, b Span) int {
		return cmp.Compare(a.FromS, b.FromS)
	})
	var out []Span
	for _, s := range spans {
		if n := len(out); n > 0 && s.FromS-out[n-1].ToS <= gapS {
			out[n-1].ToS = math.Max(out[n-1].ToS, s.ToS)
		} else {
			out = append(out, s)
		}
	}
	return out
}
