package parse

import (
	"errors"
	"math"
	"slices"
	"strings"
	"testing"
)

// practice holds what posted and hand-edited programs do (all: common practice, no source). reading is part of the
// note that must be made, "" for none; unread likewise.
var practice = []struct {
	name    string
	program string
	end     *Point
	feed    *float64
	rapid   *float64
	dwell   *float64
	reading string
	unread  string
}{
	{name: "G90 and G91 by position", program: "G90 G1 X20 G91 Y45 F800 | Y5", end: at(20, 50, 0),
		reading: "each governs the numbers behind it"},
	{name: "bolt circle by position", program: "G0 Z5 | G16 | G98 G81 X20 G91 Y45 G90 R5 Z-5 F800 K3 | G15",
		feed: num(30), end: at(-10*math.Sqrt2, 10*math.Sqrt2, 5), reading: "K on a canned cycle"},
	{name: "rounded corner", program: "G1 X40 F100 , R15 | Y30", end: at(40, 30, 0), feed: num(25 + 7.5*math.Pi + 15)},
	{name: "chamfer", program: "G1 X40 F100 ,C8 | Y30", end: at(40, 30, 0), feed: num(32 + 8*math.Sqrt2 + 22)},
	{name: "rounded to the right", program: "G18 G1 Z40 F100 ,R15 | X-30", end: at(-30, 0, 40),
		feed: num(25 + 7.5*math.Pi + 15)},
	{name: "corner too large", program: "G1 X10 F100 , R15 | Y5", end: at(10, 5, 0), feed: num(15),
		unread: "too large"},
	{name: "corner before an arc", program: "G1 X10 F100 ,R1 | G2 X20 R5", end: at(20, 0, 0), unread: "corner word"},
	{name: "corner before a rapid", program: "G1 X10 F100 ,R1 | G0 Y5", end: at(10, 5, 0), unread: "corner word"},
	{name: "corner with nothing behind it", program: "G1 X10 F100 ,R1 | Z5", end: at(10, 0, 5), unread: "corner word"},
	{name: "last corner", program: "G1 X10 F100 ,R1 | M30", end: at(10, 0, 0), unread: "corner word"},
	{name: "corner on a rapid", program: "G0 X10 ,R1 | G1 Y5 F60", end: at(10, 5, 0), unread: "comma"},
	{name: "another letter behind a comma", program: "G1 X10 F100 ,A1", unread: "comma"},
	{name: "Latin-1 in a comment", program: "G1 X1 F9 (Durchmesser \xD8 5)", end: at(1, 0, 0)},
	{name: "Latin-1 outside", program: "G1 X1 F9 \xD8", unread: "0xD8"},
	{name: "semicolon as end of block", program: "G1 X1 F9;", end: at(1, 0, 0), reading: "end of the block"},
	{name: "D on the G43 line", program: "G43 H1 D1 | G41 G1 X10 F100 | X20", end: at(20, 3, 0),
		reading: "D without the code"},
	{name: "percent as a remark", program: "% | % spindle on | %( text) | %% | G1 X3 F60 | % | M30 | %",
		end: at(3, 0, 0), reading: "remark"},
	{name: "blocks behind the second percent", program: "% | G1 X3 F60 | % | X4 | M30", end: at(4, 0, 0),
		reading: "behind the second percent"},
	{name: "two slashes", program: "// made by hand | G1 X1 F60", end: at(1, 0, 0), reading: "two slashes"},
	{name: "slash text behind M0", program: "M00 /turn the part over | G1 X1 F60", end: at(1, 0, 0), reading: "remark"},
	{name: "slash in the line, switch off", program: "G1 X1 F60 /Y5", end: at(1, 5, 0), reading: "block delete"},
	{name: "old units", program: "G70 | G1 X1 F60", end: at(25.4, 0, 0), reading: "old spelling"},
	{name: "finishing cycle", program: "G70 P10 Q20 | G1 X1 F60", end: at(1, 0, 0), unread: "finishing"},
	{name: "mode only", program: "G0 | G17 | X5 Y5", end: at(5, 5, 0), rapid: num(5 * math.Sqrt2),
		reading: "without axis words"},
	{name: "G43 without H", program: "G43 | G0 Z5", end: at(0, 0, 5), reading: "without H"},
	{name: "G53 on a modal G0", program: "G0 Z-1 | G53 G49 Z0.0 M05", end: at(0, 0, 0), rapid: num(2)},
	{name: "bare G28", program: "G0 X3 Y4 | G28", end: at(0, 0, 0), rapid: num(10)},
	{name: "codes of the machine's maker", program: "M31 | G1 X1 F60", end: at(1, 0, 0), unread: "M31"},
	{name: "M62 with P", program: "M62 P0 | G1 X1 F60", end: at(1, 0, 0), unread: "M62"},
	{name: "drill here, then elsewhere", program: "G0 X5 Y5 Z5 | G99 G81 Z-2 R1 F60 | X8 | G80", end: at(8, 5, 1),
		feed: num(6)},
	{name: "R above the tool", program: "G0 X5 Y5 Z5 | G98 G81 X6 Z-2 R10 F60", end: at(6, 5, 10), feed: num(12)},
	{name: "R below the work zero", program: "G0 Z5 | G99 G81 X6 Z-20 R-12 F60", end: at(6, 0, -12), feed: num(8)},
	{name: "stray P in G81", program: "G0 Z5 | G99 G81 X6 Z-2 R1 P3 F60", end: at(6, 0, 1), dwell: num(0),
		reading: "P that no code"},
	{name: "micro arc rounded by a third", program: "G20 | G1 F10 | G2 X0.0009 Y0.00015 I0.00045",
		end: at(0.02286, 0.00381, 0)},
	{name: "four decimals of an inch", program: "G20 G1 X0 F10 | G2 X1.00022 I0.5", end: at(25.405588, 0, 0),
		reading: "radius of the arc differ"},
	{name: "arc wrong by 1 mm", program: "G2 X11 I5 F100 | G1 Y1", end: at(11, 1, 0),
		unread: "radius of the arc differ"},
	{name: "code kept in comments", program: "(G1 X[#1] F60) | (G0 X99 [a] ; b) | G1 X1 F60", end: at(1, 0, 0),
		feed: num(1)},
	{name: "no header", program: "X5 Y0 F60 | X5 Y5", end: at(5, 5, 0), reading: "before any motion code"},
	{name: "T without M6", program: "T4 (drill) | G1 X1 F60", end: at(1, 0, 0), reading: "without M6"},
	{name: "milliseconds", program: "G04 P4000", dwell: num(4), reading: "milliseconds"},
	{name: "dwell with X", program: "G4 X2. | G1 X1 F60", dwell: num(2), end: at(1, 0, 0), reading: "in seconds"},
	{name: "F on G0", program: "G0 X5 F500 | G1 X6", end: at(6, 0, 0)},
	{name: "both cases and packed words", program: "g1X1y2F60z-1", end: at(1, 2, -1)},
	{name: "sixteen digits", program: "G1 X1.2345678901234567 F60", end: at(1.2345678901234567, 0, 0)},
	{name: "tabs and blanks inside", program: "G 1\tX 1 2 . 5 F\t60", end: at(12.5, 0, 0)},
	{name: "M2 and M5 in one block", program: "G1 X1 F60 | M2 M5", end: at(1, 0, 0)},
	{name: "named parameter", program: "#<depth>=3 | G1 X#<depth> F60", end: at(3, 0, 0), reading: "named parameter"},
	{name: "named call", program: "o<pocket> call [3] | G1 X1 F60", end: at(1, 0, 0), unread: "O<pocket> is not found"},
	{name: "numbered sub", program: "O100 sub | G1 X1 F60", unread: "without the endsub"},
	{name: "WHILE", program: "WHILE [#1 LT 5] DO1 | G1 X1 F60", unread: "without the endwhile or END"},
	{name: "IF GOTO", program: "IF [#1 EQ 5] GOTO 20 | G1 X1 F60", end: at(1, 0, 0), unread: "#1 is never set"},
	{name: "GOTO", program: "GOTO 20 | G1 X1 F60", unread: "no line of that number"},
	{name: "long line numbers", program: "N99999 G1 X1 F60 | N100010 X2", end: at(2, 0, 0), reading: "five digits"},
	{name: "byte-order mark", program: "\xEF\xBB\xBFG1 X1 F60", end: at(1, 0, 0), reading: "byte-order"},
	{name: "CR LF", program: "G1 X1 F60\r\nX2\r\n", end: at(2, 0, 0)},
	{name: "CR alone", program: "G1 X1 F60\rX2\rX3", end: at(3, 0, 0)},
	{name: "sign before a parameter", program: "#1=4 | G1 X-#1 Y-[1+1] Z-SIN[30] F60", end: at(-4, -2, -0.5),
		reading: "sign before"},
	{name: "retract written as G91 G28", program: "G1 X5 Z-1 F60 | G91 G28 Z0 | G90", end: at(5, 0, 0),
		reading: "named"},
	{name: "G28 beside G0", program: "G1 Z-1 F60 | G0 G91 G28 Z0", end: at(0, 0, 0), reading: "G0 beside"},
	{name: "G80 beside G0", program: "G81 X1 Z-1 R1 F60 | G80 G0 X3", end: at(3, 0, 1), reading: "G80 beside"},
	{name: "bare axis words behind G80", program: "G0 Z5 | G99 G81 X1 Z-1 R1 F60 | G80 | X3 Y4", end: at(3, 4, 1),
		feed: num(2), reading: "read as G0, which held before"},
	{name: "bare axis words behind G80, feed before", program: "G1 Z5 F60 | G99 G81 X1 Z-1 R1 | X2 | G80 | X3",
		end: at(3, 0, 1), feed: num(5 + 2 + 2 + 1), reading: "read as G1, which held before"},
	{name: "G80 and axis words in one block", program: "G0 Z5 | G99 G81 X1 Z-1 R1 F60 | G80 Z9", end: at(1, 0, 9),
		feed: num(2), reading: "read as G0"},
	{name: "G80 in the header", program: "G17 G80 F60 | X3", end: at(3, 0, 0), feed: num(3),
		reading: "before any motion code"},
	{name: "machine place behind G80", program: "G0 Z5 | G99 G81 X1 Z-1 R1 F60 | G80 | G53 Z9", end: at(1, 0, 9),
		reading: "read as G0"},
	{name: "bare axis words behind G80, arc before", program: "F60 G2 X2 I1 | G99 G81 X1 Z-1 R1 | G80 | X3",
		end: at(1, 0, 1), unread: "behind G80 without a motion code"},
	{name: "G1 beside a way home", program: "G0 X1 | G1 G28 X5 F60 | X3", end: at(3, 0, 0), feed: num(2),
		unread: "beside a code that takes"},
	{name: "T0 first", program: "T0 M6 | G0 X1", end: at(1, 0, 0)},
	{name: "M6 T0 first", program: "M6 T0 | G0 X1", end: at(1, 0, 0), reading: "T0 behind M6"},
	{name: "T behind M6", program: "M6 T2 | G0 X1", end: at(1, 0, 0), reading: "read as the tool that is loaded"},
	{name: "T behind M6 with another one in place", program: "T1 M6 | T2 | M6 T3 | G0 X1", end: at(1, 0, 0),
		unread: "with T2 selected before"},
	{name: "comment in a comment", program: "(PLATE (ALU) 6 MM) | G1 X1 F60 (a (b) (c (d)) e) Y2", end: at(1, 2, 0),
		feed: num(math.Sqrt(5)), reading: "brackets inside a comment"},
	{name: "bracket left open in a comment", program: "G1 X1 F60 (TOOL (6 MM) Y2", end: at(1, 2, 0)},
	{name: "two comments", program: "G1 (a) X1 F60 (b) Y2", end: at(1, 2, 0)},
	{name: "expression without brackets", program: "#1=2 | #1=#1+1 | #2=#1*2-#1/3 | G1 X#1 Y#2 F60", end: at(3, 5, 0),
		reading: "expression without brackets"},
	{name: "quotient without brackets", program: "#1=7/2 #2=-SIN[30]*4 | G1 X#1 Y#2 F60", end: at(3.5, -2, 0),
		reading: "expression without brackets"},
	{name: "remark behind a setting", program: "#1=7 /half of 14 | G1 X#1 F60", end: at(7, 0, 0), reading: "remark"},
	{name: "expression without brackets in a word", program: "#1=2 | G1 X#1+5 F60",
		unread: "write an expression in brackets"},
	{name: "output", program: "G21 | POPEN | DPRNT[X#1[53]*Y] | N5 BPRNT[A] | PCLOS | G1 X1 F60", end: at(1, 0, 0),
		reading: "prints and moves nothing"},
	{name: "rounded corner under compensation, inside", program: "G0 X-20 Y-20 | G41 D1 G1 X0 Y0 F100 | X40 ,R5 | Y30",
		end: at(37, 30, 0)},
	{name: "corner on the first move under compensation", program: "G0 Y-20 | G41 D1 G1 X0 Y0 F100 ,R5 | X40",
		unread: "not between two straight"},
	{name: "K0 on an arc with R", program: "G2 X10 R5 K0.000 F60", end: at(10, 0, 0), reading: "another plane"},
	{name: "full circle without an end", program: "G2 I5 F60", feed: num(10 * math.Pi), end: at(0, 0, 0),
		reading: "full circle"},
	{name: "turns", program: "G3 X0 Y0 Z-3 I5 P3 F60", feed: num(math.Hypot(30*math.Pi, 3)), end: at(0, 0, -3)},
	{name: "G96", program: "G96 S200 M3 | G1 X1 F60", reading: "turning"},
	{name: "rotary at 0", program: "G0 X1 A0.", end: at(1, 0, 0), reading: "rotary"},
	{name: "rotary", program: "G0 X1 A90.", end: at(1, 0, 0), unread: "rotary"},
	{name: "scaling", program: "G51 X0 Y0 P2 | G1 X1 F60", unread: "scaling"},
	{name: "G64 P", program: "G64 P0.05 | G1 X1 F60", end: at(1, 0, 0)},
	{name: "leader", program: "PROGRAM PLATE | ABC DEF | % | G1 X1 F60 | M30 | %", end: at(1, 0, 0),
		reading: "before the first percent"},
	{name: "colon", program: "%\n:1234\nG1 X1 F60\nM30\n%", end: at(1, 0, 0)},
	{name: "line number before the slash", program: "N10 /G1 X1 F60", end: at(1, 0, 0),
		reading: "behind the line number"},
	{name: "unset parameter", program: "G1 X#7 F60", unread: "#7 is never set"},
	{name: "blocks behind M30", program: "G1 X1 F60 | M30 | G1 X9", end: at(1, 0, 0), reading: "never executed"},
}

