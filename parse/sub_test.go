package parse

import (
	"errors"
	"fmt"
	"strings"
	"testing"
)

// folder gives subprogram files from a map and records what was asked for.
func folder(files map[string]string, asked *[]string) func(*Options) {
	return func(o *Options) {
		o.OpenSub = func(name string) ([]byte, error) {
			if asked != nil {
				*asked = append(*asked, name)
			}
			if s, ok := files[name]; ok {
				return blocksOf(s), nil
			}
			return nil, errors.New("no such file")
		}
	}
}

// Subprogram calls are common practice; no source.
func TestSubprogramsInTheSameFile(t *testing.T) {
	for _, c := range []struct {
		name, program string
		end           Point
		feed          float64
		reading       string
	}{
		{"once", "G91 G1 F60 X0 | M98 P200 | M30 | O200 | X1 | M99", Point{1, 0, 0}, 1, ""},
		{"L times", "G91 G1 F60 X0 | M98 P200 L4 | M30 | O200 | X1 | M99", Point{4, 0, 0}, 4, ""},
		{"L0", "G91 G1 F60 X1 | M98 P200 L0 | M30 | O200 | X1 | M99", Point{1, 0, 0}, 1, ""},
		{"packed", "G91 G1 F60 X0 | M98 P30200 | M30 | O200 | X1 | M99", Point{3, 0, 0}, 3, "3 times O200"},
		{"nested", "G91 G1 F60 X0 | M98 P1 L2 | M30 | O1 | Y1 | M98 P2 L3 | M99 | O2 | X1 | M99", Point{6, 2, 0}, 8,
			""},
		{"behind the motion of its block", "G91 G1 F60 | M98 P200 X5 | M30 | O200 | Y1 | M99", Point{5, 1, 0}, 6, ""},
		{"modes come back", "G1 F60 X1 | M98 P200 | X1 | M30 | O200 | G91 | X1 | M99", Point{3, 0, 0}, 3, ""},
		{"colon and line number", "G91 G1 F60 | M98 P200 | M30 | N5 :0200 | X1 | M99", Point{1, 0, 0}, 1, ""},
		{"end of the file", "G91 G1 F60 | M98 P200 L2 | M30 | O200 | X1", Point{2, 0, 0}, 2, "without M99"},
		{"M97", "G91 G1 F60 | M97 P50 L2 | M30 | N50 X1 | M99", Point{2, 0, 0}, 2, ""},
		{"M99 in the main program", "G1 F60 X1 | M99 | X5", Point{1, 0, 0}, 1, "loop"},
		{"M30 inside", "G91 G1 F60 | M98 P200 L9 | X7 | M30 | O200 | X1 | M30 | M99", Point{1, 0, 0}, 1, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			p := read(t, c.program)
			if u := unreadNotes(p); len(u) > 0 {
				t.Errorf("unread: %v", u)
			}
			if !nearPoint(endOf(p), c.end, 1e-9) || !near(feedLen(p), c.feed, 1e-9) {
				t.Errorf("ends at %v after %v mm, want %v after %v", endOf(p), feedLen(p), c.end, c.feed)
			}
			if !strings.Contains(fmt.Sprint(p.Notes), c.reading) {
				t.Errorf("notes %v", p.Notes)
			}
		})
	}
}

