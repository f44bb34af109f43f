package hold

import (
	"fmt"
	"strings"
	"testing"

	"github.com/paulmach/orb"
)

// Of copies that lie in many ways on grooves and rims some are checked for others, and none is told more than its own
// margin, nor more than 11 % less; so it is of low ends, which each piece draws for itself to 1 %.
func TestCopiesAreToldNoMoreThanTheirOwnMargin(t *testing.T) {
	const columns, rows = 9, 6
	p := aPlate().sized(463, 312)
	p.through, p.layerMM, p.cellMM = "2e-14 m2", 0.75, 0.5
	j := mustJob(t, strings.Replace(p.toml(), "[pump]", "groove = { pitch = \"20 mm\", width = \"5 mm\" }\n[pump]", 1))
	var program strings.Builder
	var points []orb.Point
	program.WriteString("G21 G90 G17 G94\nT1 M6\nS18000 M3\nG0 Z5\n")
	for k := range columns * rows {
		x, y := 8+50.3*float64(k%columns), 8+50.3*float64(k/columns)
		fmt.Fprintf(&program, "G0 X%g Y%g\nG1 Z-6.2 F300\nY%g F600\nX%g\nY%g\nX%g\nG0 Z5\n", x, y, y+36, x+36, y, x)
		points = append(points, orb.Point{x + 18, y + 18})
	}
	program.WriteString("M30\n")
	o := Options{Figures: NoFigures, NoPictures: true, AllOpen: true}
	own := checked(t, program.String(), j, o)
	o.Copies = [][]orb.Point{points}
	told := checked(t, program.String(), j, o)
	if n := len(told.checkedFor); n < columns*rows/3 || len(told.Result.Pieces) != columns*rows+1 {
		t.Fatalf("%d of %d pieces are not checked themselves, so the comparison says little", n,
			len(told.Result.Pieces))
	}
	least, most := 1e9, 0.0
	for i := range own.Result.Pieces[1:] {
		a, b := own.Result.Pieces[i+1].Least, told.Result.Pieces[i+1].Least
		least, most = min(least, a.Margin), max(most, a.Margin)
		if b.Margin > a.Margin || b.Margin < 0.89*a.Margin {
			t.Errorf("piece %d: margin %.4f, its own %.4f", i+2, b.Margin, a.Margin)
		}
		if b.Low > a.Low*1.01 || b.Low < 0.88*a.Low {
			t.Errorf("piece %d: low end %.4f, its own %.4f", i+2, b.Low, a.Low)
		}
	}
	if most/least < 1.1 {
		t.Errorf("the copies differ by a factor of %.3f, so the comparison says little", most/least)
	}
}
