package parse

import (
	"bytes"
	"os"
	"staydown/parse/units"
	"strings"
	"testing"
)

func kindsOf(p *Program, kind NoteKind) (out []Note) {
	for _, n := range p.Notes {
		if n.Kind == kind {
			out = append(out, n)
		}
	}
	return out
}

// What ends a program, and what does not (NIST RS274NGC v3, 3.1 and 3.6.1; M99: common practice, no source).
func TestEndOfAProgram(t *testing.T) {
	subs := map[string]string{"O6.nc": "G1 X9", "O7.nc": "G1 X9\nM99\n", "O8.nc": "G1 X9\n",
		"O9.nc": "%\nO9\nG1 X9\n%\n"}
	for _, c := range []struct {
		name, program string
		none          bool   // [machine] end = "none"
		want          string // part of the note, "" for none
		line          int
	}{
		{name: "M30", program: "G1 X1 F60\nM30\n"},
		{name: "M2 without a line end", program: "G1 X1 F60\nM2"},
		{name: "M99 of the main program", program: "G1 X1 F60\nM99\n"},
		{name: "closing percent", program: "%\nG1 X1 F60\n%\n"},
		{name: "M30 without the closing percent", program: "%\nG1 X1 F60\nM30\n"},
		{name: "nothing", program: "G1 X1 F60\n", want: "neither M2 nor M30", line: 1},
		{name: "percent without partner", program: "%\nG1 X1 F60\n", want: "closing percent", line: 2},
		{name: "closing percent without an opening one", program: "G1 X1 F60\n%\n", want: "neither M2 nor M30",
			line: 2},
		{name: "block behind the second percent", program: "%\nG1 X1 F60\n%\nX2\n", want: "closing percent", line: 4},
		{name: "third percent behind that block", program: "%\nG1 X1 F60\n%\nX2\n%\n"},
		{name: "half of M30", program: "G1 X1 F60\nM3", want: "breaks off", line: 2},
		{name: "half a remark", program: "G1 X1 F60 (LAST OF THE)\n; PAR", want: "neither M2 nor M30", line: 2},
		{name: "post without end", program: "G1 X1 F60\nX2\n", none: true},
		{name: "post without end, percent in front", program: "%\nG1 X1 F60\nX2\n", none: true},
		{name: "post without end, broken off", program: "G1 X1 F60\nX2", none: true, want: "breaks off", line: 2},
		{name: "post without end, comment last", program: "G1 X1 F60\nX2 (END)", none: true},
		{name: "post without end, remark last", program: "G1 X1 F60\nX2 ; END", none: true},
		{name: "post without end, blank last", program: "G1 X1 F60\nX2 ", none: true},

		{name: "subprogram", program: "M98 P200\nM30\nO200\nG1 X9 F60\nM99\n"},
		{name: "subprogram without M99", program: "M98 P200\nM30\nO200\nG1 X9 F60\n", want: "O200 ends without M99",
			line: 4},
		{name: "subprogram without M99 before a percent", program: "%\nM98 P200\nM30\nO200\nG1 X9 F60\n%\n",
			want: "O200 ends without M99", line: 6},
		{name: "subprogram called often", program: "M98 P200 L5\nM98 P200\nM30\nO200\nG1 X9 F60\n",
			want: "O200 ends without M99", line: 5},
		{name: "half of M99", program: "M98 P200\nM30\nO200\nG1 X9 F60\nM9", want: "breaks off", line: 5},
		{name: "subprogram never called", program: "G1 X1 F60\nM30\nO200\nG1 X9 F60\n"},
		{name: "lines called by their number", program: "F60 M97 P10\nM30\nN10 G1 X9\n", want: "N10 ends without M99",
			line: 3},
		{name: "subprogram file", program: "F60 M98 P7\nM30\n"},
		{name: "subprogram file without M99", program: "F60 M98 P8\nM30\n", want: "O8 ends without M99", line: 1},
		{name: "subprogram file between percent signs", program: "F60 M98 P9\nM30\n", want: "O9 ends without M99",
			line: 4},
		{name: "post without end, subprogram broken off", program: "F60 M98 P6\nM30\n", none: true, want: "breaks off",
			line: 1},
		{name: "post without end, subprogram file", program: "F60 M98 P8\nM30\n", none: true},
	} {
		t.Run(c.name, func(t *testing.T) {
			p := Read([]byte(c.program), Options{Name: "x.nc", Units: units.Metric, NoEnd: c.none,
				OpenSub: func(name string) ([]byte, error) {
					if s, ok := subs[name]; ok {
						return []byte(s), nil
					}
					return nil, os.ErrNotExist
				}})
			if u := kindsOf(p, Unread); len(u) > 0 {
				t.Errorf("unread: %v", u)
			}
			got := kindsOf(p, CutShort)
			if c.want == "" && len(got) > 0 || c.want != "" && len(got) != 1 {
				t.Fatalf("notes %v, want %q once", got, c.want)
			}
			if c.want != "" && (!strings.Contains(got[0].Message, c.want) || !strings.Contains(got[0].Message,
				"may have been cut short") || got[0].Pos.Line != c.line) {
				t.Errorf("%v, want %q in line %d", got[0], c.want, c.line)
			}
		})
	}
}

