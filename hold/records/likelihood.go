package records

import (
	"maps"
	"math"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"

	"staydown/hold/doubt"
)

// drawn is an input of a check with its scores, draw by draw.
type drawn struct {
	doubt.Input
	Scores []float64
}

// Missing are the inputs that records speak of and that a check does not have, each once. They must be drawn beside its
// own, since what is not known of them explains outcomes as well.
func Missing(all []Record, present []doubt.Input) []doubt.Input {
	have := map[string]bool{}
	for _, in := range present {
		have[in.Name] = true
	}
	var out []doubt.Input
	for _, r := range all {
		for _, in := range r.Inputs {
			if d, err := in.doubt(); err == nil && !have[in.Name] && !d.Exact() {
				have[in.Name] = true
				out = append(out, d)
			}
		}
	}
	return out
}

// likelihood is the logarithm of the likelihood of what was seen, by draw. Held is that of successes, which are taken
// with care (see Cap); Rest that of all else. nil: nothing was seen that tells.
type likelihood struct{ Held, Rest []float64 }

// likelihoodOf gives that of the records at so many draws of the inputs.
func likelihoodOf(all []Record, inputs []drawn, draws int) likelihood {
	at := make(map[string]*drawn, len(inputs))
	for i := range inputs {
		at[inputs[i].Name] = &inputs[i]
	}
	var out likelihood
	for i := range all {
		logs := all[i].logs(at, draws)
		if logs == nil {
			continue
		}
		sum := &out.Rest
		if all[i].Outcome == Held {
			sum = &out.Held
		}
		if *sum == nil {
			*sum = make([]float64, draws)
		}
		for n, x := range logs {
			(*sum)[n] += x
		}
	}
	return out
}

// logs is the logarithm of the likelihood of one record, draw by draw; nil where it shares no input.
func (r *Record) logs(at map[string]*drawn, draws int) []float64 {
	then := make(map[string]doubt.Input, len(r.Inputs))
	for _, in := range r.Inputs {
		if d, err := in.doubt(); err == nil {
			then[in.Name] = d
		}
	}
	type group struct {
		least  []float64 // over its steps, by draw: ln margin, or vacuum
		spread float64
	}
	pieces := map[int]*group{}
	var order []int
	shares := false
	for i := range r.Steps {
		s := &r.Steps[i]
		sum, known := r.sumOf(s, then, at, draws)
		shares = shares || known
		for k := range s.Interactions {
			s.Interactions[k].add(sum, then, at)
		}
		g := pieces[s.Piece]
		if g == nil {
			pieces[s.Piece] = &group{sum, s.Spread}
			order = append(order, s.Piece)
			continue
		}
		for n, x := range sum {
			g.least[n] = math.Min(g.least[n], x)
		}
		g.spread = math.Max(g.spread, s.Spread)
	}
	if !shares {
		return nil
	}
	out := make([]float64, draws)
	for _, id := range order {
		g := pieces[id]
		for n, x := range g.least {
			out[n] += r.log(x, g.spread)
		}
	}
	return out
}

// sumOf is the logarithm of the margin of a step, or its vacuum, draw by draw, as far as single inputs change it; known
// tells whether it shares any with those at hand.
func (r *Record) sumOf(s *Step, then map[string]doubt.Input, at map[string]*drawn, draws int) (sum []float64,
	known bool) {
	start := math.Log(s.Margin)
	if r.Outcome == Gauge {
		start = s.VacuumKPa
	}
	sum = make([]float64, draws)
	for n := range sum {
		sum[n] = start
	}
	for _, in := range r.Inputs { // not in order of the map: sums must not depend on it
		values, of := s.Changes[in.Name], at[in.Name]
		if values == nil || of == nil {
			continue
		}
		known = true
		response := doubt.Response(values)
		for n, score := range of.scoresOf(then[in.Name]) {
			sum[n] += response.Of(score)
		}
	}
	return sum, known
}

// log is the logarithm of the likelihood of the outcome at a logarithm of the margin, or at a vacuum.
func (r *Record) log(x, spread float64) float64 {
	switch r.Outcome {
	case Held:
		return logCDF(x / spread)
	case Moved:
		return logCDF(-x / spread)
	}
	off := (r.VacuumKPa - x) / spread
	return -off * off / 2
}

