package hold

import (
	"math"
	"testing"
)

// A closed zone beside the stock changes nothing on it, however slippery it is.
func TestAClosedZoneBesideTheStockDoesNotCount(t *testing.T) {
	program := square(74, 600, 5.6, 6.2)
	alone := road(t, program, aPlate().toml()).Result.Pieces[1].Least
	beside := road(t, program, aPlate().toml()+`
[[zone]]
name = "B"
area = [["500 mm","0 mm"],["600 mm","300 mm"]]
seal = "gasket"
friction = 0.05
open = false
`).Result.Pieces[1].Least
	// The larger table may take other air cells, which changes the margin by less than a hundredth.
	if beside.Mode != alone.Mode || math.Abs(beside.Margin/alone.Margin-1) > 0.01 {
		t.Errorf("%v %g with the zone, %v %g without", beside.Mode, beside.Margin, alone.Mode, alone.Margin)
	}
}
