package hold

import (
	"math"
	"testing"

	"staydown/parse"
)

func TestPlacesTurnNoFurtherThanTheBound(t *testing.T) {
	m := parse.Move{Kind: parse.Arc, Plane: parse.PlaneXY, Start: parse.Point{X: 10}, End: parse.Point{X: 10},
		TurnRad: 2 * math.Pi}
	ps := places(&m, 0, 1)
	for i := 1; i < len(ps); i++ {
		cos := ps[i].cosF*ps[i-1].cosF + ps[i].sinF*ps[i-1].sinF
		if turn := math.Acos(math.Min(1, cos)); turn > maxTurnRad*1.000001 {
			t.Fatalf("feed turns %.4f rad between two places, bound %.4f", turn, maxTurnRad)
		}
	}
}

func TestRampSlope(t *testing.T) {
	m := parse.Move{Kind: parse.Feed, End: parse.Point{X: 10, Z: -10}}
	if got := along(&m, 0.5).rampRad; math.Abs(got-math.Pi/4) > 1e-12 {
		t.Errorf("45 degrees down: %.6f rad, want %.6f", got, math.Pi/4)
	}
}
