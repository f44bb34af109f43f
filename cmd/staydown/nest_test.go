package main

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"staydown/internal/testrun"
)

// nestOf40 is a program of 40 equal parts of 30 x 24 mm in one pass, too fast for their size, with its job file.
func nestOf40(t *testing.T, dir string) {
	t.Helper()
	var b strings.Builder
	b.WriteString("N1 G21 G90 G17 G94\nN2 T1 M6\nN3 S18000 M3\nN4 G0 Z5\n")
	for k := range 40 {
		x, y := 18+float64(k%8)*45, 18+float64(k/8)*36
		fmt.Fprintf(&b, "N%d0 G0 X%g Y%g\nG1 Z-4.2 F600\nX%g F2400\nY%g\nX%g\nY%g\nG0 Z5\n", k+1, x, y, x+36, y+30, x,
			y)
	}
	b.WriteString("M30\n")
	job := `
[stock]
corner = ["0 mm", "0 mm", "-4 mm"]
size = ["400 mm", "220 mm", "4 mm"]
material = "pmma"
[layer]
material = "mdf"
thickness = "6 mm"
[[zone]]
name = "A"
area = [["0 mm", "0 mm"], ["400 mm", "220 mm"]]
[pump]
kind = "rotary-vane"
flow = "40 m3/h"
[[tool]]
number = 1
shape = "flat"
diameter = "6 mm"
[grid]
cell = "3 mm"
`
	for name, text := range map[string]string{"nest.nc": b.String(), "staydown.toml": job} {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o666); err != nil {
			t.Fatal(err)
		}
	}
}

func TestNestOfEqualPartsIsShort(t *testing.T) {
	testrun.NotForRaces(t)
	dir := t.TempDir()
	nestOf40(t, dir)
	lines := func(args ...string) []string {
		got := staydown(t, dir, nil, append([]string{"check", "nest.nc", "-o", "out",
			"--no-pictures"}, args...)...) // the first run is kept for the others
		if got.status != exitFinding {
			t.Fatalf("%v: status %d\n%s", args, got.status, got.out)
		}
		return strings.Split(strings.TrimRight(got.out, "\n"), "\n")
	}
	short, all, quiet, table := lines(), lines("--all"), lines("-q"), lines("--summary")
	if len(short) > 40 || len(quiet) >= len(short) {
		t.Errorf("%d lines, %d with -q; want at most 40, and fewer", len(short), len(quiet))
	}
	if !strings.HasPrefix(short[0], "nest.nc: LOOSE. 40 of 40 parts come loose") {
		t.Errorf("first line %q", short[0])
	}
	for name, said := range map[string][]string{"check": short, "-q": quiet} {
		if text := strings.Join(said, "\n"); !strings.Contains(text, ": error: 40 parts of 30 x 24 mm (X36 Y33, ") {
			t.Errorf("%s: the parts are not one entry\n%s", name, text)
		}
	}
	errors := 0
	for _, line := range all {
		if strings.Contains(line, ": error: piece ") {
			errors++
		}
	}
	if errors < 40 {
		t.Errorf("--all has %d findings, want one for each of 40 parts", errors)
	}
	if len(table) != 3 || !strings.HasPrefix(table[1], "1 program: 1 loose") || !strings.HasPrefix(table[2],
		"  nest.nc  LOOSE  40 parts 30 x 24 mm  end the closing pass at Z") {
		t.Errorf("--summary: %q", table)
	}
}
