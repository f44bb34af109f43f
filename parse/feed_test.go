package parse

import (
	"math"
	"staydown/parse/units"
	"strings"
	"testing"
)

// Durations by hand: length over rate.
func TestDurations(t *testing.T) {
	for _, c := range []struct {
		name, program string
		seconds       float64
		source        string
	}{
		{"per minute", "G1 X10 F600", 1, "NIST RS274NGC v3, 3.5.19"},
		{"arc", "G2 X10 R5 F300", math.Pi, "NIST RS274NGC v3, 3.5.19"},
		{"helix", "G2 X0 Y0 Z-3 I5 F600", math.Hypot(10*math.Pi, 3) / 10, "NIST RS274NGC v3, 3.5.19"},
		{"inches per minute", "G20 G1 X1 F6", 10, "NIST RS274NGC v3, 3.5.19"},
		{"rapid", "G0 X100", 0.6, "10000 mm/min"},
		{"inverse time", "G93 G1 X10 F2 | Y3 F60", 31, "NIST RS274NGC v3, 3.5.19"},
		{"inverse time arc", "G93 G2 X10 R5 F30", 2, "NIST RS274NGC v3, 3.5.19"},
		{"no F for a rapid in inverse time", "G93 G0 X100", 0.6, "NIST RS274NGC v3, 3.5.19"},
		{"per revolution", "M3 S600 | G95 G1 X10 F0.1", 10, "common practice, no source"},
		{"dwell", "G4 P2.5", 2.5, "NIST RS274NGC v3, 3.5.4"},
		{"F behind the words", "G1 X10 | X20 F600", 1 + 10/10000.0*60, "NIST RS274NGC v3, table 8; the first has " +
			"none and goes at the rapid rate"},
		{"G20 governs its own F", "G21 F6 | G20 G1 X1 F6", 10, "common practice, no source"},
	} {
		p := read(t, c.program)
		if !near(p.DurationS, c.seconds, 1e-9) {
			t.Errorf("%s: %v s, want %v (%s)", c.name, p.DurationS, c.seconds, c.source)
		}
	}
}

func TestWhatEachMoveKnows(t *testing.T) {
	p := read(t, "G21 | T2 M6 | S8000 M3 | G64 P0.02 | G0 Z5 | G1 X10 F500 | M4 G3 X0 Y10 I-10 | G61 M5 | G4 P1")
	want := []struct {
		kind    Kind
		line    int32
		spindle Spindle
		rpm     float64
		feed    float64
	}{
		{Rapid, 5, SpindleClockwise, 8000, 0},
		{Feed, 6, SpindleClockwise, 8000, 500},
		{Arc, 7, SpindleCounterclockwise, 8000, 500},
		{Dwell, 9, SpindleStopped, 0, 0},
	}
	if p.Moves.Len() != len(want) {
		t.Fatalf("%+v", p.Moves)
	}
	for i, w := range want {
		m := p.Moves.At(i)
		if m.Kind != w.kind || m.Line != w.line || m.Spindle != w.spindle || m.RPM != w.rpm || m.FeedMMMin != w.feed ||
			m.Tool != 2 {
			t.Errorf("move %d: %+v, want %+v", i, m, w)
		}
	}
	if len(p.ToolCalls) != 1 || p.ToolCalls[0] != (ToolCall{Tool: 2, Line: 2, Move: 0}) {
		t.Errorf("%+v", p.ToolCalls)
	}
	if p.Blocks != 9 || p.Lines != 9 || p.Units == units.Inch || len(p.SHA256) != 64 || !near(p.CutLengthMM, feedLen(p),
		1e-12) {
		t.Errorf("%+v", p)
	}
}

// A stop and a tool change point at the first move behind them.
func TestStopsPointAtMoves(t *testing.T) {
	p := read(t, "T1 M6 | G1 X1 F60 | M0 X2 | T2 M6 | X3 | M1 | X4 | M2")
	if got := p.Stops; len(got) != 3 || got[0] != (Stop{"M0", 3, 2}) || got[1] != (Stop{"M1", 6, 3}) ||
		got[2] != (Stop{"M2", 8, 4}) {
		t.Errorf("%+v", got)
	}
	if got := p.ToolCalls; len(got) != 2 || got[1] != (ToolCall{2, 4, 2}) {
		t.Errorf("%+v", got)
	}
}

func TestModalAt(t *testing.T) {
	p := read(t, "G21 G90 G17 | T1 M6 | S900 M3 M8 | G0 Z5 | G20 G91 G1 X1 F10 | G18 G93 G55 | G0 X1 | M30")
	for line, want := range map[int]string{
		1: "G17 G21 G90 G91.1 G94 G40 G49 G98 G54 G61 G15 F0 S0 T0 M5 M9 at X0.0000 Y0.0000 Z0.0000 mm",
		4: "G0 G17 G21 G90 G91.1 G94 G40 G49 G98 G54 G61 G15 F0 S900 T1 M3 M8 at X0.0000 Y0.0000 Z5.0000 mm",
		5: "G1 G17 G20 G91 G91.1 G94 G40 G49 G98 G54 G61 G15 F10 S900 T1 M3 M8 at X1.0000 Y0.0000 Z0.1969 in",
		6: "G1 G18 G20 G91 G91.1 G93 G40 G49 G98 G55 G61 G15 F0 S900 T1 M3 M8 at X1.0000 Y0.0000 Z0.1969 in",
	} {
		if got := p.ModalAt(line); got != want {
			t.Errorf("line %d:\n got %s\nwant %s", line, got, want)
		}
	}
	if got := read(t, "G0 X1 M7 M8").ModalAt(1); !strings.Contains(got, "M7 M8") {
		t.Error(got)
	}
	if p.ModalAt(0) != "" || p.ModalAt(-1) != "" {
		t.Error("a state for a line that is none")
	}
	lines := []int{6, 1, 0, 5, 4, 5, 99}
	for i, got := range p.ModalsAt(lines) {
		if want := p.ModalAt(lines[i]); got != want {
			t.Errorf("line %d among others:\n got %s\nwant %s", lines[i], got, want)
		}
	}
	// The state prints as a block that is itself read without a fault.
	state, _, _ := strings.Cut(p.ModalAt(5), " at")
	if u := unreadNotes(read(t, strings.Replace(state, "G91.1 ", "", 1))); len(u) > 0 {
		t.Errorf("%q: %v", state, u)
	}
}

// Re-reading up to a line gives the same state however much lies before it, with a bounded number of moves kept.
func TestModalAtOfALongProgram(t *testing.T) {
	src := plainProgram(20_000)
	p := Read(src, harness())
	if got := p.ModalAt(15_005); !strings.HasPrefix(got, "G1 G17 G21") {
		t.Error(got)
	}
	var last Point
	for _, m := range p.Moves.All() {
		if m.Line <= 15_005 {
			last = m.End
		}
	}
	at := place{tip: last.axes()}
	if got := p.ModalAt(15_005); !strings.HasSuffix(got, at.words(&modal{})) {
		t.Errorf("%s, want %s", got, at.words(&modal{}))
	}
}
