package hold

import (
	"math"
	"reflect"
	"strings"
	"testing"

	"staydown/hold/result"
)

// reckoned finds a row of a working by its words, in sections whose title begins so.
func reckoned(t *testing.T, k result.Working, section, what string) float64 {
	t.Helper()
	for _, s := range k.Sections {
		if !strings.HasPrefix(s.Title, section) {
			continue
		}
		for _, r := range s.Rows {
			if r.What == what {
				return r.Value
			}
		}
	}
	t.Fatalf("no row %q in a section %q", what, section)
	return 0
}

func TestWorkingCanBeFollowedWithACalculator(t *testing.T) {
	a := road(t, square(40, 1200, 4.8, 6.2), aPlate().toml())
	k, err := a.Explain(14)
	if err != nil {
		t.Fatal(err)
	}
	same := func(what string, got, want float64) {
		t.Helper()
		if math.Abs(got-want) > 0.002*math.Abs(want)+1e-9 {
			t.Errorf("%s: %.6g in the working, %.6g from the rows above it", what, got, want)
		}
	}
	force := func(what string) float64 { return reckoned(t, k, "force", what) }
	fz := force("feed") / (force("spindle speed") * force("cutting edges"))
	same("feed per tooth", force("feed per tooth"), fz)
	hm := fz * 2 / math.Pi // mean of cos over a full slot
	same("mean chip", force("mean chip thickness"), hm)
	same("force on a mm of edge", force("force on a mm of edge at the mean chip"),
		force("specific cutting force at 1 mm of chip")*hm+force("edge force per length of edge"))
	same("specific cutting force", force("specific cutting force"), force("force on a mm of edge at the mean chip")/hm)

	// What is shown is what the program says: F1200, passes to Z-4.8 and Z-6.2 of 6 mm (the cache reckons with a little
	// more).
	for what, want := range map[string]float64{"feed": 1200, "chip width": 1.2,
		"largest chip thickness": 1200.0 / 18000 / 2} {
		if got := force(what); math.Abs(got-want) > 1e-9 {
			t.Errorf("%s %.9g, programmed %.9g", what, got, want)
		}
	}
	if got := reckoned(t, k, "engagement", "axial depth of the cut"); math.Abs(got-1.2) > 1e-9 {
		t.Errorf("depth %.9g mm, programmed 1.2", got)
	}

	held := func(what string) float64 { return reckoned(t, k, "hold of piece 2", what) }
	same("pressure force", held("pressure force"), held("held area now")*held("mean pressure difference under it")/1000)
	same("hold", held("hold"), held("pressure force")+held("weight"))
	vacuum := func(what string) float64 { return reckoned(t, k, "vacuum", what) }
	same("vacuum", vacuum("vacuum"), vacuum("air pressure")-vacuum("pressure in the chuck"))

	// The margin of the working is that of the finding.
	f := riskOf(a.Result, 2)
	if len(f) == 0 {
		t.Fatal("no finding")
	}
	same("margin", reckoned(t, k, "share of this load that piece 2", "margin"), f[0].Margin)
	// The deciding check comes first, and is the one that the finding names.
	decides := k.Sections[1]
	if !strings.HasPrefix(decides.Title, "the deciding check") || decides.Rows[0].What != "piece 2" ||
		!strings.HasPrefix(decides.Rows[0].Text, f[0].Rule+", margin ") {
		t.Errorf("%s: %+v; the finding says %s", decides.Title, decides.Rows, f[0].Rule)
	}
	for _, s := range k.Sections {
		if strings.HasPrefix(s.Title, "hold of piece") {
			if !strings.HasPrefix(s.Title, "hold of piece 2") {
				t.Errorf("%s comes first, want the loose piece", s.Title)
			}
			break
		}
	}
}

func TestWorkingOfALineThatCutsNothing(t *testing.T) {
	a := road(t, square(40, 1200, 4.8, 6.2), aPlate().toml())
	for _, line := range []int{0, 1, 999} {
		if _, err := a.Explain(line); err == nil || strings.Contains(err.Error(), "%!") {
			t.Errorf("line %d: error %v, want a reason", line, err)
		}
	}
}

// Many lines at once have the workings that they have one by one.
func TestLinesExplainedTogether(t *testing.T) {
	a := road(t, square(40, 1200, 4.8, 6.2), aPlate().toml())
	lines := []int{14, 3, 10, 999, 14, 8}
	all, errs := a.ExplainEach(lines)
	told := 0
	for i, line := range lines {
		want, err := a.Explain(line)
		if !reflect.DeepEqual(all[i], want) || (errs[i] == nil) != (err == nil) {
			t.Errorf("line %d: %+v, %v, alone %+v, %v", line, all[i], errs[i], want, err)
		}
		if err == nil {
			told++
		}
	}
	if told < 3 || told == len(lines) {
		t.Errorf("%d lines of %d have a working", told, len(lines))
	}
}
