package hold

import (
	"fmt"
	"math"
	"strings"
	"testing"
)

// In a nest whose neighbors share a kerf, each contour passes where the next one does. A skin left by all of them holds
// small parts of board (common practice, no source); a skin left under one part alone would be cut by its neighbors.
// Whoever follows the action finds what it promises.
func TestASkinCuresANestThatSharesItsKerfs(t *testing.T) {
	const side, cutter = 60.0, 12.0
	var b strings.Builder
	b.WriteString("G21 G90 G17\nT1 M6\nS18000 M3\nG0 Z20\n")
	for k := range 6 {
		x, y := 10+float64(k%3)*(side+cutter), 10+float64(k/3)*(side+cutter)
		fmt.Fprintf(&b, "G0 X%g Y%g\nG1 Z-18.2 F4000\nX%g F18000\nY%g\nX%g\nY%g\nX%[1]g\nG0 Z20\n",
			x+side/2+cutter/2, y, x, y+side+cutter, x+side+cutter, y)
	}
	b.WriteString("M30\n")
	const shop = `
		[stock]
		corner = ["0 mm", "0 mm", "-18 mm"]
		size = ["300 mm", "200 mm", "18 mm"]
		material = "particleboard"
		faced = "both"
		[layer]
		material = "mdf"
		thickness = "19 mm"
		[[zone]]
		name = "A"
		area = [["0 mm", "0 mm"], ["300 mm", "200 mm"]]
		groove = { pitch = "50 mm", width = "10 mm" }
		[pump]
		kind = "dry-claw"
		flow = "100 m3/h"
		leak = "5 m3/h"
		[machine]
		rapid = "60 m/min"
		[[tool]]
		number = 1
		shape = "flat"
		diameter = "12 mm"
		flutes = 2
		helix = "30 deg"
		upcut = "6 mm"
		reach = "32 mm"
		[grid]
		cell = "2 mm"
		`
	a := road(t, b.String(), shop)
	a.AddActions(nil)
	for _, action := range a.Result.Actions {
		if !strings.Contains(action.What, "break the skin") || len(action.LeftLoose) > 0 {
			continue
		}
		e := newEditing(t, a)
		e.follow(action.What)
		got := roadWith(t, e.program(), &e.job).Result
		least, _ := got.LeastPiece()
		if got.Verdict != action.Verdict || math.Abs(least.Least.Margin/action.LeastMargin.Likely-1) > 0.03 {
			t.Errorf("%q gives %v with %.3f, promised %v with %.3f", action.What, got.Verdict, least.Least.Margin,
				action.Verdict, action.LeastMargin.Likely)
		}
		return
	}
	t.Errorf("no skin is among what cures: %+v", a.Result.Actions)
}