// Strict reading asks for an end whatever the post is said to do (NIST RS274NGC v3, 3.1).
func TestStrictReadingNeedsAnEnd(t *testing.T) {
	for _, none := range []bool{false, true} {
		p := Read([]byte("% \nG21 G1 X1 F60\n"), Options{Strict: true, NoEnd: none})
		if len(kindsOf(p, Unread))+len(kindsOf(p, CutShort)) == 0 {
			t.Errorf("end none %v: %v", none, p.Notes)
		}
	}
}

// A program of the demo, cut anywhere, is told to be cut short or is not read as a whole, until M30 stands in full.
// What is then missing cannot matter: line ends and the closing percent sign.
func TestDemoCutAnywhere(t *testing.T) {
	for _, name := range []string{"panels-skin.nc", "lantern.ngc"} {
		src, err := os.ReadFile("../testdata/demo/" + name)
		if err != nil {
			t.Fatal(err)
		}
		whole := bytes.Index(src, []byte("M30")) + len("M30")
		if rest := bytes.TrimSpace(src[whole:]); len(rest) > 1 || whole < len("M30") {
			t.Fatalf("%s: behind M30 stands %q", name, rest)
		}
		for _, ends := range []string{"\n", "\r\n"} {
			text := bytes.ReplaceAll(src, []byte("\n"), []byte(ends))
			whole := bytes.Index(text, []byte("M30")) + len("M30")
			for k := 0; k < len(text); k++ {
				if k+100 < whole { // near the end every byte is tried
					k += 12
				}
				p := Read(text[:k], Options{Name: name})
				told := len(kindsOf(p, CutShort))+len(kindsOf(p, Unread)) > 0
				if told != (k < whole) {
					t.Fatalf("%s cut after byte %d of %d (M30 ends at %d): %v", name, k, len(text), whole, p.Notes)
				}
			}
		}
	}
}

