package job

import (
	"math"

	"staydown/parse"
)

// extent is the box round a set of points, mm. The zero value is no box; use none().
type extent struct{ low, high parse.Point }

func none() extent {
	inf := math.Inf(1)
	return extent{parse.Point{X: inf, Y: inf, Z: inf}, parse.Point{X: -inf, Y: -inf, Z: -inf}}
}

// known tells whether the box holds at least one point and no coordinate beyond any machine's reach.
func (e extent) known() bool {
	for _, v := range []float64{e.low.X, e.low.Y, e.low.Z, e.high.X, e.high.Y, e.high.Z} {
		if !anyPlaceMM.has(v) {
			return false
		}
	}
	return true
}

func (e *extent) add(p parse.Point) {
	e.low = parse.Point{X: math.Min(e.low.X, p.X), Y: math.Min(e.low.Y, p.Y), Z: math.Min(e.low.Z, p.Z)}
	e.high = parse.Point{X: math.Max(e.high.X, p.X), Y: math.Max(e.high.Y, p.Y), Z: math.Max(e.high.Z, p.Z)}
}

// addMove takes in the whole path of the tool tip, the bulge of an arc included.
func (e *extent) addMove(m *parse.Move) {
	low, high := m.Bounds()
	e.add(low)
	e.add(high)
}