// logCDF is the logarithm of the standard normal distribution, far out by its asymptotic series (Abramowitz and Stegun,
// Handbook of Mathematical Functions, 26.2.12).
func logCDF(x float64) float64 {
	if x > -10 {
		return math.Log(distuv.UnitNormal.CDF(x))
	}
	return -x*x/2 - math.Log(-x*math.Sqrt(2*math.Pi)) + math.Log1p(-1/(x*x))
}

// scoresOf are the scores that the input's values have in the range that it had then. It may have become another since:
// the value counts, not the score.
func (d *drawn) scoresOf(then doubt.Input) []float64 {
	if then.Low == d.Low && then.Likely == d.Likely && then.High == d.High && then.Law == d.Law {
		return d.Scores
	}
	out := make([]float64, len(d.Scores))
	for n, score := range d.Scores {
		out[n] = then.Score(d.At(score))
	}
	return out
}

// add adds the interaction to the logarithms of a margin, draw by draw.
func (x *Interaction) add(sum []float64, then map[string]doubt.Input, at map[string]*drawn) {
	names := slices.Sorted(maps.Keys(x.Scores))
	of := doubt.Interaction{Log: x.Log}
	for _, name := range names {
		of.Scores = append(of.Scores, x.Scores[name])
	}
	of.Add(sum, func(k int) []float64 {
		if known := at[names[k]]; known != nil {
			return known.scoresOf(then[names[k]])
		}
		return nil
	})
}

// Bounds of what successes teach.
const (
	mostRaise  = 0.25 // of a likely margin, by successes alone, together
	easyMargin = 3    // a success with this margin teaches little
	easyRaise  = 0.05
)

// Cap is the greatest factor by which successes together may raise a margin: 1.25 where one of them held at a likely
// margin of 1 or less, 1.05 where the hardest was at 3, and on toward 1. It does not depend on how many there are.
func Cap(all []Record) float64 {
	raise := 0.0
	for i := range all {
		if all[i].Outcome != Held {
			continue
		}
		for _, s := range all[i].Steps {
			hard := math.Max(0, math.Log(s.Margin)) / math.Log(easyMargin)
			raise = math.Max(raise, mostRaise*math.Pow(easyRaise/mostRaise, hard))
		}
	}
	return 1 + raise
}

// fewDraws is the least number of draws that must count in a weighted sample for it to tell anything.
const fewDraws = 64

// weigh turns logarithms of likelihoods into weights of draws, the greatest of them 1; nil of nothing. Where what was
// seen is so far from what was expected that fewer than fewDraws draws would count, the logarithms are scaled down
// until so many do: the sample then goes as far as it can, and contradicted is true.
func weigh(logs ...[]float64) (weights []float64, contradicted bool) {
	sum := total(logs)
	weights = scaled(sum, 1)
	if sum == nil || effective(weights) >= fewDraws {
		return weights, false
	}
	low, high := 0.0, 1.0
	for range 40 {
		middle := (low + high) / 2
		if effective(scaled(sum, middle)) >= fewDraws {
			low = middle
		} else {
			high = middle
		}
	}
	return scaled(sum, low), true
}

// total is the sum of logarithms by draw; nil of nothing.
func total(logs [][]float64) []float64 {
	var out []float64
	for _, l := range logs {
		if l != nil && out == nil {
			out = make([]float64, len(l))
		}
		for n, x := range l {
			out[n] += x
		}
	}
	return out
}

// scaled gives the exponentials of logarithms times a factor, the greatest of them 1.
func scaled(logs []float64, by float64) []float64 {
	if logs == nil {
		return nil
	}
	most, out := slices.Max(logs), make([]float64, len(logs))
	for n, x := range logs {
		out[n] = math.Exp(by * (x - most))
	}
	return out
}

// effective is the number of draws that count in a weighted sample: the square of the sum over the sum of squares.
// Source: L. Kish, Survey Sampling (1965), as commonly used for importance samples.
func effective(weights []float64) float64 {
	sum, squares := 0.0, 0.0
	for _, w := range weights {
		sum += w
		squares += w * w
	}
	return sum * sum / squares
}
