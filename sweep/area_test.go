package sweep

import (
	"math"
	"testing"

	"staydown/sweep/internal/testprog"
)

// A contour by a 6 mm tool stops 8 mm short of its beginning, and a plunge into the middle of what is left frees the
// piece: 34 x 24 mm and four horns of half a gap between two circles, each the integral of 3 - sqrt(9 - u^2) from 0 to
// 2. What stands under the tool in the plunge goes with it and is no part of the piece, be it a flat tool, which takes
// it all at once, or a ball, which takes its rim last. The tool plunges into the piece once more, and at the end that
// much less is left. Closed form.
func TestAPieceFreedByAPlunge(t *testing.T) {
	horn := 6 - (math.Sqrt(5) + 4.5*math.Asin(2.0/3))
	want := 34*24 + 4*horn
	for name, shape := range map[string]Shape{"flat": Flat, "ball": Ball} {
		tools := testprog.EndMill(6)
		tools[2] = Tool{Number: 2, Shape: shape, DiameterMM: 6}
		p := testprog.New(1).Enter(32, 20, -6.2).Line(60, 20, -6.2).Line(60, 50, -6.2).Line(20, 50, -6.2).Line(20, 20,
			-6.2).Line(24, 20, -6.2).Up()
		p.Tool = 2
		p.Enter(28, 20, -9.2).Up().Enter(40, 35, -9.2).Up()
		r := sweep(t, p, tools, testprog.Plate(80, 70, 6), 0.1)
		wantPieces(t, r, 2)
		q := r.Pieces[1]
		if q.Freed.Move() != 11 {
			t.Fatalf("%s: freed by move %d, want the plunge, 11", name, q.Freed.Move())
		}
		near(t, name+" area", q.AreaMM2, want, 0.5)
		near(t, name+" volume", q.VolumeMM3, 6*want, 3)
		near(t, name+" area at the end", q.FinalAreaMM2, want-9*math.Pi, 0.5)
		// The horns stand 12 mm from the middle of the 24 mm.
		near(t, name+" middle, Y", q.Centroid[1], 35-4*horn/want*12.4, 0.01)
	}
}
