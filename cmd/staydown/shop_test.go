package main

import (
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"staydown/internal/testrun"
)

// A shop is a folder of programs that a machine shop might leave for the night: plates with a cut-out or a scored line,
// each of its own size, in folders by day, some with a job file or a subprogram of their own, and among them what goes
// wrong in practice. All of it is invented.

// malformed lists kinds of programs that cannot be analysed or not to the end, with the exit status that each brings.
func malformed() []struct {
	name, text, job string
	status          int
} {
	return []struct {
		name, text, job string
		status          int
	}{
		{"empty", "", "", exitUnanalysed},
		{"binary", "\x7fELF\x02\x01\x01\x00\x00\x00\x00\x00\x00\x00\x00\x00\x03\x00>\x00\x01\x00\x00\x00", "",
			exitUnanalysed},
		{"zeros", strings.Repeat("\x00", 5000), "", exitUnanalysed},
		{"words", "this is no program at all\nbut a note to the day shift\n", "", exitFinding},
		{"unclosed", "G21 G90 G94\n(a comment without an end\nT1 M6\nG0 X10 Y10 Z5\n", "", exitFinding},
		{"notool", "G21 G90 G94\nT9 M6\nS9000 M3\nG0 X10 Y10 Z5\nG1 Z-1 F100\n", "", exitUsage},
		{"badunit", "G21 G90 G94\n", "[stock]\ncorner = [\"0 mm\", \"0 mm\", \"-6 mm\"]\nsize = [80, 60, 6]\n",
			exitUsage},
		{"badtoml", "G21 G90 G94\n", "[stock\n", exitUsage},
		{"lostsub", "G21 G90 G94\nT1 M6\nS9000 M3\nM98 P4711\nM30\n", "", exitFinding},
		{"faraway", "G21 G90 G94\nT1 M6\nS9000 M3\nG0 X1e9 Y0 Z5\nG1 Z-1 F100\nG1 X2e9\n", "", exitFinding},
	}
}

// shop is how many programs of a kind a shop has.
type shop struct {
	bad    int // of each malformed kind
	plates int
}

// shopOf is a shop of one program of each malformed kind and a plate of each kind; in the long run it has two and so
// many plates.
func shopOf(plates int) shop {
	return shop{testrun.Draws(1, 2), testrun.Draws(3, plates)}
}

func (s shop) programs() int { return s.bad*len(malformed()) + s.plates }

// write fills dir with the programs; the same numbers give the same shop.
func (s shop) write(t testing.TB, dir string) {
	t.Helper()
	put := func(name, text string) {
		path := filepath.Join(dir, filepath.FromSlash(name))
		if err := os.MkdirAll(filepath.Dir(path), 0o777); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, []byte(text), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	job, err := os.ReadFile(filepath.Join("testdata", "small", "staydown.toml"))
	if err != nil {
		t.Fatal(err)
	}
	put("staydown.toml", string(job))
	days := []string{"mon", "tue", "wed"}
	kinds := malformed()
	for i := range s.bad * len(kinds) {
		k := kinds[i%len(kinds)]
		name := fmt.Sprintf("%s/%s%d", days[i%len(days)], k.name, i/len(kinds))
		put(name+".nc", k.text)
		if k.job != "" {
			put(name+".toml", k.job)
		}
	}
	r := rand.New(rand.NewPCG(1, 2))
	for i := range s.plates {
		name := fmt.Sprintf("%s/plate%03d", days[i%len(days)], i)
		x, y := 10+r.IntN(20), 10+r.IntN(10)
		w, h := 10+r.IntN(30), 10+r.IntN(20)
		head := fmt.Sprintf("O%d (PLATE %d)\nG17 G21 G40 G90 G94\nT1 M6\nS18000 M3\nG0 X%d Y%d\nG0 Z5\n", 1000+i, i, x,
			y)
		var cut string
		switch i % 5 {
		case 0: // cut out
			cut = fmt.Sprintf("G1 Z-6.2 F300\nG1 X%d F600\nG1 Y%d\nG1 X%d\nG1 Y%d\n", x+w, y+h, x, y)
		case 1: // the same in a subprogram file of its own
			put(fmt.Sprintf("%s/o%d.nc", days[i%len(days)], 5000+i), fmt.Sprintf("O%d\nG1 Z-6.2 F300\nG1 X%d "+
				"F600\nG1 Y%d\nG1 X%d\nG1 Y%d\nM99\n", 5000+i, x+w, y+h, x, y))
			cut = fmt.Sprintf("M98 P%d\n", 5000+i)
		default: // scored
			cut = fmt.Sprintf("G1 Z-0.2 F100\nG1 X%d F200\nG1 Y%d\n", x+w, y+h)
		}
		put(name+".nc", head+cut+"G0 Z20\nM30\n")
	}
}

// small copies the small programs into a folder of their own, several times over.
func small(t testing.TB, copies int) string {
	t.Helper()
	base := t.TempDir()
	for _, name := range []string{"staydown.toml", "frees.nc", "scores.nc"} {
		data, err := os.ReadFile(filepath.Join("testdata", "small", name))
		if err != nil {
			t.Fatal(err)
		}
		for i := range copies {
			to := filepath.Join(base, "small", name)
			if i > 0 && strings.HasSuffix(name, ".nc") {
				to = filepath.Join(base, "small", strings.Repeat("z", i)+name)
			}
			if err := os.MkdirAll(filepath.Dir(to), 0o777); err != nil {
				t.Fatal(err)
			}
			if err := os.WriteFile(to, data, 0o666); err != nil {
				t.Fatal(err)
			}
		}
	}
	return base
}
