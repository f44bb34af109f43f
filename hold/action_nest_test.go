package hold

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"staydown/hold/edit"
	"staydown/hold/result"
	"staydown/parse"
)

// aTightNest cuts six small parts of board out of a blank; neighbors share a kerf, so each contour passes where the
// next one does.
func aTightNest() string {
	const side, cutter = 60.0, 12.0
	var b strings.Builder
	b.WriteString("G21 G90 G17\nT1 M6\nS18000 M3\nG0 Z20\n")
	for k := range 6 {
		x, y := 10+float64(k%3)*(side+cutter), 10+float64(k/3)*(side+cutter)
		fmt.Fprintf(&b, "G0 X%g Y%g\nG1 Z-18.2 F4000\nX%g F18000\nY%g\nX%g\nY%g\nX%[1]g\nG0 Z20\n",
			x+side/2+cutter/2, y, x, y+side+cutter, x+side+cutter, y)
	}
	b.WriteString("M30\n")
	return b.String()
}

// nestShop is the job file of aTightNest, with a zone of a length and a width, mm.
func nestShop(lengthMM, widthMM int) string {
	return fmt.Sprintf(`
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
		area = [["0 mm", "0 mm"], ["%d mm", "%d mm"]]
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
		`, lengthMM, widthMM)
}

// firstCure is the first action that leaves nothing loose and whose words match.
func firstCure(a *Analysis, words string) (result.Action, bool) {
	a.AddActions(nil)
	for _, action := range a.Result.Actions {
		if strings.Contains(action.What, words) && len(action.LeftLoose) == 0 {
			return action, true
		}
	}
	return result.Action{}, false
}

// keepsItsPromise follows an action and compares verdict and margin.
func keepsItsPromise(t *testing.T, a *Analysis, action result.Action) {
	t.Helper()
	e := newEditing(t, a)
	e.follow(action.What)
	got := roadWith(t, e.program(), &e.job).Result
	least, _ := got.LeastPiece()
	if got.Verdict != action.Verdict || math.Abs(least.Least.Margin/action.LeastMargin.Likely-1) > 0.03 {
		t.Errorf("%q gives %v with %.3f, promised %v with %.3f", action.What, got.Verdict, least.Least.Margin,
			action.Verdict, action.LeastMargin.Likely)
	}
}

// A skin left by all contours holds small parts of board (common practice, no source); one left under a single part
// would be cut by its neighbors.
func TestASkinCuresANestThatSharesItsKerfs(t *testing.T) {
	a := road(t, aTightNest(), nestShop(300, 200))
	action, ok := firstCure(a, "break the skin")
	if !ok {
		t.Fatalf("no skin is among what cures: %+v", a.Result.Actions)
	}
	keepsItsPromise(t, a, action)
}

// Nobody cuts with most of the table bare (common practice, no source): what else is to be done stands on top of that.
func TestTheBareTableIsCoveredBeforeAllElse(t *testing.T) {
	a := roadInFull(t, aTightNest(), nestShop(900, 600))
	action, ok := firstCure(a, "cover the bare ")
	if !ok || action.What != a.Result.Actions[0].What || !strings.Contains(action.What, "; and ") {
		t.Fatalf("covering and something else does not stand first: %+v", a.Result.Actions)
	}
	keepsItsPromise(t, a, action)
}

// Of a pair of which one measure reads changed text, the other stays in the moves, whichever comes first.
func TestAPairKeepsBothMeasures(t *testing.T) {
	a := road(t, square(60, 600, 3, 6.2), aPlate().toml())
	slower := &measure{apply: func(d *draft) {
		edit.CapFeed(d.moves, func(m *parse.Move) bool { return m.Kind == parse.Feed }, 100)
	}}
	retyped := &measure{retypes: true, apply: func(d *draft) { d.retype(a.prog, [][2]int{{1, 1}}) }}
	for n, pair := range [][2]*measure{{slower, retyped}, {retyped, slower}} {
		d := &draft{job: a.job, prog: a.prog, moves: edit.Moves(a.prog)}
		applyBoth(d, pair[0], pair[1])
		for i := range d.moves {
			if m := &d.moves[i]; !d.motion || m.Kind == parse.Feed && m.FeedMMMin > 100 {
				t.Fatalf("pair %d: the move of line %d stays at %g mm/min", n, m.Line, m.FeedMMMin)
			}
		}
	}
}
