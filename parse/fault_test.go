package parse

import (
	"strings"
	"testing"
)

// Faults that the tables of check programs do not hold: each is noted, and what follows is read.
func TestFaults(t *testing.T) {
	for _, c := range []struct{ program, want, source string }{
		{"G1 X1 F-5", "negative feed", "NIST RS274NGC v3, 3.5.19"},
		{"S-5", "negative spindle speed", "NIST RS274NGC v3, 3.7"},
		{"T-1", "not a tool's number", "NIST RS274NGC v3, 3.7.3"},
		{"T-1.5", "not a tool's number", "NIST RS274NGC v3, 3.7.3"},
		{"M6", "without a T", "common practice, no source"},
		{"M3 M4", "one group", "NIST RS274NGC v3, 3.3.5"},
		{"M3 M3", "", "common practice, no source"},
		{"M7 M8", "", "common practice, no source"},
		{"G17 G18", "one group", "NIST RS274NGC v3, 3.3.5"},
		{"G0 G1 X1", "one group", "NIST RS274NGC v3, 3.3.5"},
		{"G1.23 X1", "not understood", "NIST RS274NGC v3, table 4"},
		{"G5.1 Q1", "", "common practice, no source"},
		{"G5.1 X1 Y1 I1 J1", "a spline", "published extension of RS274/NGC"},
		{"G5 X1 Y1 I1 J1 P1 Q1", "a spline", "published extension of RS274/NGC"},
		{"G5 P10000", "", "common practice, no source"},
		{"G8 P1 G5.1 Q0", "", "common practice, no source"},
		{"G187 P2 E0.05", "", "common practice, no source"},
		{"G22 X9 Y9 Z9 I0 J0 K0", "", "common practice, no source"},
		{"G23 G25 G26 G67 G13.1 G40.1", "", "common practice, no source"},
		{"G62 G4 P0", "", "common practice, no source"},
		{"M13 S500", "", "common practice, no source"},
		{"M88", "", "common practice, no source"},
		{"M50 P0", "", "published extension of RS274/NGC"},
		{"M51", "harmless_m = [51]", "common practice, no source"},
		{"M66 P0 L3 Q2", "", "published extension of RS274/NGC"},
		{"M61 Q3", "", "published extension of RS274/NGC"},
		{"M61", "without the number of a tool", "published extension of RS274/NGC"},
		{"M77", "harmless_m = [77]", "this package"},
		{"G1 X1,5 F60", "decimal comma", "common practice, no source"},
		{"G4 F2.", "", "common practice, no source"},
		{"G12 I5", "no feed", "common practice, no source"},
		{"G13 K5 F60", "without I", "common practice, no source"},
		{"G13 I5 K9 F60", "no fitting Q", "common practice, no source"},
		{"G13 I2 D1 F60", "not smaller than that of the first circle", "common practice, no source"},
		{"G13 I5 X1 F60", "go to the middle", "common practice, no source"},
		{"G18 G13 I5 F60", "outside the XY plane", "common practice, no source"},
		{"G10 L20 P99 X1", "without P from 1 to 9", "published extension of RS274/NGC"},
		{"G10 L3 P1", "G10 L3", "published extension of RS274/NGC"},
		{"G41.1 G1 X9 F60", "without D", "published extension of RS274/NGC"},
		{"G65 P9 A1", "O9 is not found", "common practice, no source"},
		{"G65 A1", "without P", "common practice, no source"},
		{"#0=1", "#0 cannot be set", "NIST RS274NGC v3, 3.3.3"},
		{"#1101=1", "[machine.output]", "common practice, no source"},
		{"G1.000005 X1 F9", "", "NIST RS274NGC v3, 3.3.2.1"},
		{"M3.5", "not understood", "NIST RS274NGC v3, table 7"},
		{"G4 P1 G1 X1 F9", "", "NIST RS274NGC v3, 3.4"},
		{"G64 P-1", "negative tolerance", "common practice, no source"},
		{"G95 G1 X1 F1", "a stopped spindle", "common practice, no source"},
		{"G1 X1 F9 R3", "taken by no code", "NIST RS274NGC v3, 3.3.5"},
		{"G1 X1 F9 L3", "taken by no code", "NIST RS274NGC v3, 3.3.5"},
		{"G1 X1 F9 I3", "taken by no code", "NIST RS274NGC v3, 3.3.5"},
		{"G1 X1 F9 I0", "", "common practice, no source"},
		{"G1 U1 F9", "word U", "NIST RS274NGC v3, table 3"},
		{"U2 G4", "", "common practice, no source"},
		{"G1 E1 F9", "word E", "NIST RS274NGC v3, table 3"},
		{"G0 X1 N5", "behind a word", "NIST RS274NGC v3, 3.3.1"},
		{"N5.5 G0 X1", "decimal point", "NIST RS274NGC v3, 3.3.1"},
		{"N5 N6 G0 X1", "behind a word", "NIST RS274NGC v3, 3.3.1"},
		{"G0 X1 O5", "behind a word", "common practice, no source"},
		{"#1", "neither set nor used", "NIST RS274NGC v3, 3.3.3"},
		{"#1=", "no number", "NIST RS274NGC v3, 3.3.3"},
		{"G2 X10 R5 I1 F9", "keep one form", "NIST RS274NGC v3, 3.5.3"},
		{"G2 X10 R5 I0 F9", "", "common practice, no source"},
		{"G2 X10 R5 K2 F9", "this plane", "NIST RS274NGC v3, 3.5.3"},
		{"G2 X0 Y0 R5 F9", "ends where it starts", "NIST RS274NGC v3, 3.5.3.1"},
		{"G2 X10 I0 J0 F9", "center of the arc", "NIST RS274NGC v3, 3.5.3.2"},
		{"G90.1 G2 X10 I5 F9", "without J", "common practice, no source"},
		{"G2 X10.001 R5 F9", "", "common practice, no source"},
		{"G2 X10 R5 P1.5 F9", "turns", "common practice, no source"},
		{"G38.2 Z-5 F9", "stops where it touches", "NIST RS274NGC v3, 3.5.9"},
		{"G38.2 F9", "without axis words", "NIST RS274NGC v3, 3.5.9.1"},
		{"G93 G38.2 Z-5 F9", "under G93", "NIST RS274NGC v3, 3.5.9.1"},
		{"G92.1 G92.2", "one group", "NIST RS274NGC v3, 3.3.5"},
		{"G50 G69 G15 G97 G9 G50.1", "", "common practice, no source"},
		{"G51.1 X0", "mirroring", "common practice, no source"},
		{"M19", "", "common practice, no source"},
		{"M77 P5 Q6", "M77", "common practice, no source"},
		{"!", "not allowed", "NIST RS274NGC v3, 3.3"},
		{"G0 X1)", "not allowed", "NIST RS274NGC v3, 3.3"},
		{"(a (b) c) G4 P0", "", "common practice, no source"},
		{"H1 P2 D-1", "", "common practice, no source"},
		{"(nothing but a comment)", "no blocks", "this package"},
	} {
		p := read(t, c.program+" | ")
		var unread string
		for _, n := range unreadNotes(p) {
			unread += n.Message + "\n"
		}
		if c.want == "" && unread != "" || !strings.Contains(unread, c.want) {
			t.Errorf("%s: unread %q, want %q (%s)", c.program, unread, c.want, c.source)
		}
		// What follows is read all the same.
		p = read(t, c.program+" | G17 G94 G40 | G0 X77 Y1 Z1")
		if p.Blocks > 1 && !nearPoint(endOf(p), Point{77, 1, 1}, 1e-9) && !strings.Contains(c.program, "G51") &&
			!strings.Contains(c.program, "G92") {
			t.Errorf("%s: the block behind ends at %v", c.program, endOf(p))
		}
	}
}

