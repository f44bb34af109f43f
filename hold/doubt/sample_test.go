package doubt

import (
	"math"
	"slices"
	"testing"

	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"
)

// logs are the logarithms of a margin with two lognormal inputs, one shared and one of the piece alone.
func logs(s *Sample, likely float64, piece int, shared, own Input) []float64 {
	a := Straight(math.Log(shared.Low/shared.Likely), math.Log(shared.High/shared.Likely))
	b := Straight(math.Log(own.Low/own.Likely), math.Log(own.High/own.Likely))
	out, scores := make([]float64, Draws), PieceScores(piece, 1)
	for i := range out {
		out[i] = math.Log(likely) + a.Of(s.Scores(0)[i]) + b.Of(scores[i])
	}
	return out
}

// A margin that is a product of lognormal factors is lognormal: with the standard deviation sigma of its logarithm it
// is below 1 at a chance of Phi(-ln M/sigma), and its 5 and 95 % points are M exp(-+1.645 sigma). Two pieces that share
// one of two factors move together more often than if they shared none (bivariate normal, by quadrature).
func TestClosedFormOfTwoLognormalInputs(t *testing.T) {
	s := NewSample(3)
	force := Input{Low: 1 / 1.5, Likely: 1, High: 1.5}
	friction := Input{Low: 1 / 1.3, Likely: 1, High: 1.3}
	sigmaF, sigmaM := math.Log(1.5)/Score95, math.Log(1.3)/Score95
	sigma := math.Hypot(sigmaF, sigmaM)
	for _, m := range []float64{0.6, 0.9, 1, 1.2, 1.6} {
		out := logs(s, m, 7, force, friction)
		want := distuv.UnitNormal.CDF(-math.Log(m) / sigma)
		if got := s.Chance(func(i int) bool { return out[i] < 0 }); math.Abs(got-want) > 0.005 {
			t.Errorf("margin %g: chance %.4f, want %.4f", m, got, want)
		}
		ends := s.Quantiles(out, 0.05, 0.95)
		for k, want := range []float64{math.Log(m) - Score95*sigma, math.Log(m) + Score95*sigma} {
			if math.Abs(ends[k]-want) > 0.02*sigma {
				t.Errorf("margin %g: end %d is %.4f, want %.4f", m, k, ends[k], want)
			}
		}
		one, two := out, logs(s, m, 8, force, friction)
		got := s.Chance(func(i int) bool { return one[i] < 0 || two[i] < 0 })
		if want := oneOfTwo(m, sigmaF, sigmaM); math.Abs(got-want) > 0.01 {
			t.Errorf("margin %g: one of two at %.4f, want %.4f", m, got, want)
		}
	}
}

// oneOfTwo is the chance that one of two pieces moves: over the shared score, 1 less the chance that both stay.
func oneOfTwo(m, shared, own float64) float64 {
	const n = 4000
	sum := 0.0
	for i := range n {
		z := -8 + 16*(float64(i)+0.5)/n
		stays := distuv.UnitNormal.CDF((math.Log(m) + shared*z) / own)
		sum += (1 - stays*stays) * distuv.UnitNormal.Prob(z) * 16 / n
	}
	return sum
}

// Every column is standard normal and hardly correlated with any other; those of pieces too.
func TestSampleIsStandardNormal(t *testing.T) {
	const inputs = 30
	s := NewSample(inputs)
	columns := [][]float64{PieceScores(1, 0), PieceScores(2, 0), PieceScores(500, 0), PieceScores(1, 1)}
	for k := range inputs {
		columns = append(columns, s.Scores(k))
	}
	for i, a := range columns {
		mean, sd := stat.MeanStdDev(a, nil)
		if math.Abs(mean) > 0.01 || math.Abs(sd-1) > 0.01 {
			t.Errorf("column %d: mean %.4f, standard deviation %.4f", i, mean, sd)
		}
		for k, b := range columns[:i] {
			// Four standard errors of independent draws.
			if r := stat.Correlation(a, b, nil); math.Abs(r) > 4/math.Sqrt(Draws) {
				t.Errorf("columns %d and %d: correlation %.3f", k, i, r)
			}
		}
	}
	for k := range inputs {
		if !slices.Equal(s.Scores(k), NewSample(inputs).Scores(k)) {
			t.Fatal("another sample of the same inputs differs")
		}
	}
}

// Weights move chances and quantiles as they move the mean: a normal score weighted by exp(d z) is normal about d
// (exponential tilting). Equal weights change nothing.
func TestWeightedSample(t *testing.T) {
	const shift = 0.5
	s := NewSample(1)
	tilt, even := make([]float64, Draws), make([]float64, Draws)
	for i, z := range s.Scores(0) {
		tilt[i], even[i] = math.Exp(shift*z), 3
	}
	w := s.Weighted(tilt)
	values := s.Scores(0)
	below := func(i int) bool { return values[i] < 0 }
	if got, want := w.Chance(below), distuv.UnitNormal.CDF(-shift); math.Abs(got-want) > 0.003 {
		t.Errorf("chance %.4f, want %.4f", got, want)
	}
	for i, got := range w.Quantiles(values, 0.05, 0.5, 0.95) {
		if want := shift + [...]float64{-Score95, 0, Score95}[i]; math.Abs(got-want) > 0.02 {
			t.Errorf("quantile %d: %.4f, want %.4f", i, got, want)
		}
	}
	e := s.Weighted(even)
	if got, want := e.Chance(below), s.Chance(below); math.Abs(got-want) > 1e-9 {
		t.Errorf("equal weights: chance %v, want %v", got, want)
	}
	for i, got := range e.Quantiles(values, 0.05, 0.95) {
		if want := s.Quantiles(values, 0.05, 0.95)[i]; math.Abs(got-want) > 1e-6 {
			t.Errorf("equal weights: quantile %v, want %v", got, want)
		}
	}
}

// The variance of two straight lines, against the mean over the sample; with equal slopes it is the slope's square.
func TestVarianceOfAResponse(t *testing.T) {
	s := NewSample(1)
	for _, ends := range [][2]float64{{-0.5, 0.5}, {-0.9, 0.1}, {0, 0.4}, {-0.3, -0.3}} {
		r := Straight(ends[0], ends[1])
		var out []float64
		for _, z := range s.Scores(0) {
			out = append(out, r.Of(z))
		}
		if want := stat.Variance(out, nil); math.Abs(r.Variance()-want) > 0.01*want {
			t.Errorf("%v: %.5f, want %.5f", ends, r.Variance(), want)
		}
	}
	even := Straight(-0.5, 0.5)
	if want := math.Pow(0.5/Score95, 2); math.Abs(even.Variance()-want) > 1e-12 ||
		math.Abs(even.Slope()-0.5/Score95) > 1e-12 {
		t.Errorf("variance %v, want %v", even.Variance(), want)
	}
}
