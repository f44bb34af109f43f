package job

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"staydown/parse"
)

// The box of an arc holds every point of it and touches some of them on each side: against dense sampling of the
// parametric form (NIST RS274NGC v3, 3.5.3: the axis of the plane goes linearly with the angle).
func TestExtentOfArcs(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		plane := parse.Plane(rapid.IntRange(0, 2).Draw(t, "plane"))
		from := rapid.Float64Range(-4, 4).Draw(t, "from")
		turn := rapid.Float64Range(-13, 13).Draw(t, "turn")
		radius := rapid.Float64Range(0.1, 50).Draw(t, "radius")
		rise := rapid.Float64Range(-5, 5).Draw(t, "rise")
		at := func(part float64) parse.Point {
			sin, cos := math.Sincos(from + part*turn)
			u, v, n := 3+radius*cos, -7+radius*sin, 1+part*rise
			switch plane {
			case parse.PlaneZX:
				return parse.Point{Z: u, X: v, Y: n}
			case parse.PlaneYZ:
				return parse.Point{Y: u, Z: v, X: n}
			}
			return parse.Point{X: u, Y: v, Z: n}
		}
		centre := map[parse.Plane]parse.Point{parse.PlaneXY: {X: 3, Y: -7}, parse.PlaneZX: {Z: 3, X: -7},
			parse.PlaneYZ: {Y: 3, Z: -7}}[plane]
		got, want := none(), none()
		got.addMove(&parse.Move{Kind: parse.Arc, Plane: plane, Start: at(0), End: at(1), Centre: centre, TurnRad: turn})
		const n = 20000
		for i := range n + 1 {
			want.add(at(float64(i) / n))
		}
		gaps := []float64{
			want.low.X - got.low.X, want.low.Y - got.low.Y, want.low.Z - got.low.Z,
			got.high.X - want.high.X, got.high.Y - want.high.Y, got.high.Z - want.high.Z,
		}
		for i, gap := range gaps {
			// A sample misses the outermost point by at most radius (1 - cos(half a step)).
			if gap < -1e-9 || gap > radius*math.Pow(13.0/n, 2)+1e-9 {
				t.Fatalf("side %d: gap %g", i, gap)
			}
		}
	})
}
