package hold

import (
	"math"
	"testing"

	"staydown/parse"
)

func TestPlacesOnArcsOfEveryPlaneLieOnTheCircle(t *testing.T) {
	// Closed form: every point of an arc keeps its distance to the centre, and the tangent is at right angles to the
	// radius.
	arcs := map[string]parse.Move{
		"XY": {Kind: parse.Arc, Plane: parse.PlaneXY, Start: parse.Point{X: 10}, End: parse.Point{Y: 10},
			TurnRad: math.Pi / 2},
		"ZX": {Kind: parse.Arc, Plane: parse.PlaneZX, Start: parse.Point{Z: 10}, End: parse.Point{X: 10},
			TurnRad: math.Pi / 2},
		"YZ": {Kind: parse.Arc, Plane: parse.PlaneYZ, Start: parse.Point{Y: 10}, End: parse.Point{Z: 10},
			TurnRad: math.Pi / 2},
	}
	for name, m := range arcs {
		for f := 0.0; f <= 1; f += 0.125 {
			at, tangent := m.At(f), tangentOf(&m, f)
			if r := math.Sqrt(at.X*at.X + at.Y*at.Y + at.Z*at.Z); math.Abs(r-10) > 1e-9 {
				t.Errorf("%s at %.3f: radius %.12f, want 10", name, f, r)
			}
			if dot := at.X*tangent.X + at.Y*tangent.Y + at.Z*tangent.Z; math.Abs(dot) > 1e-9 {
				t.Errorf("%s at %.3f: tangent not square to the radius: %g", name, f, dot)
			}
		}
		if at := m.At(1); math.Abs(at.X-m.End.X)+math.Abs(at.Y-m.End.Y)+math.Abs(at.Z-m.End.Z) > 1e-9 {
			t.Errorf("%s ends at %v, want %v", name, at, m.End)
		}
	}
}

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
