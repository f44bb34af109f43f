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
	e.add(m.Start)
	e.add(m.End)
	if m.Kind != parse.Arc {
		return
	}
	// u and v span the plane so that the turn is positive from u to v.
	get := func(p parse.Point) (u, v float64) { return p.X, p.Y }
	put := func(u, v float64) parse.Point { return parse.Point{X: u, Y: v, Z: m.Start.Z} }
	switch m.Plane {
	case parse.PlaneZX:
		get = func(p parse.Point) (u, v float64) { return p.Z, p.X }
		put = func(u, v float64) parse.Point { return parse.Point{Z: u, X: v, Y: m.Start.Y} }
	case parse.PlaneYZ:
		get = func(p parse.Point) (u, v float64) { return p.Y, p.Z }
		put = func(u, v float64) parse.Point { return parse.Point{Y: u, Z: v, X: m.Start.X} }
	}
	cu, cv := get(m.Centre)
	su, sv := get(m.Start)
	radius := math.Hypot(su-cu, sv-cv)
	from := math.Atan2(sv-cv, su-cu)
	to := from + m.TurnRad
	if to < from {
		from, to = to, from
	}
	if !(to-from < 1e6) {
		to = from + 2*math.Pi
	}
	for k := math.Ceil(from / (math.Pi / 2)); k*math.Pi/2 <= min(to, from+2*math.Pi); k++ {
		sin, cos := math.Sincos(k * math.Pi / 2)
		e.add(put(cu+radius*cos, cv+radius*sin))
	}
}
