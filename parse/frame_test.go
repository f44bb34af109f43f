package parse

import (
	"math"
	"strings"
	"testing"
)

// Work systems, offsets and rotations, worked out by hand from work to machine: origin + G92 + G52 + turned place.
func TestFrames(t *testing.T) {
	for _, c := range []struct {
		name, program string
		end           Point
		source        string
	}{
		{"G55 set by G10", "G10 L2 P2 X100 Y50 Z-5 | G55 | G1 X1 Y2 Z3 F60", Point{101, 52, -2},
			"NIST RS274NGC v3, 3.5.5"},
		{"G59.3", "G10 L2 P9 X7 | G59.3 G1 X1 F60", Point{8, 0, 0}, "NIST RS274NGC v3, 3.5.13"},
		{"setting another system moves nothing", "G10 L2 P2 X100 | G1 X1 F60", Point{1, 0, 0},
			"NIST RS274NGC v3, 3.5.5"},
		{"G92 survives G10", "G92 X10 | G10 L2 P1 X5 | G1 X10 F60", Point{5, 0, 0}, "NIST RS274NGC v3, 3.5.5"},
		{"G92 shifts all systems", "G92 X10 | G55 G1 X10 F60", Point{0, 0, 0}, "NIST RS274NGC v3, 3.5.18"},
		{"G92 twice adds up", "G1 X5 F60 | G92 X0 | G1 X5 | G92 X0 | G1 X1", Point{11, 0, 0},
			"NIST RS274NGC v3, 3.5.18"},
		{"G92.1 clears", "G1 X5 F60 | G92 X0 | G92.1 | G1 X1", Point{1, 0, 0}, "NIST RS274NGC v3, 3.5.18"},
		{"G92.2 then G92.3 by parameters", "#5211=4 | G92.3 | G1 X1 F60", Point{5, 0, 0}, "NIST RS274NGC v3, 3.5.18"},
		{"G52 clears", "G52 X20 Y30 | G52 X0 Y0 | G1 X1 Y1 F60", Point{1, 1, 0}, "common practice, no source"},
		{"G52 keeps unnamed axes", "G52 X20 Y30 | G52 X1 | G1 X0 Y0 F60", Point{1, 30, 0},
			"common practice, no source"},
		{"G68 about a point", "G68 X10 Y0 R90 | G1 X20 Y0 F60", Point{10, 10, 0}, "common practice, no source"},
		{"G68 about the place of the tool", "G1 X10 F60 | G68 R90 | G1 X20 Y0", Point{10, 10, 0},
			"common practice, no source"},
		{"G69", "G68 X0 Y0 R90 | G69 | G1 X20 F60", Point{20, 0, 0}, "common practice, no source"},
		{"G68 and increments", "G68 X0 Y0 R90 | G91 G1 X20 F60 | Y5", Point{-5, 20, 0}, "common practice, no source"},
		{"G68 in G18", "G18 G68 X0 Z0 R90 | G1 Z10 F60", Point{10, 0, 0}, "common practice, no source"},
		{"G16", "G16 | G1 X10 Y30 F60", Point{10 * math.Sqrt(3) / 2, 5, 0}, "common practice, no source"},
		{"G16 keeps the radius", "G16 | G1 X10 Y30 F60 | Y90", Point{0, 10, 0}, "common practice, no source"},
		{"G16, angle in G91", "G16 | G1 X10 Y30 F60 | G91 Y60", Point{0, 10, 0}, "common practice, no source"},
		{"G16, angle in G91 the other way", "G16 | G1 X10 Y30 F60 | G91 Y-120", Point{0, -10, 0},
			"common practice, no source"},
		{"G16 in G18", "G18 G16 | G1 Z10 X90 F60", Point{10, 0, 0}, "common practice, no source"},
		{"G53 in inches", "G20 | G10 L2 P1 X1 | G53 G0 X1", Point{25.4, 0, 0}, "NIST RS274NGC v3, 3.5.12"},
		{"G53 is absolute", "G91 G0 X5 | G53 G0 X1", Point{1, 0, 0}, "NIST RS274NGC v3, 3.5.12"},
		{"home by parameters", "#5161=3 #5163=9 | G28", Point{3, 0, 9}, "NIST RS274NGC v3, 3.2.1 and 3.5.8"},
		{"G30", "#5181=3 | G30", Point{3, 0, 0}, "NIST RS274NGC v3, 3.5.8"},
		{"number of the system", "G55 | G1 X#5220 F60", Point{2, 0, 0}, "NIST RS274NGC v3, 3.2.1"},
		{"origin as a parameter", "G10 L2 P3 Y7 | G1 X#5262 F60", Point{7, 0, 0}, "NIST RS274NGC v3, 3.2.1"},
	} {
		p := read(t, c.program)
		if u := unreadNotes(p); len(u) > 0 {
			t.Errorf("%s: unread: %v", c.name, u)
		}
		if !nearPoint(endOf(p), c.end, 1e-9) && p.Moves.Len() > 0 || p.Moves.Len() == 0 && c.end != (Point{}) {
			t.Errorf("%s: ends at %v, want %v (%s)", c.name, endOf(p), c.end, c.source)
		}
	}
}

// An arc under G68 is the same arc, turned: a quarter circle of radius 5 about (5,0), turned by 90 degrees, is one
// about (0,5).
func TestArcUnderRotation(t *testing.T) { // common practice, no source
	p := read(t, "G68 X0 Y0 R90 | G2 X5 Y5 I5 J0 F60")
	if p.Moves.Len() != 1 {
		t.Fatal(p.Moves, p.Notes)
	}
	m := p.Moves.At(0)
	if !nearPoint(m.Centre, Point{0, 5, 0}, 1e-9) || !nearPoint(m.End, Point{-5, 5, 0}, 1e-9) ||
		!near(m.TurnRad, -math.Pi/2, 1e-9) {
		t.Errorf("%+v", m)
	}
}

