package hold

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"staydown/hold/internal/steploads"
	"staydown/hold/result"
)

// A free, tall part over which a slot is cut later tips over its side: pressure and weight turn it down about that
// side, the force at the height of the cut turns it up. Worked by hand at every place and rotor angle of the slot; the
// vacuum is that of the gauge but for the band beside the kerfs (see TestHoldOfASquareByHand). The bit that was still
// under the tool when the part came free is gone by then: it does not stand on that.
func TestALatePassTipsATallFreePart(t *testing.T) {
	const side, thick, slot = 30.0, 40.0, 2.0
	p := aPlate()
	p.thickMM, p.toolReach, p.cellMM, p.friction, p.margin = thick, 60, 0.5, 2, 1
	p = p.sized(80, 80)
	var program strings.Builder
	program.WriteString("G21 G90 G17 G94\nT1 M6\nS18000 M3\nG0 X22 Y22 Z5\n")
	for z := 8.0; z <= thick; z += 8 {
		if z == thick {
			z += 0.2
		}
		fmt.Fprintf(&program, "G1 Z-%g F300\nY58 F300\nX58\nY22\nX22\n", z)
	}
	fmt.Fprintf(&program, "G0 Z5\nX18 Y32\nG1 Z-%g F300\nX62 F2400\nG0 Z5\nM30\n", slot)
	a := road(t, program.String(), p.toml())
	late := strings.Count(program.String(), "\n") - 2 // the line of the slot
	var tip *trial
	for i := range a.critical[2] {
		if c := &a.critical[2][i]; c.line == late {
			tip = c
		}
	}
	if tip == nil || tip.mode != result.Tip {
		t.Fatalf("no tipping in line %d: %+v", late, a.critical[2])
	}

	pa := 101325.0
	pv := pa - a.Result.Vacuum.LeastKPa*1e3
	band := 2 * 0.74245 * 0.4 * (1 - pv/(pa-pv)*math.Log((pa+pv)/(2*pv)))
	weightN := side * side * thick * 1e-9 * 2700 * 9.80665
	holdN := (pa-pv)*math.Pow(side-2*band, 2)*1e-6 + weightN
	byHand := math.Inf(1)
	for i := range a.rec.Steps.Len() {
		s := a.rec.Steps.At(i)
		if int(a.prog.Moves.At(int(s.Move)).Line) != late || !slices.Contains(a.touchedIn(i), 2) {
			continue
		}
		loads, _, err := a.loads.All(s, steploads.Change{}, nil)
		if err != nil {
			t.Fatal(err)
		}
		for _, l := range loads {
			x, y := l.X-40, l.Y-40 // from the middle of the part
			for _, out := range [4][2]float64{{1, 0}, {-1, 0}, {0, 1}, {0, -1}} {
				down, up := holdN*side/2, 0.0
				for _, m := range [2]float64{
					(l.XN*out[0] + l.YN*out[1]) * l.HeightMM,
					l.ZN * (side/2 - x*out[0] - y*out[1]),
				} {
					down, up = down+math.Max(0, -m), up+math.Max(0, m)
				}
				byHand = math.Min(byHand, down/up)
			}
			if want := thick - slot; l.HeightMM < want-0.05 || l.HeightMM > thick+0.05 {
				t.Fatalf("the force acts %.2f mm above the layer, want %g to %g", l.HeightMM, want, thick)
			}
		}
	}
	if !(math.Abs(tip.margin/byHand-1) <= 0.012) { // with the rim of the moment that frees it, 0.016
		t.Errorf("margin %.4f, by hand %.4f", tip.margin, byHand)
	}
}
