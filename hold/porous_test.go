package hold

import (
	"fmt"
	"math"
	"strings"
	"testing"
)

// boardOnBoard is a 12 mm board on a 12 mm layer of the same permeability, over a pump that keeps 84 mbar whatever
// leaks.
func boardOnBoard(stock string) string {
	return fmt.Sprintf(`
[stock]
corner = ["0 mm", "0 mm", "-12 mm"]
size = ["500 mm", "400 mm", "12 mm"]
%s
[material.raw]
based_on = "mdf"
through = "1e-13 m2"
along = "1e-13 m2"
[layer]
thickness = "12 mm"
through = "1e-13 m2"
cut_limit = "0.5 mm"
edge = "sealed"
[[zone]]
name = "A"
area = [["0 mm","0 mm"],["500 mm","400 mm"]]
[pump]
kind = "rotary-vane"
flow = "50000 m3/h"
ultimate = "84 mbar"
leak = "0 m3/h"
[[tool]]
number = 1
diameter = "6 mm"
reach = "20 mm"
[grid]
cell = "2 mm"
`, stock)
}

// Far from its edges the pressure under a raw board on a layer of its own kind is sqrt((101.325^2 + 8.4^2)/2) = 71.9
// kPa: 29.4 kPa hold it, not 92.9 (two sheets in series, hand arithmetic). Faced on either side nothing passes, but a
// pocket opens a faced top.
func TestRawBoardOnBoard(t *testing.T) {
	if testing.Short() {
		t.Skip("a long run of whole programs")
	}
	for _, row := range []struct {
		stock      string
		mostKPa    float64
		flowsBoard bool
	}{
		{`material = "raw"`, 29.4, true},
		{"material = \"raw\"\nfaced = \"top\"", 92.9, false},
		{"material = \"raw\"\nfaced = \"bottom\"", 92.9, false},
		{`material = "mdf-faced"`, 92.9, false},
		{`material = "pmma"`, 92.9, false},
	} {
		a := road(t, square(300, 1800, 12.1), boardOnBoard(row.stock))
		e := &a.air[len(a.air)-1]
		body := a.bodyOf(e, bodyKey{piece: 2}, e.state.Chuck, change{})
		most := 0.0
		for _, q := range body.Elements {
			most = math.Max(most, q.PressurePa/1000)
		}
		if math.Abs(most-row.mostKPa) > 0.2 {
			t.Errorf("%s: %.2f kPa hold the middle of the part, want %.1f", row.stock, most, row.mostKPa)
		}
		// Through the whole sheet: (pa^2 - pv^2) A/(2 mu R T (t1/k1 + t2/k2)), as free air: with 0.2 m2, 8.33 m3/h
		// (hand arithmetic).
		through := 0.0
		if row.flowsBoard {
			through = 8.33
		}
		if leak := a.air[0].state.LeakM3h; math.Abs(leak-through) > 0.02*through+1e-9 {
			t.Errorf("%s: %.2f m3/h pass before anything is cut, want %.1f", row.stock, leak, through)
		}
		said := strings.Contains(strings.Join(a.Result.Assumed, "\n"), "air passes through the work")
		if said != (row.flowsBoard || strings.Contains(row.stock, "top")) {
			t.Errorf("%s: assumed %q", row.stock, a.Result.Assumed)
		}
	}
}

// A pocket 9 mm deep over all of the part leaves 3 mm: resistances of 12 and 3, so 4/5 of the difference of squares are
// lost over the layer's share.
func TestPocketInPorousBoardCostsHold(t *testing.T) {
	if testing.Short() {
		t.Skip("a long run of whole programs")
	}
	var b strings.Builder
	b.WriteString("G21 G90 G17 G94\nT1 M6\nS18000 M3\nG0 X20 Y20 Z5\nG1 Z-9 F3000\n")
	for y := 20.0; y <= 320; y += 5 {
		fmt.Fprintf(&b, "G1 X320 Y%g F6000\nX20\n", y)
	}
	b.WriteString("G0 Z5\n")
	b.WriteString(strings.TrimPrefix(square(300, 1800, 12.1), "G21 G90 G17 G94\n"))
	for _, facing := range []string{"none", "top"} {
		a := road(t, b.String(), boardOnBoard(fmt.Sprintf("material = \"raw\"\nfaced = %q", facing)))
		e := &a.air[len(a.air)-1]
		least := math.Inf(1)
		for _, q := range a.bodyOf(e, bodyKey{piece: 2}, e.state.Chuck, change{}).Elements {
			if math.Hypot(q.X-170, q.Y-170) < 60 {
				least = math.Min(least, q.PressurePa/1000)
			}
		}
		// sqrt(101.325^2 - (3/15) (101.325^2 - 8.4^2)) = 90.7 kPa: 10.6 kPa hold it.
		if math.Abs(least-10.6) > 0.3 {
			t.Errorf("faced %s: %.2f kPa hold the middle of the pocket, want 10.6", facing, least)
		}
	}
}
