package doubt

import "gonum.org/v1/gonum/floats"

// Interaction is by how much the logarithm of something differs from the sum of its responses to several inputs, where
// these have the Scores of a place that is as far off as one input is at its end. The zero value is none.
type Interaction struct {
	Scores []float64 // by input
	Log    float64
}

// Of is the interaction after a share of the way to the place: it grows with the square of the way, and goes on
// straight beyond 3.3 scores.
func (x *Interaction) Of(way float64) float64 {
	const most = 2
	switch {
	case way > most:
		return x.Log * most * (2*way - most)
	case way > 0:
		return x.Log * way * way
	}
	return 0
}

// Add adds the interaction to sums, one for each draw. Of gives the scores of an input, draw by draw; nil: they stay 0.
func (x *Interaction) Add(sums []float64, of func(input int) []float64) {
	if x.Log == 0 {
		return
	}
	way := make([]float64, len(sums))
	for k, at := range x.Scores {
		if at == 0 {
			continue
		}
		if scores := of(k); scores != nil {
			floats.AddScaled(way, at/(Score95*Score95), scores)
		}
	}
	for i, share := range way {
		sums[i] += x.Of(share)
	}
}
