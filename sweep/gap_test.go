package sweep

import (
	"math"
	"strings"
	"testing"

	"staydown/internal/testrun"

	"pgregory.net/rapid"

	"staydown/sweep/internal/testprog"
)

// holes drills a row of holes from a place in a direction.
func holes(n int, x, y, pitch, angle float64) *testprog.Program {
	p := testprog.New(1)
	sin, cos := math.Sincos(angle)
	for i := range n {
		d := pitch * float64(i)
		p.Enter(x+d*cos, y+d*sin, -6.2).Up()
	}
	return p
}

// 40 holes of 3 mm at a pitch of 2.98 mm overlap by 0.02 mm, so the necks between them are 2 sqrt(1.5^2 - 1.49^2) =
// 0.346 mm wide, a third of a cell of 1 mm. The row runs across the plate: the strip beyond it is free with the last of
// the holes that meets the plate, whatever the cell.
func TestARowOfHolesThatJustOverlapParts(t *testing.T) {
	testrun.NotForRaces(t)
	for _, cell := range []float64{0.25, 0.5, 1} {
		for _, y := range []float64{20, 20.2, 20.5, 20.8} {
			r := sweep(t, holes(40, 1.2, y, 2.98, 0), testprog.EndMill(3), testprog.Plate(116, 60, 6), cell)
			if len(r.Pieces) != 2 {
				t.Errorf("cell %g, row at %g: %d pieces, want the strip free", cell, y, len(r.Pieces))
				continue
			}
			if m := r.Pieces[1].Freed.Move(); m != 4*39-2 && m != 4*40-2 {
				t.Errorf("cell %g, row at %g: freed by move %d", cell, y, m)
			}
		}
	}
}

// A row of holes in any direction parts the plate when they overlap, and does not when bridges of more than a tenth of
// a cell stay between them.
func TestRowsOfHolesPartWhenTheyOverlap(t *testing.T) {
	testrun.NotForRaces(t)
	drawCases(t, testrun.Draws(40, 100))
	rapid.Check(t, func(t *rapid.T) {
		draw := func(lo, hi float64, name string) float64 { return rapid.Float64Range(lo, hi).Draw(t, name) }
		cell := rapid.SampledFrom([]float64{0.3, 0.5, 1}).Draw(t, "cell")
		angle, x, y := draw(-0.6, 0.6, "angle"), draw(-3, 0, "x"), draw(25, 35, "y")
		pitch, want := 3-draw(0.005, 0.15, "overlap"), 1
		if rapid.Bool().Draw(t, "bridges") {
			pitch, want = 3+draw(0.15, 0.4, "bridge")*cell, 0
		}
		p := holes(2+int(60/math.Cos(angle)/pitch), x, y, pitch, angle)
		r, err := Run(movesOf(p.Moves), testprog.EndMill(3), testprog.Plate(50, 60, 6), Options{CellMM: cell})
		if err != nil {
			t.Fatal(err)
		}
		if freed := len(r.Pieces) - 1 - len(r.Hanging); freed != want {
			t.Errorf("%d pieces are freed, want %d", freed, want)
		}
	})
}

// A vee of 90 degrees whose tip ends 0.1 mm below the table leaves a slit of 0.2 mm there: with cells of 0.5 mm that is
// said to be unsure, with cells of 0.1 mm it is not, nor is a plunge, a cut of 0.4 mm depth that ends in the stock, or
// one that is 1 mm wide at the table.
func TestSlitsNarrowerThanACellAreSaid(t *testing.T) {
	vee := tool(Tool{Shape: Vee, DiameterMM: 16, AngleRad: math.Pi / 2})
	for _, c := range []struct {
		x, z, cell float64
		want       bool
	}{{60, -6.1, 0.5, true}, {60, -6.1, 0.1, false}, {20, -6.1, 0.5, false}, {60, -0.4, 0.5, false},
		{60, -6.5, 0.5, false}} {
		r := sweep(t, testprog.New(1).Enter(20, 20, c.z).Line(c.x, 20, c.z).Up(), vee, testprog.Plate(80, 40, 6),
			c.cell)
		if got := strings.Contains(strings.Join(r.Assumed, "\n"), "narrower than a cell"); got != c.want {
			t.Errorf("%+v: said %v", c, got)
		}
	}
}