func TestHarmlessM(t *testing.T) {
	know := func(o *Options) { o.HarmlessM = []int{62, 131} }
	if p := read(t, "M62 P0 | M131 | G1 X1 F60", know); len(unreadNotes(p)) > 0 {
		t.Errorf("%v", p.Notes)
	}
	if p := read(t, "M63 P0", know); len(unreadNotes(p)) != 1 {
		t.Errorf("%v", p.Notes)
	}
}

// Under inverse time the corner between two offset moves is rounded at the feed of the move behind it.
func TestCornerFeedInInverseTime(t *testing.T) {
	p := read(t, "G0 X-10 Y-10 | G42 D1 G93 G1 X0 Y0 F10 | X50 F10 | Y50 F10")
	if u := unreadNotes(p); len(u) > 0 {
		t.Fatal(u)
	}
	last, corner := p.Moves.At(p.Moves.Len()-1), p.Moves.At(p.Moves.Len()-2)
	if corner.Kind != Arc || !near(corner.FeedMMMin, last.FeedMMMin, 1e-9) || !near(last.FeedMMMin, 500, 1e-9) {
		t.Errorf("%+v\n%+v", corner, last)
	}
}

func TestPositions(t *testing.T) {
	for want, p := range map[string]Pos{"a.nc:3:4": {"a.nc", 3, 4}, "a.nc:3": {"a.nc", 3, 0}, "a.nc": {"a.nc", 0, 0}} {
		if p.String() != want {
			t.Errorf("%q, want %q", p.String(), want)
		}
	}
}
