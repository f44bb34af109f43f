package sweep

import (
	"fmt"
	"math"
	"testing"
)

// closing cuts a rectangle of 40 x 30 mm (on the tool's centre) that starts and ends at (20, 35) on its left side and
// goes on beyond the start by over mm.
func closing(over float64) *prog {
	return program(1).enter(20, 35, -6.2).line(20, 20, -6.2).line(60, 20, -6.2).line(60, 50, -6.2).line(20, 50, -6.2).
		line(20, 35-over, -6.2).up()
}

// The end caps of a kerf of radius R are apart by 2R less than the centres are, so the ends meet when the last line
// stops 2R before the start; all expectations are plane geometry of discs.
func TestAPieceIsFreedOnlyWhenTheKerfReallyCloses(t *testing.T) {
	for _, cell := range []float64{0.1, 0.25, 0.4, 0.5} {
		for _, c := range []struct {
			gap   float64 // between the end caps, mm; negative when they overlap
			freed bool
		}{{-6.1, true}, {-6, true}, {-3, true}, {-0.1, true}, {0.1, false}, {0.15, false}, {0.3, false}, {2, false}} {
			t.Run(fmt.Sprintf("cell %g gap %g", cell, c.gap), func(t *testing.T) {
				r := sweep(t, closing(-6-c.gap), flat(6), plate(80, 70, 6), cell)
				if got := len(r.Pieces) == 2; got != c.freed {
					t.Errorf("freed %v, want %v", got, c.freed)
				}
				if len(r.Pieces) == 2 {
					// The caps touch when the tool's centre is 6 mm above the start: y = 41, 9 mm down the last line.
					long := 9 - c.gap
					near(t, "moment", float64(r.Pieces[1].Freed), 7+9/long, 0.06/long+cell/10/long)
				}
			})
		}
	}
}

// A full circle that is one single move, 0.1 mm short of a full turn (measured between the end caps).
func TestAnArcShortOfAFullTurnFreesNothing(t *testing.T) {
	const r, tool = 20.0, 3.0
	for _, gap := range []float64{0.1, -0.1} {
		// Chord between the centres of the end caps: 2 tool + gap = 2 r sin(a/2).
		a := 2 * math.Asin((2*tool+gap)/(2*r))
		p := program(1).enter(40+r, 40, -6.2).arc(40, 40, 2*math.Pi-a, -6.2).up()
		for _, cell := range []float64{0.2, 0.5} {
			rec := sweep(t, p, flat(2*tool), plate(80, 80, 6), cell)
			if got, want := len(rec.Pieces), map[bool]int{true: 1, false: 2}[gap > 0]; got != want {
				t.Errorf("cell %g gap %g: %d pieces, want %d", cell, gap, got, want)
			}
		}
	}
}