// leftOpen are readings of what the published grammar leaves open; strict reading takes them too, or has another one.
var leftOpen = map[string]bool{
	"M6 T0 first": true, "T behind M6": true, "blocks behind M30": true, "blocks behind the second percent": true,
	"milliseconds": true, "retract written as G91 G28": true, "rotary at 0": true,
}

func TestPractice(t *testing.T) {
	for _, c := range practice {
		t.Run(c.name, func(t *testing.T) {
			p := read(t, c.program)
			if c.end != nil && !nearPoint(endOf(p), *c.end, 1e-6) {
				t.Errorf("ends at %v, want %v", endOf(p), *c.end)
			}
			for _, q := range []struct {
				what string
				got  float64
				want *float64
			}{{"feed length", feedLen(p), c.feed}, {"rapid length", rapidLen(p), c.rapid},
				{"dwell", dwellS(p), c.dwell}} {
				if q.want != nil && !near(q.got, *q.want, 1e-6) {
					t.Errorf("%s %.6f, want %.6f", q.what, q.got, *q.want)
				}
			}
			var unread, reading string
			for _, n := range p.Notes {
				if n.Kind == Unread {
					unread += n.Message + "\n"
				} else {
					reading += n.Message + "\n"
				}
			}
			if c.unread == "" && unread != "" || !strings.Contains(unread, c.unread) {
				t.Errorf("unread: %q, want %q", unread, c.unread)
			}
			if !strings.Contains(reading, c.reading) {
				t.Errorf("notes: %q, want %q", reading, c.reading)
			}
			if c.reading != "" && !leftOpen[c.name] {
				strict := read(t, c.program, func(o *Options) { o.Strict = true })
				if len(unreadNotes(strict)) == 0 {
					t.Errorf("strict reading accepts it")
				}
			}
		})
	}
}

