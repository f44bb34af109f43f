package toolpath

import (
	"math"
	"testing"

	"staydown/parse"
)

func TestPlacesTurnNoFurtherThanTheBound(t *testing.T) {
	m := parse.Move{Kind: parse.Arc, Plane: parse.PlaneXY, Start: parse.Point{X: 10}, End: parse.Point{X: 10},
		TurnRad: 2 * math.Pi}
	ps := Places(&m, 0, 1)
	for i := 1; i < len(ps); i++ {
		cos := ps[i].CosF*ps[i-1].CosF + ps[i].SinF*ps[i-1].SinF
		if turn := math.Acos(math.Min(1, cos)); turn > maxTurnRad*1.000001 {
			t.Fatalf("feed turns %.4f rad between two Places, bound %.4f", turn, maxTurnRad)
		}
	}
}

func TestRampSlope(t *testing.T) {
	m := parse.Move{Kind: parse.Feed, End: parse.Point{X: 10, Z: -10}}
	if got := Along(&m, 0.5).RampRad; math.Abs(got-math.Pi/4) > 1e-12 {
		t.Errorf("45 degrees down: %.6f rad, want %.6f", got, math.Pi/4)
	}
}
