package sweep

import (
	"testing"

	"github.com/paulmach/orb"

	"staydown/sweep/internal/testprog"
)

// A blank whose neck is thinner than a cell is in two from the start: the larger part keeps the blank's number, the
// smaller is a piece of its own, numbered after the blanks.
func TestABlankInTwoFromTheStart(t *testing.T) {
	idle := testprog.New(1).Rapid(0, 0, 20)
	for _, c := range []struct {
		name string
		// width of the parts, mm; both are 30 mm in Y, the neck between them is 10 mm long and 0.1 mm thin
		left, right float64
	}{
		{"smaller part first", 20, 40},
		{"larger part first", 40, 20},
	} {
		from, to := c.left+10, c.left+10+c.right
		outline := orb.Ring{
			{0, 0}, {c.left, 0}, {c.left, 15.1}, {from, 15.1}, {from, 0}, {to, 0},
			{to, 30}, {from, 30}, {from, 15.2}, {c.left, 15.2}, {c.left, 30}, {0, 30}, {0, 0},
		}
		beside := orb.Ring{{80, 0}, {90, 0}, {90, 10}, {80, 10}, {80, 0}}
		s := Stock{BottomMM: -6, Blanks: []Blank{{Outline: orb.Polygon{outline}}, {Outline: orb.Polygon{beside}}}}
		r, err := Run(movesOf(idle.Moves), testprog.EndMill(6), s, Options{CellMM: 1})
		if err != nil {
			t.Fatal(err)
		}
		wantPieces(t, r, 3)
		// Every edge but those of the neck lies on the edge of a cell, so that areas are exact.
		for i, want := range []float64{40 * 30, 10 * 10, 20 * 30} {
			near(t, c.name, r.Pieces[i].AreaMM2, want, 1e-9)
		}
		if got := r.Pieces[2].Parent; got != 1 {
			t.Errorf("%s: piece 3 comes from piece %d, want 1", c.name, got)
		}
	}
}