func TestFrameFaults(t *testing.T) {
	for name, program := range map[string]string{
		"G10 without P":      "G10 L2 X5",
		"G10 P10":            "G10 L2 P10 X5",
		"G10 of a tool":      "G10 L3 P1 R5",
		"G10 turned":         "G10 L2 P1 X5 R30",
		"G10 in G91":         "G91 G10 L2 P1 X5",
		"G52 without axes":   "G52",
		"G92 without axes":   "G92",
		"G68 without R":      "G68 X0 Y0",
		"G68 in G91":         "G91 G68 X0 Y0 R30",
		"arc in other plane": "G68 X0 Y0 R30 | G18 G2 X10 Z0 I5 K0 F60",
		"hole, other plane":  "G68 X0 Y0 R30 | G18 G81 X1 Z1 Y-1 R1 F60",
		"polar radius, G91":  "G16 G91 | G1 X5 Y30 F60",
		"G53 with an arc":    "G2 X10 R5 F60 | G53 X0",
		"G53 without axes":   "G53 G0",
		"G54.1 without P":    "G54.1 | G1 X1 F60",
		"G30 P3":             "G30 P3",
	} {
		if p := read(t, program); len(unreadNotes(p)) == 0 {
			t.Errorf("%s: nothing unread", name)
		}
	}
}

// Where the origins of the work systems are not known, one system is taken for the coordinates of the stock and a
// second cannot be placed.
func TestUnknownOrigins(t *testing.T) {
	bare := func(o *Options) { o.Origins, o.MachineZero = nil, nil }
	one := read(t, "G55 | G1 X5 F60 | X6", bare)
	if len(unreadNotes(one)) > 0 || !nearPoint(endOf(one), Point{6, 0, 0}, 0) {
		t.Errorf("one system: %v %v", endOf(one), one.Notes)
	}
	two := read(t, "G54 G1 X5 F60 | G55 X6 | X7 | G54 X8", bare)
	if u := unreadNotes(two); len(u) != 1 || u[0].Pos.Line != 2 || !strings.Contains(u[0].Message, "G55") {
		t.Errorf("two systems: %v", two.Notes)
	}
	selected := read(t, "G55 | G54 G1 X5 F60", bare)
	if len(unreadNotes(selected)) > 0 {
		t.Errorf("a system without moves: %v", selected.Notes)
	}
	// The program itself says where its systems lie, one to another: only the difference matters.
	g10 := read(t, "G10 L2 P1 X100 Y100 Z-300 | G10 L2 P2 X400 Y100 Z-310 | G54 G1 X5 F60 | G55 G1 X5 Y0 Z0", bare)
	if len(unreadNotes(g10)) > 0 || !nearPoint(endOf(g10), Point{305, 0, -10}, 1e-9) {
		t.Errorf("by G10: %v %v", endOf(g10), g10.Notes)
	}
	later := read(t, "G55 | G10 L2 P1 X100 Y100 Z-300 | G10 L2 P2 X400 Y100 Z-310 | G54 G1 X5 Y0 Z0 F60 | G55 G1 X5 "+
		"Y0 Z0", bare)
	if len(unreadNotes(later)) > 0 || !nearPoint(endOf(later), Point{5, 0, 0}, 1e-9) ||
		later.Moves.At(0).End != (Point{-295, 0, 10}) {
		t.Errorf("by G10, G55 first: %+v %v", later.Moves, later.Notes)
	}
	// Cut in first and moved afterwards, by nobody knows how much: common practice, no source.
	for _, program := range []string{"G54 G1 X5 F60 | G10 L2 P1 Z-1 | X6", "G54 G1 X5 F60 | #5223=-1 | X6"} {
		moved := read(t, program, bare)
		if u := unreadNotes(moved); len(u) != 1 || u[0].Pos.Line != 2 {
			t.Errorf("%s: %v", program, moved.Notes)
		}
	}
	again := read(t, "G10 L2 P1 Z0 | G54 G1 X5 F60 | G10 L2 P1 Z-1 | Z0", bare)
	if len(unreadNotes(again)) > 0 || !nearPoint(endOf(again), Point{5, 0, -1}, 1e-9) {
		t.Errorf("by two G10: %v %v", endOf(again), again.Notes)
	}
	// With some origins given, a system without one cannot be placed, be it the only one.
	given := read(t, "G55 G1 X5 F60", func(o *Options) { o.Origins = map[string]Point{"G54": {}} })
	if len(unreadNotes(given)) != 1 {
		t.Errorf("given: %v", given.Notes)
	}
	extended := read(t, "G54.1 P7 G1 X5 F60", func(o *Options) {
		o.Origins = map[string]Point{"G54.1 P7": {100, 1,
			2}}
	})
	if len(unreadNotes(extended)) != 0 || !nearPoint(endOf(extended), Point{105, 0, 0}, 0) {
		t.Errorf("extended: %v %v", endOf(extended), extended.Notes)
	}
	known := read(t, "G55 G1 X5 F60", func(o *Options) { o.Origins = map[string]Point{"G55": {100, 1, 2}} })
	if len(unreadNotes(known)) != 0 || !nearPoint(endOf(known), Point{105, 0, 0}, 0) {
		t.Errorf("known: %v %v", endOf(known), known.Notes)
	}
}
