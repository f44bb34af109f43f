package sweep_test

import (
	"fmt"
	"strings"

	"github.com/paulmach/orb"

	"staydown/parse"
	"staydown/sweep"
)

// A square contour with a 4 mm tool in a small plate: '#' is what is left of the plate, digits are freed pieces, dots
// the kerf.
func Example() {
	stock := sweep.Stock{BottomMM: -3, Blanks: []sweep.Blank{{
		Outline: orb.Polygon{{{0, 0}, {40, 0}, {40, 20}, {0, 20}, {0, 0}}}, TopMM: 0,
	}}}
	corners := []parse.Point{{X: 8, Y: 6, Z: 5}, {X: 8, Y: 6, Z: -3.1}, {X: 32, Y: 6, Z: -3.1}, {X: 32, Y: 14, Z: -3.1},
		{X: 8, Y: 14, Z: -3.1}, {X: 8, Y: 6, Z: -3.1}}
	var moves []parse.Move
	for i := 1; i < len(corners); i++ {
		moves = append(moves, parse.Move{Kind: parse.Feed, Line: int32(i), Tool: 1, Start: corners[i-1],
			End: corners[i]})
	}
	tools := map[int]sweep.Tool{1: {Number: 1, Shape: sweep.Flat, DiameterMM: 4}}
	r, err := sweep.Run(parse.NewMoves(moves...), tools, stock, sweep.Options{CellMM: 1})
	if err != nil {
		fmt.Println(err)
		return
	}
	for iy := r.Grid.NY - 1; iy >= 0; iy-- {
		var row strings.Builder
		for ix := 0; ix < r.Grid.NX; ix++ {
			switch {
			case r.CutAt(ix, iy) == 0:
				row.WriteByte(' ')
			case r.CutAt(ix, iy) != sweep.Never:
				row.WriteByte('.')
			case r.Label(ix, iy) == 1:
				row.WriteByte('#')
			default:
				row.WriteByte(byte('0' + r.Label(ix, iy)))
			}
		}
		if s := strings.TrimSpace(row.String()); s != "" {
			fmt.Println(s)
		}
	}
	p := r.Pieces[1]
	fmt.Printf("piece %d of %.0f mm2 freed by line %d\n", p.ID, p.FinalAreaMM2, moves[p.Freed.Move()].Line)
	// Output:
	// ########################################
	// ########################################
	// ########################################
	// ########################################
	// #######..........................#######
	// ######............................######
	// ######............................######
	// ######............................######
	// ######....22222222222222222222....######
	// ######....22222222222222222222....######
	// ######....22222222222222222222....######
	// ######....22222222222222222222....######
	// ######............................######
	// ######............................######
	// ######............................######
	// #######..........................#######
	// ########################################
	// ########################################
	// ########################################
	// ########################################
	// piece 2 of 80 mm2 freed by line 5
}
