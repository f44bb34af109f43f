package report

import (
	"cmp"
	"math"
	"slices"

	"staydown/hold/result"
	"staydown/report/words"
)

// span is a part of the program's time, seconds.
type span struct{ fromS, toS float64 }

// riskySpans gives the times with a margin whose low end is below the one asked for, and apart from them those with a
// margin below 1 or an unheld piece. They come from the timeline, where a sample speaks for the time since the one
// before it, and from the findings. Spans with no more than gapS between them become one, so that a picture asks for no
// more than it can show.
func riskySpans(r *result.Result, gapS float64) (atRisk, loose []span) {
	before := 0.0
	for _, s := range r.Timeline {
		switch {
		case s.LeastMargin < 1:
			loose = append(loose, span{before, s.TimeS})
		case s.LeastLow < r.Margin:
			atRisk = append(atRisk, span{before, s.TimeS})
		}
		before = s.TimeS
	}
	for _, f := range r.Findings {
		if f.Line == 0 || words.Kind(f) == f.Rule {
			continue
		}
		at := span{f.TimeS, math.Max(f.TimeS, f.LastTimeS)}
		if f.Level == result.LevelError {
			loose = append(loose, at)
		} else {
			atRisk = append(atRisk, at)
		}
	}
	return mergeSpans(atRisk, gapS), mergeSpans(loose, gapS)
}

// mergeSpans sorts spans and merges those at most gapS apart.
func mergeSpans(spans []span, gapS float64) []span {
	slices.SortFunc(spans, func(a, b span) int {
		return cmp.Compare(a.fromS, b.fromS)
	})
	var out []span
	for _, s := range spans {
		if n := len(out); n > 0 && s.fromS-out[n-1].toS <= gapS {
			out[n-1].toS = math.Max(out[n-1].toS, s.toS)
		} else {
			out = append(out, s)
		}
	}
	return out
}