func TestBlockDelete(t *testing.T) {
	on := func(o *Options) { o.BlockDelete = true }
	const program = "G1 X1 F60 | /X5 | /2 X6 | Y1 /X7"
	if p := read(t, program); !nearPoint(endOf(p), Point{7, 1, 0}, 1e-9) {
		t.Errorf("off: ends at %v", endOf(p))
	} else if !slices.ContainsFunc(p.Notes, func(n Note) bool {
		return strings.Contains(n.Message,
			"--block-delete")
	}) {
		t.Errorf("off: not told that the switch may leave blocks out: %v", p.Notes)
	}
	if p := read(t, program, on); !nearPoint(endOf(p), Point{1, 1, 0}, 1e-9) {
		t.Errorf("on: ends at %v", endOf(p))
	}
	// The line is read all the same (NIST RS274NGC v3, 2.2.2).
	if p := read(t, "/G1 X", on); len(unreadNotes(p)) == 0 {
		t.Error("a faulty deleted block passes")
	}
}

func TestNotPrograms(t *testing.T) {
	conversational := "0 BEGIN PLATE MM\n1 BLOCK 0.1 Z X+0 Y+0 Z-20\n2 TOOL 5 Z S4000\n3 L X+10 Y+20 R0 FAST\n4 L " +
		"Z-5 F200\n5 CC X+20 Y+20\n6 C X+10 DR-\n7 END PLATE MM\n"
	for name, src := range map[string]string{
		"empty":          "",
		"blank":          " \r\n\t\n",
		"binary":         "\x7fELF\x00\x01\x02",
		"control":        strings.Repeat("\x01\x02G1\n", 50),
		"UTF-16":         "\xFF\xFEG\x001\x00",
		"conversational": conversational,
		"prose":          "Dear reader,\nthis is not a program.\nIt has some lines.\nThat is all.\n",
	} {
		err := IsText([]byte(src))
		if err == nil || strings.Contains(err.Error(), "\n") || !strings.Contains(err.Error(), ";") {
			t.Errorf("%s: %v", name, err)
		}
		p := Read([]byte(src), Options{Name: "x.nc"})
		if len(p.Notes) != 1 || p.Notes[0].Kind != Unread || p.Moves.Len() != 0 {
			t.Errorf("%s: %+v", name, p.Notes)
		}
	}
	for _, c := range practice {
		if err := IsText(blocksOf(c.program)); err != nil && c.name != "leader" {
			t.Errorf("%s: %v", c.name, err)
		}
	}
}

func TestColumnsCountBytes(t *testing.T) {
	for _, c := range []struct {
		program string
		line    int
		col     int
	}{
		{"G1 X5 X6 F9", 1, 7},
		{"G1 F9 X1\n  N5 G1 (\xC3\x98) X@", 2, 14},
		{"G1 X5 @", 1, 7},
		{"\tG0 X1 (open", 1, 8},
		{"G0 X[1/0]", 1, 7},
		{"G0 X1 Q4", 1, 7},
		{"\xEF\xBB\xBFG0 X1 Q4", 1, 10},
	} {
		n := unreadNotes(Read([]byte(c.program), harness()))
		if len(n) == 0 || n[0].Pos.Line != c.line || n[0].Pos.Col != c.col {
			t.Errorf("%q: %+v, want %d:%d", c.program, n, c.line, c.col)
		}
	}
}

func TestErrorsArePositioned(t *testing.T) {
	var s scanner
	s.say, s.params = &notes{}, &params{}
	var e *readError
	if err := s.scan([]byte("G0 X@"), false); !errors.As(err, &e) || e.col != 4 {
		t.Errorf("%v", err)
	}
}