func TestSubprogramFaults(t *testing.T) {
	for name, program := range map[string]string{
		"not found":          "M98 P200 | M30",
		"no number":          "M98 | M30",
		"bad number":         "M98 P1.5 | M30",
		"bad repeats":        "M98 P200 L-1 | M30 | O200 | M99",
		"too many repeats":   "M98 P200 L99999 | M30 | O200 | M99",
		"calls itself":       "M98 P200 | M30 | O200 | M98 P200 | M99",
		"call each other":    "M98 P1 | M30 | O1 | M98 P2 | M99 | O2 | M98 P1 | M99",
		"runs into another":  "G1 F60 X1 | M98 P1 | M30 | O1 | X2 | O2 | X3 | M99",
		"main runs into one": "O1 | G1 F60 X1 | O2 | X2 | M99",
		"subs first":         "O100 | G1 F60 X1 | M99 | O1 | M98 P100 | M30",
		"M99 P":              "G1 F60 X1 | M98 P1 | M30 | O1 | M99 P5",
		"label not found":    "M97 P50 | M30",
		"path":               "M98 (../secret.nc) | M30",
		"drive":              "M98 (C:secret) | M30",
		"hidden":             "M98 (.secret) | M30",
		"separator":          `M98 (a\b) | M30`,
	} {
		if p := read(t, program, folder(nil, nil)); len(unreadNotes(p)) == 0 {
			t.Errorf("%s: nothing unread", name)
		}
	}
}

func TestSubprogramFiles(t *testing.T) {
	var asked []string
	files := map[string]string{
		"O0200.nc": "O200 | G91 G1 X1 F60 | (two) | Y1 | M99",
		"pocket":   "%\nG91 G1 X1 F60\nM98 P7\nM99\n%",
		"7.nc":     "Z-1 | M99",
	}
	p := read(t, "G1 X0 F60 | M98 P200 L2 | M98 (pocket) | M30", folder(files, &asked))
	if u := unreadNotes(p); len(u) > 0 {
		t.Fatalf("unread: %v", u)
	}
	if !nearPoint(endOf(p), Point{3, 2, -1}, 1e-9) {
		t.Errorf("ends at %v", endOf(p))
	}
	type where struct{ line, sub int32 }
	var got []where
	for _, m := range p.Moves.All() {
		got = append(got, where{m.Line, m.Sub})
	}
	want := []where{{2, 1}, {2, 1}, {2, 1}, {2, 1}, {3, 2}, {3, 3}}
	if fmt.Sprint(got) != fmt.Sprint(want) {
		t.Errorf("places %v, want %v", got, want)
	}
	for _, name := range asked {
		if strings.ContainsAny(name, `/\`) || strings.Contains(name, "..") {
			t.Errorf("asked for %q", name)
		}
	}
}

// A note about a line of a subprogram file names that file, and the line that calls it is told of it, too.
func TestNotesNameTheirFile(t *testing.T) {
	p := read(t, "M98 P200 L3 | M30", folder(map[string]string{"O0200.nc": "G1 X1 F60 | G77 | G77 | M99"}, nil))
	u := unreadNotes(p)
	if len(u) != 2 || u[0].Pos.String() != "O0200.nc:2:1" || u[1].Pos.String() != "check.nc:1" ||
		!strings.Contains(u[1].Message, "see O0200.nc, first in line 2") {
		t.Errorf("%v", u)
	}
}

func TestLinesOfSubprogramsInTheMainFile(t *testing.T) {
	p := read(t, "M98 P200 | M30 | O200 | G1 X1 F60 | M99")
	if m := p.Moves.At(0); m.Line != 4 || m.Sub != 0 {
		t.Errorf("%+v", m)
	}
}

func TestSubprogramThatCallsItselfIsLeftOut(t *testing.T) {
	// Without conditions a subprogram that calls itself never ends (arithmetic); it must not cost the passes of its
	// repeats.
	for name, program := range map[string]string{
		"at once":        "G1 X1 F60 | M98 P1 L9 | M30 | O1 | M98 P1 L9 | G91 G1 X1 | G90 | M99",
		"through others": "G1 X1 F60 | M98 P1 L9 | M30 | O1 | M98 P2 L9 | M99 | O2 | M98 P1 L9 | G91 G1 X1 | G90 | M99",
	} {
		p := Read([]byte(blocksOf(program)), harness())
		found := false
		for _, n := range p.Notes {
			found = found || n.Kind == Unread && strings.Contains(n.Message, "calls itself")
		}
		if !found || p.Moves.Len() > 200 {
			t.Errorf("%s: %d moves, notes %v", name, p.Moves.Len(), p.Notes)
		}
	}
}
