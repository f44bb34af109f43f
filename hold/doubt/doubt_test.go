package doubt

import (
	"errors"
	"math"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"
)

func TestScoresOfARange(t *testing.T) {
	// Score95 against the quantile of a reference library.
	if want := distuv.UnitNormal.Quantile(0.95); math.Abs(Score95-want) > 1e-12 {
		t.Errorf("Score95 %v, want %v", Score95, want)
	}
	for _, in := range []Input{
		{Name: "factor", Law: Lognormal, Low: 0.2, Likely: 0.3, High: 0.6},
		{Name: "length", Law: Normal, Low: -0.1, Likely: 0, High: 0.3},
	} {
		for score, want := range map[float64]float64{-Score95: in.Low, 0: in.Likely, Score95: in.High} {
			if got := in.At(score); math.Abs(got-want) > 1e-12 {
				t.Errorf("%s at %v: %v, want %v", in.Name, score, got, want)
			}
		}
		for _, score := range []float64{-2, -0.4, 0.7, 2.5} {
			if got := in.Score(in.At(score)); math.Abs(got-score) > 1e-12 {
				t.Errorf("%s: score %v came back as %v", in.Name, score, got)
			}
		}
	}
	// A lognormal figure of 2 with a factor of 2 each way: ln x is normal, so half a Score95 is a factor of sqrt 2.
	even := Input{Low: 1, Likely: 2, High: 4}
	if got := even.At(Score95 / 2); math.Abs(got-2*math.Sqrt2) > 1e-12 {
		t.Errorf("half way up: %v", got)
	}
}

func TestRangesThatAreNone(t *testing.T) {
	for _, in := range []Input{
		{Low: 0, Likely: 1, High: 2}, {Low: 2, Likely: 1, High: 3}, {Low: 1, Likely: 3, High: 2},
		{Low: 1, Likely: 2, High: math.Inf(1)}, {Low: math.NaN(), Likely: 2, High: 3},
	} {
		if err := in.Check(); !errors.Is(err, ErrRange) {
			t.Errorf("%+v: %v", in, err)
		}
	}
	if err := (Input{Law: Normal, Low: -1, Likely: 0, High: 1}).Check(); err != nil {
		t.Error(err)
	}
}

// By hand: two statements of equal spread leave 1/sqrt(2) of it; one with a spread of three quarters, 3/5 (a 3-4-5
// triangle); what cannot be measured, all.
func TestNarrowedByAMeasurement(t *testing.T) {
	for _, row := range []struct {
		name string
		in   Input
		want float64
	}{
		{"as good", Input{Low: 0.5, Likely: 1, High: 2, Reading: Scatter{0.5, 2}}, math.Sqrt(0.5)},
		{"better", Input{Law: Normal, Low: -0.4, High: 0.4, Reading: Scatter{-0.3, 0.3}}, 0.6},
		{"no way", Input{Low: 0.5, Likely: 1, High: 2}, 1},
		{"exact", Input{Low: 1, Likely: 1, High: 1, Reading: Scatter{0.5, 2}}, 1},
	} {
		if got := row.in.Narrowed(); math.Abs(got-row.want) > 1e-12 {
			t.Errorf("%s: %v, want %v", row.name, got, row.want)
		}
	}
}