// Blocks behind the end are never executed (NIST RS274NGC v3, 3.6.1).
func TestBlocksBehindTheEnd(t *testing.T) {
	for _, c := range []struct {
		name, program string
		behind        string // the lines of the warning
		reading       string
	}{
		{name: "nothing", program: "G1 X1 F60 | M30 | %"},
		{name: "one", program: "G1 X1 F60 | M30 | G0 Z5", behind: "(line 3)"},
		{name: "several", program: "M30 | G1 X1 F60 | Y2 | (remark) | Z3 | M5 | G28",
			behind: "(lines 2 to 3, 5 and 7)"},
		{name: "many stretches", program: "M30" + strings.Repeat(" | X1 | M5", 9),
			behind: "(lines 2, 4, 6, 8, 10, 12 and 3 more)"},
		{name: "no motion", program: "G1 X1 F60 | M30 | M5 | G4 X2 | G92 X0 | G54", reading: "never executed"},
		{name: "deleted", program: "G1 X1 F60 | M30 | /X5"},
		{name: "subprogram", program: "F60 M98 P2 | M30 | O2 | G1 X1 | M99"},
		{name: "blocks behind a subprogram's end", program: "F60 M98 P2 | M30 | O2 | G1 X1 | M99 | X7",
			reading: "O2 behind the end"},
		{name: "lines called by their number", program: "F60 M97 P10 | M30 | N10 G1 X1 | M99"},
		{name: "lines behind them", program: "F60 M97 P10 | M30 | N10 G1 X1 | M99 | X7", behind: "(line 5)"},
		{name: "another program", program: "O1 | G1 X1 F60 | M30 | O2 | G1 X2 | M30 | O3 | X1 | M30",
			reading: "O2 behind the end of the program is never called, nor is another one"},
		{name: "end inside a subprogram", program: "F60 M98 P2 | X5 | M30 | O2 | G1 X1 | M30", behind: "(line 2)"},
		{name: "end in front", program: "G21 | M30 | T1 M6 | G0 X1 Y1 Z1", behind: "(line 4)"},
	} {
		t.Run(c.name, func(t *testing.T) {
			p := read(t, c.program, func(o *Options) { o.BlockDelete = true })
			got := kindsOf(p, BehindEnd)
			if c.behind == "" && len(got) > 0 || c.behind != "" && (len(got) != 1 || !strings.Contains(got[0].Message,
				c.behind)) {
				t.Errorf("%v, want %q", got, c.behind)
			}
			var reading string
			for _, n := range kindsOf(p, Reading) {
				if strings.Contains(n.Message, "behind the end") {
					reading += n.Message
				}
			}
			if c.reading == "" && reading != "" || !strings.Contains(reading, c.reading) {
				t.Errorf("%q, want %q", reading, c.reading)
			}
		})
	}
}

// Units that nothing tells are noted; the program's own word goes before that of the options.
func TestUnitsOfAProgram(t *testing.T) {
	for _, c := range []struct {
		name, program string
		units         units.System
		x             float64
		unknown, inch bool
	}{
		{"nothing", "G0 X1 Y1 Z1 | M30", units.Unchosen, 1, true, false},
		{"code behind the first move", "G0 X9 | G20 | X1 | M30", units.Unchosen, 25.4, true, true},
		{"code", "G20 G0 X1 Y1 Z1 | M30", units.Unchosen, 25.4, false, true},
		{"mm", "G0 X1 Y1 Z1 | M30", units.Metric, 1, false, false},
		{"inch", "G0 X1 Y1 Z1 | M30", units.Inch, 25.4, false, true},
		{"inch, code says mm", "G21 | G0 X1 Y1 Z1 | M30", units.Inch, 1, false, false},
		{"mm, old code says inch", "G70 | G0 X1 Y1 Z1 | M30", units.Metric, 25.4, false, true},
		{"no move", "S100 M3 | M30", units.Unchosen, 0, false, false},
	} {
		p := read(t, c.program, func(o *Options) { o.Units = c.units })
		if got := len(kindsOf(p, NoUnits)); got > 1 || got == 1 != c.unknown {
			t.Errorf("%s: %v", c.name, p.Notes)
		}
		if !near(endOf(p).X, c.x, 1e-9) || (p.Units == units.Inch) != c.inch {
			t.Errorf("%s: X %g, inch %v", c.name, endOf(p).X, p.Units)
		}
	}
	p := Read([]byte("G0 X1 Y1 Z1\nX2\nM30\n"), Options{}).ReadIn(units.Inch)
	if !near(endOf(p).X, 50.8, 1e-9) || len(kindsOf(p, NoUnits)) > 0 {
		t.Errorf("read in inches: X %g, %v", endOf(p).X, p.Notes)
	}
}
