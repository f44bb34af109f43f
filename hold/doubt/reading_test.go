package doubt

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// EN 1990, annex D, table D1, variance not known (from memory, to its rounding): n readings leave n - 1 free.
func TestFactorsOfEN1990(t *testing.T) {
	for n, want := range map[int]float64{3: 3.37, 4: 2.63, 5: 2.33, 6: 2.18, 8: 2.00, 10: 1.92, 20: 1.76, 30: 1.73} {
		if got := nextReading(1/float64(n), float64(n-1)); math.Abs(got-want) > 0.015 {
			t.Errorf("n = %d: %.3f, want %.2f", n, got, want)
		}
	}
}

// By hand: readings 0.30, 0.33, 0.27 of a kind that scatters from 0.8 to 1.25. ln: -1.2040, -1.1087, -1.3093, mean
// -1.2073, squares 0.0201. One reading of the kind: ln 1.25 = 0.2231 = t(0.95, 4) sqrt(2) s, t = 2.132 (tables of
// Student's t), so s = 0.0740. Together s = sqrt((4 x 0.0740^2 + 0.0201)/6) = 0.0837, times t(0.95, 6) = 1.943 and
// sqrt(4/3): 0.1878. Likely exp(-1.2073) = 0.2990, from 0.2478 to 0.3607.
func TestMeasuredByHand(t *testing.T) {
	got := Measured("friction", []float64{0.30, 0.33, 0.27}, Scatter{0.8, 1.25})
	for i, x := range []float64{got.Low, got.Likely, got.High} {
		if want := []float64{0.2478, 0.2990, 0.3607}[i]; math.Abs(x-want) > 2e-4 {
			t.Errorf("%v: %.4f, want %.4f", got, x, want)
		}
	}
	one := Measured("friction", []float64{0.3}, Scatter{0.8, 1.25})
	if math.Abs(one.Low-0.24) > 1e-12 || math.Abs(one.High-0.375) > 1e-12 {
		t.Errorf("one reading: %v", one)
	}
}

// By hand: two statements of a normal figure, 10 -+ 3 and 14 -+ 4: weights 1/9 and 1/16, so (10 x 16 + 14 x 9)/25 =
// 11.44, -+ 3 x 4/5 = 2.4.
func TestCombinedByHand(t *testing.T) {
	a, b := Input{Name: "a", Law: Normal, Low: 7, Likely: 10, High: 13}, Input{Law: Normal, Low: 10, Likely: 14,
		High: 18}
	got, contradiction := a.Combined(b)
	if contradiction || math.Abs(got.Low-9.04) > 1e-12 || math.Abs(got.Likely-11.44) > 1e-12 ||
		math.Abs(got.High-13.84) > 1e-12 || got.Name != "a" {
		t.Errorf("%v, %v", got, contradiction)
	}
	// what lies between the likely values decides: 10 + 2 above, 14 - 4 below, so 10 + 4 x 4/20 = 10.8
	if skew, _ := (Input{Law: Normal, Low: 0, Likely: 10, High: 12}).Combined(b); math.Abs(skew.Likely-10.8) > 1e-12 {
		t.Errorf("%v", skew)
	}
	// 10 apart: 5 is one spread of both, 2.326/1.645 of it is the bound
	far, contradiction := a.Combined(Input{Law: Normal, Low: 16, Likely: 20, High: 24})
	if !contradiction || far.Low != 7 || far.High != 24 || math.Abs(far.Likely-(10*16+20*9)/25.) > 1e-12 {
		t.Errorf("%v, %v", far, contradiction)
	}
	if exact, _ := a.Combined(Input{Low: 5, Likely: 5, High: 5}); !exact.Exact() || exact.Likely != 5 {
		t.Errorf("%v", exact)
	}
	if exact, _ := (Input{Low: 5, Likely: 5, High: 5}).Combined(a); exact.Likely != 5 {
		t.Errorf("%v", exact)
	}
}

// Readings in any order give the same; one more that agrees never widens; what is known and what is measured together
// are no wider than either.
func TestReadingsNeverWiden(t *testing.T) {
	width := func(in Input) float64 { return in.High / in.Low }
	rapid.Check(t, func(t *rapid.T) {
		low, high := rapid.Float64Range(0.3, 0.95).Draw(t, "low"), rapid.Float64Range(1.05, 3).Draw(t, "high")
		readings := rapid.SliceOfN(rapid.Float64Range(0.2, 0.5), 1, 12).Draw(t, "readings")
		got := Measured("", readings, Scatter{low, high})
		turned := slices.Clone(readings)
		slices.Reverse(turned)
		if again := Measured("", turned, Scatter{low, high}); again != got {
			t.Fatalf("turned round: %v, %v", got, again)
		}
		more := Measured("", append(turned, got.Likely), Scatter{low, high})
		if width(more) > width(got)*(1+1e-12) {
			t.Fatalf("one more reading that agrees widens: %v, %v", got, more)
		}
		known := Input{Low: 0.25, Likely: 0.3, High: 0.45}
		both, contradiction := known.Combined(got)
		if contradiction {
			if both.Low > math.Min(known.Low, got.Low) || both.High < math.Max(known.High, got.High) {
				t.Fatalf("a contradiction narrows: %v", both)
			}
			return
		}
		if both.Likely/both.Low > 1.2*(1+1e-12) || both.High/both.Likely > 1.5*(1+1e-12) {
			t.Fatalf("wider than known: %v", both)
		}
		if err := both.Check(); err != nil {
			t.Fatal(err)
		}
	})
}
