package hold

import (
	"math"
	"testing"

	"staydown/hold/result"
)

func TestPressurePicturesAreCoarseAndFadeTowardsTheRim(t *testing.T) {
	a := roadInFull(t, square(40, 900, 5.2, 6.2), aPlate().toml())
	const mostCells = 40_000
	fields := a.Result.Fields
	if len(fields) < 2 || len(fields) > result.MaxFields {
		t.Fatalf("%d pictures, want 2 to %d", len(fields), result.MaxFields)
	}
	for i, f := range fields {
		if f.NX*f.NY > mostCells || len(f.KPa) != f.NX*f.NY {
			t.Errorf("picture %d has %d x %d cells and %d values", i, f.NX, f.NY, len(f.KPa))
		}
		if i > 0 && f.TimeS <= fields[i-1].TimeS {
			t.Errorf("picture %d at %g s follows %g s", i, f.TimeS, fields[i-1].TimeS)
		}
	}
	// Far from every rim the transmission is 1, so the difference is the vacuum of the chuck.
	last := fields[len(fields)-1]
	x, y := int((180-last.OriginX)/last.CellMM), int((120-last.OriginY)/last.CellMM)
	if got := float64(last.KPa[y*last.NX+x]); !(math.Abs(got-a.Result.Vacuum.LeastKPa) <= 0.2) {
		t.Errorf("%.2f kPa in the middle of the sheet, vacuum %.2f kPa", got, a.Result.Vacuum.LeastKPa)
	}
}
