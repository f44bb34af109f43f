package doubt

import (
	"cmp"
	"math/rand/v2"
	"slices"
	"sync"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distmv"
	"gonum.org/v1/gonum/stat/distuv"
	"gonum.org/v1/gonum/stat/samplemv"
)

// Draws is the size of a Sample: a chance of 0.5 has a standard error of 0.008 where the draws were independent; those
// of a quasi-random sequence come closer.
const Draws = 4096

// Fixed seeds: the same inputs give the same sample, everywhere and always.
const (
	scrambleSeed = 0x5157_7d0b
	pieceSeed    = 0x9e37_79b9_7f4a_7c15 // odd, so that it spreads the numbers of pieces
)

// Sample is one fixed quasi-random sample of the normal scores of several inputs. All that depends on the inputs is
// asked of the same draws, so that what several pieces share is counted once.
//
// Source: A. Owen, "A randomized Halton algorithm in R", arXiv:1706.02808 (2017), as gonum has it.
type Sample struct {
	shared  [][]float64 // by input, then by draw
	weights []float64   // by draw, of sum 1; nil: all alike
}

// made are the scores of NewSample by the number of inputs: whoever checks many programs asks for the same ones again
// and again.
var made sync.Map

// NewSample makes the sample of so many inputs that pieces share. Its scores are not to be changed.
func NewSample(inputs int) *Sample {
	known, ok := made.Load(inputs)
	if !ok {
		known, _ = made.LoadOrStore(inputs, draw(inputs))
	}
	return &Sample{shared: known.([][]float64)}
}

// draw draws the scores of so many inputs.
func draw(inputs int) [][]float64 {
	scores := make([][]float64, inputs)
	if inputs == 0 {
		return scores
	}
	batch := mat.NewDense(Draws, inputs, nil)
	src := rand.NewPCG(scrambleSeed, 0)
	samplemv.Halton{Kind: samplemv.Owen, Q: distmv.NewUnitUniform(inputs, nil), Src: src}.Sample(batch)
	for k := range scores {
		scores[k] = make([]float64, Draws)
		for i := range scores[k] {
			scores[k][i] = distuv.UnitNormal.Quantile(batch.At(i, k))
		}
	}
	return scores
}

// Weighted is the sample with a weight for each draw, of any sum above 0; nil weighs all alike.
func (s *Sample) Weighted(weights []float64) *Sample {
	w := &Sample{shared: s.shared}
	sum := 0.0
	for _, x := range weights {
		sum += x
	}
	if sum > 0 {
		w.weights = make([]float64, Draws)
		for i, x := range weights {
			w.weights[i] = x / sum
		}
	}
	return w
}

// Shifted is the sample with every score of an input moved by so much, and for each draw the logarithm of the weight
// that makes it a sample of the same inputs again. It reaches where the sample has no draws: importance sampling with a
// shifted mean (any text book on Monte Carlo methods).
func (s *Sample) Shifted(by []float64) (shifted *Sample, logs []float64) {
	shifted, logs = &Sample{shared: make([][]float64, len(s.shared))}, make([]float64, Draws)
	for k, scores := range s.shared {
		shifted.shared[k] = make([]float64, Draws)
		for i, score := range scores {
			shifted.shared[k][i] = score + by[k]
			logs[i] -= by[k] * (score + by[k]/2)
		}
	}
	return shifted, logs
}

// Scores are the scores of an input, draw by draw.
func (s *Sample) Scores(input int) []float64 { return s.shared[input] }

// spread are evenly spread normal scores.
var spread = sync.OnceValue(func() []float64 {
	out := make([]float64, Draws)
	for i := range out {
		out[i] = distuv.UnitNormal.Quantile((float64(i) + 0.5) / Draws)
	}
	return out
})

// PieceScores are the scores of an input of scope Piece for one piece: evenly spread ones, in an order of its own.
func PieceScores(piece, input int) []float64 {
	out := slices.Clone(spread())
	order := rand.New(rand.NewPCG(uint64(piece)*pieceSeed, uint64(input)))
	order.Shuffle(Draws, func(i, k int) { out[i], out[k] = out[k], out[i] })
	return out
}

// Mean is that of values, one for each draw.
func (s *Sample) Mean(values []float64) float64 {
	sum := 0.0
	for i, x := range values {
		if s.weights == nil {
			sum += x / Draws
		} else {
			sum += x * s.weights[i]
		}
	}
	return sum
}

// Chance is the weight of the draws of which something is true.
func (s *Sample) Chance(holds func(draw int) bool) float64 {
	sum, n := 0.0, 0
	for i := range Draws {
		if !holds(i) {
			continue
		}
		if n++; s.weights != nil {
			sum += s.weights[i]
		}
	}
	if s.weights == nil {
		return float64(n) / Draws
	}
	return min(1, sum)
}

// Quantiles gives the values, of one for each draw, below which lie the given shares, in rising order, of the weight. A
// share between two draws gets the mean of both by their distance.
func (s *Sample) Quantiles(values []float64, shares ...float64) []float64 {
	values, weights := s.sorted(values)
	out := make([]float64, 0, len(shares))
	// Each draw stands in the middle of its own weight.
	at, below, last := 0, 0.0, 0.0
	middle := func(i int) float64 {
		if weights == nil {
			return (float64(i) + 0.5) / Draws
		}
		return below + weights[i]/2
	}
	for _, share := range shares {
		for at < Draws && middle(at) < share {
			last = middle(at)
			if weights != nil {
				below += weights[at]
			}
			at++
		}
		switch {
		case at == 0:
			out = append(out, values[0])
		case at == Draws:
			out = append(out, values[Draws-1])
		default:
			low, high := values[at-1], values[at]
			out = append(out, low+(high-low)*(share-last)/(middle(at)-last))
		}
	}
	return out
}

// sorted gives values, of one for each draw, in rising order, with their weights; nil: all alike.
func (s *Sample) sorted(values []float64) (rising, weights []float64) {
	if s.weights == nil {
		rising = slices.Clone(values)
		slices.Sort(rising)
		return rising, nil
	}
	order := make([]int32, Draws)
	for i := range order {
		order[i] = int32(i)
	}
	slices.SortFunc(order, func(a, b int32) int { return cmp.Compare(values[a], values[b]) })
	rising, weights = make([]float64, Draws), make([]float64, Draws)
	for i, draw := range order {
		rising[i], weights[i] = values[draw], s.weights[draw]
	}
	return rising, weights
}
