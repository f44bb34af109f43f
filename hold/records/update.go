package records

import (
	"math"

	"staydown/hold/doubt"
)

// Posterior is what records say of the inputs: samples of the same inputs, weighted by what was seen.
type Posterior struct {
	Rest    *doubt.Sample // by all but the successes
	All     *doubt.Sample
	Most    float64 // ln of the factor by which successes may raise a margin, see Cap
	Records int     // that were counted
	// Contradicted: the records contradict the ranges, or each other, so far that the samples do not reach what was
	// seen.
	Contradicted bool
}

// mostShifts bounds the steps in which a sample is moved to where the records point.
const mostShifts = 12

// Update weights a sample by records. Inputs are those of the sample, in its order. Where what was seen is far from
// what was expected, the sample is moved there first. nil: the records share no input.
func Update(all []Record, sample *doubt.Sample, inputs []doubt.Input) *Posterior {
	if len(all) == 0 {
		return nil
	}
	shift := make([]float64, len(inputs))
	l := &Posterior{Most: math.Log(Cap(all)), Records: len(all)}
	for range mostShifts {
		moved, own := sample.Shifted(shift)
		var known []drawn
		for k, in := range inputs {
			if Lasting(in.Scope) {
				known = append(known, drawn{in, moved.Scores(k)})
			}
		}
		seen := likelihoodOf(all, known, doubt.Draws)
		if seen.Held == nil && seen.Rest == nil {
			return nil
		}
		rest, missed := weigh(own, seen.Rest)
		both, missedToo := weigh(own, seen.Held, seen.Rest)
		l.Rest, l.All, l.Contradicted = moved.Weighted(rest), moved.Weighted(both), missed || missedToo
		if !l.Contradicted {
			break
		}
		for k, in := range inputs {
			if Lasting(in.Scope) {
				shift[k] = l.Rest.Mean(moved.Scores(k))
			}
		}
	}
	return l
}

// Points gives 5, 50 and 95 % points of a margin, and the chance that it is below 1, from its logarithms by draw of All
// (and of Rest, which has the same draws).
//
// Successes count up to Most: no point rises further by them, and the chance falls no further than that of a margin
// raised so far. What the rest of the records says counts in full.
func (l *Posterior) Points(logs []float64) (points [3]float64, chance float64) {
	rest, all := l.Rest.Quantiles(logs, 0.05, 0.5, 0.95), l.All.Quantiles(logs, 0.05, 0.5, 0.95)
	for i := range points {
		points[i] = math.Exp(math.Min(all[i], rest[i]+l.Most))
	}
	return points, math.Max(l.All.Chance(func(n int) bool { return logs[n] < 0 }),
		l.Rest.Chance(func(n int) bool { return logs[n] < -l.Most }))
}
