package hold

import (
	"fmt"
	"strings"
	"testing"
)

// sideTabs cuts a square free but for a tab in the middle of each side, so wide where it is narrowest and so high.
func sideTabs(side, feed, wide, high float64, first float64) string {
	var b strings.Builder
	lo, hi := 17.0, 20+side+3
	mid := (lo + hi) / 2
	half := wide/2 + 3
	fmt.Fprintf(&b, "G21 G90\nT1 M6\nS18000 M3\nG0 X%[1]g Y%[1]g Z5\nG1 Z-%[3]g F300\nY%[2]g F%[4]g\nX%[2]g\nY%[1]g\nX%[1]g\n", lo, hi, first, feed)
	fmt.Fprintf(&b, "G1 Z-6.2 F300\nF%g\n", feed)
	over := func(axis string, from, to float64) {
		fmt.Fprintf(&b, "G1 %[1]s%[2]g F%[5]g\nZ-%[3]g\n%[1]s%[4]g\nZ-6.2 F300\nF%[5]g\n", axis, from, 6-high, to, feed)
	}
	over("Y", mid-half, mid+half)
	fmt.Fprintf(&b, "Y%g\n", hi)
	over("X", mid-half, mid+half)
	fmt.Fprintf(&b, "X%g\n", hi)
	over("Y", mid+half, mid-half)
	fmt.Fprintf(&b, "Y%g\n", lo)
	over("X", mid+half, mid-half)
	fmt.Fprintf(&b, "X%g\nG0 Z5\nM30\n", lo)
	return b.String()
}

// ailing gives the worst stretch of piece 2 of a program, ready for treatment.
func ailing(t *testing.T, program string, p plate) patient {
	t.Helper()
	a := road(t, program, p.toml())
	runs := newStretches(a.asked)
	err := newQueue(1, a.sweepEpoch, func(tr trial) bool { runs.add(tr); return true }).all(len(a.air), a.ownChuckPa)
	if err != nil {
		t.Fatal(err)
	}
	for _, run := range runs.all() {
		if run.piece == 2 {
			if p, ok := a.patient(run); ok {
				return p
			}
		}
	}
	t.Fatal("piece 2 needs no remedy")
	return patient{}
}

func TestEveryRemedyCuresWhenItIsTaken(t *testing.T) {
	// Each remedy is written into the program or the job file as a person would, and the whole road is run again.
	sound := func(name, program string, p plate) {
		t.Helper()
		for _, f := range road(t, program, p.toml()).Result.Findings {
			if f.Risky() && f.Piece > 1 {
				t.Errorf("%s: still reported: line %d: %s", name, f.Line, f.Message)
			}
		}
	}
	numbers := func(sentence, format string, into ...any) {
		t.Helper()
		if _, err := fmt.Sscanf(sentence, format, into...); err != nil {
			t.Fatalf("%q is not of the form %q: %v", sentence, format, err)
		}
	}

	small := ailing(t, square(40, 1200, 4.8, 6.2), aPlate())
	var x, y, z float64
	var n, id int
	numbers(small.smallerPass(), "a last pass of at most %f mm (now %f mm)", &x, &y)
	sound("a smaller last pass", square(40, 1200, 6-x, 6.2), aPlate())

	numbers(small.leaveSkin(), "leave a skin of %f mm under piece %d", &x, &id)
	sound("a skin", square(40, 1200, 4.8, 6-x), aPlate())

	numbers(small.leaveTabs(), "leave %d tabs, %f mm wide and %f mm high", &n, &y, &z)
	if n > 4 {
		t.Fatalf("%d tabs; the program has four sides", n)
	}
	p := aPlate()
	p.web = "2.5 mm"
	sound("tabs", sideTabs(40, 1200, y, z, 4.8), p)

	straight := aPlate()
	straight.helixDeg = 0
	flat := ailing(t, square(78, 1200, 4.8, 6.2), straight)
	numbers(flat.adhesive(), "a layer with an adhesive face of at least %f kPa", &x)
	straight.tackKPa = x
	sound("an adhesive face", square(78, 1200, 4.8, 6.2), straight)

	weak := aPlate()
	weak.pumpM3h, weak.through = 60, "1e-12 m2"
	poor := ailing(t, square(90, 700, 5.6, 6.2), weak)
	sentence := poor.largerPump()
	numbers(sentence, "a rotary-vane pump of at least %f m3/h", &x)
	weak.pumpM3h = x
	sound("a larger pump", square(90, 700, 5.6, 6.2), weak)

	lifted := aPlate()
	lifted.margin = 2
	up := ailing(t, square(96, 1200, 5.2, 6.2), lifted)
	if got := up.downCut(); got != "a down-cut tool in place of tool 1" {
		t.Fatalf("a down-cut tool is no remedy: %q", got)
	}
	lifted.helixDeg = -30
	sound("a down-cut tool", square(96, 1200, 5.2, 6.2), lifted)
}
