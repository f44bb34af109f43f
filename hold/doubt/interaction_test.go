package doubt

import (
	"math"
	"testing"
)

// By hand: half way to a place, a quarter of what is there; at twice the way four times, and from there on the tangent,
// 4 + 4 (3 - 2) = 8 at three times. The other way none.
func TestInteractionGrowsWithTheSquareOfTheWay(t *testing.T) {
	x := Interaction{Scores: []float64{0.6 * Score95, -0.8 * Score95}, Log: 0.1}
	for _, row := range []struct{ way, want float64 }{{0.5, 0.025}, {1, 0.1}, {2, 0.4}, {3, 0.8}, {-1, 0}} {
		first := []float64{0.6 * row.way * Score95}
		second := []float64{-0.8 * row.way * Score95}
		if got := x.Of(row.way); math.Abs(got-row.want) > 1e-12 {
			t.Errorf("after %g of the way %g, want %g", row.way, got, row.want)
		}
		sums := []float64{1}
		x.Add(sums, func(k int) []float64 { return [][]float64{first, second}[k] })
		if math.Abs(sums[0]-1-row.want) > 1e-12 {
			t.Errorf("after %g of the way added %g, want %g", row.way, sums[0]-1, row.want)
		}
	}
	sums := []float64{1} // with the second input at its likely value, 0.36 of the way
	x.Add(sums, func(k int) []float64 { return [][]float64{{0.6 * Score95}, nil}[k] })
	if want := 1 + 0.1*0.36*0.36; math.Abs(sums[0]-want) > 1e-12 {
		t.Errorf("on the way of one input alone %g, want %g", sums[0], want)
	}
}
