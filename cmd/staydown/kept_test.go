package main

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"staydown/internal/testrun"
	"staydown/report"
)

// threeParts cuts one part through, leaves one on a skin, and one on a tab in the middle of its first side.
func threeParts() string {
	var b strings.Builder
	b.WriteString("G21 G90 G17 G94\nT1 M6\nS18000 M3\nG0 Z5\n")
	for k, last := range []string{"Z-6.2", "Z-5.9", "Z-6.2"} {
		x := 20 + 60*float64(k)
		side := fmt.Sprintf("X%g F800\n", x+46)
		if k == 2 {
			side = fmt.Sprintf("X%g F800\nZ-5\nX%g\nZ-6.2\nX%g\n", x+18, x+28, x+46)
		}
		fmt.Fprintf(&b, "G0 X%g Y20\nG1 Z-3 F300\nX%g F800\nY66\nX%g\nY20\nG1 %s F300\n%sY66\nX%g\nY20\nG0 Z5\n", x,
			x+46, x,
			last, side, x)
	}
	b.WriteString("M30\n")
	return b.String()
}

const threePartsJob = `[stock]
corner = ["0 mm", "0 mm", "-6 mm"]
size = ["220 mm", "100 mm", "6 mm"]
material = "aluminium-wrought"
[layer]
material = "porous-card"
[[zone]]
name = "A"
area = [["0 mm","0 mm"],["220 mm","100 mm"]]
[pump]
kind = "rotary-vane"
flow = "20 m3/h"
[[tool]]
number = 1
diameter = "6 mm"
flutes = 2
helix = "30 deg"
[grid]
cell = "2.5 mm"
`

// A worker that stays gives the answers of a new one, byte for byte, and sweeps again only where the tool takes away
// something else.
func TestKeptSweepGivesTheSameAnswer(t *testing.T) {
	testrun.NotForRaces(t)
	dir := t.TempDir()
	program, job := threeParts(), threePartsJob
	save := func() {
		t.Helper()
		for name, text := range map[string]string{"part.nc": program, "part.toml": job} {
			if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o644); err != nil {
				t.Fatal(err)
			}
		}
	}
	known := &kept{}
	result := func(known *kept) string {
		t.Helper()
		d, p := analyse(filepath.Join(dir, "part.nc"), settings{jobs: 1, noPictures: true, known: known})
		if p != nil {
			t.Fatal(p)
		}
		text, err := report.JSON(d.analysis.Result)
		if err != nil {
			t.Fatal(err)
		}
		return string(text)
	}
	edit := func(in *string, old, with string) func() {
		return func() {
			if !strings.Contains(*in, old) {
				t.Fatalf("no %q", old)
			}
			*in = strings.Replace(*in, old, with, 1)
		}
	}
	for _, c := range []struct {
		name   string
		change func()
		swept  bool // again
	}{
		{"first run", func() {}, true},
		{"nothing", func() {}, false},
		{"feed", edit(&program, "F800", "F300"), false},
		{"all feeds", func() { program = strings.ReplaceAll(program, "F800", "F2400") }, false},
		{"speed", edit(&program, "S18000", "S9000"), false},
		{"comment", edit(&program, "T1 M6", "(six mm)\nT1 M6"), false},
		{"pump", edit(&job, "20 m3/h", "60 m3/h"), false},
		{"layer", edit(&job, `material = "porous-card"`, `material = "mdf"`), false},
		{"material", edit(&job, "aluminium-wrought", "aluminium-cast"), false},
		{"porous material", edit(&job, "aluminium-cast", "mdf"), true},
		{"feed in porous material", edit(&program, "F2400", "F1200"), false},
		{"tool", edit(&job, `diameter = "6 mm"`, `diameter = "5 mm"`), true},
		{"flutes", edit(&job, "flutes = 2", "flutes = 1"), false},
		{"path", edit(&program, "Z-5.9", "Z-5.8"), true},
		{"stock", edit(&job, `["220 mm", "100 mm", "6 mm"]`, `["230 mm", "100 mm", "6 mm"]`), true},
	} {
		c.change()
		save()
		var before *keptSweep
		if len(known.sweeps) > 0 {
			before = known.sweeps[0]
		}
		again := result(known)
		known.dropUnused()
		if d := cmp.Diff(result(nil), again); d != "" {
			t.Errorf("%s: %s", c.name, d)
		}
		if got := known.sweeps[0] != before; got != c.swept {
			t.Errorf("%s: swept again %t", c.name, got)
		}
		if len(known.sweeps) > 3 {
			t.Errorf("%s: %d sweeps are kept, of one program over three sheets", c.name, len(known.sweeps))
		}
	}
}
