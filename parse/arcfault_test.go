package parse

import (
	"fmt"
	"math"
	"strings"
	"testing"
)

// quarters is a circle of radius 5 about X50 Y40 in four arcs, n times, its centers written as places.
func quarters(n int) string {
	var b strings.Builder
	b.WriteString("G21 G0 X55 Y40 Z0 F600\n")
	for range n {
		for _, end := range [][2]int{{50, 45}, {45, 40}, {50, 35}, {55, 40}} {
			fmt.Fprintf(&b, "G3 X%d Y%d I50 J40\n", end[0], end[1])
		}
	}
	return b.String() + "M30\n"
}

// Arcs with absolute centers (G90.1: common practice, no source). As increments they are out of round: the first one,
// from X55 Y40 to X50 Y45, has its center at X105 Y80, by hand hypot(50, 40) = 64.031 from its start and hypot(55, 35)
// = 65.192 from its end.
func TestArcsInRoundOnlyWithAbsoluteCentres(t *testing.T) {
	p := read(t, quarters(30))
	u := unreadNotes(p)
	if len(u) != 1 || !strings.Contains(u[0].Message, "120 arcs, the last in line 121, are in round only when I, J "+
		"and K are absolute") ||
		!strings.Contains(u[0].Message, `[machine] arc_centres = "absolute"`) || u[0].Pos.Line != 2 {
		t.Fatalf("%v", u)
	}
	p = read(t, quarters(30), func(o *Options) { o.ArcCentresAbsolute = true })
	if u := unreadNotes(p); len(u) > 0 || !near(feedLen(p), 30*10*math.Pi, 1e-6) {
		t.Errorf("with absolute centers: feeds along %.4f mm, want 300 pi; %v", feedLen(p), u)
	}
	// One whose increment happens to be 0 has its center on its start.
	u = unreadNotes(read(t, "G21 G0 X5 Y0 F600 | G3 X0 Y5 I0 J0 | M30"))
	if len(u) != 1 || !strings.Contains(u[0].Message, "the arc is in round only when I, J and K are absolute") {
		t.Errorf("centre at zero: %v", u)
	}
}

func TestArcsInRoundOnlyFromTheirStart(t *testing.T) {
	const program = "G21 G0 X55 Y40 F600 | G3 X50 Y45 I-5 J0 | X45 Y40 I0 J-5 | M30"
	absolute := func(o *Options) { o.ArcCentresAbsolute = true }
	u := unreadNotes(read(t, program, absolute))
	if len(u) != 1 || !strings.Contains(u[0].Message, "2 arcs, the last in line 3, are in round only when I, J and "+
		"K count from the start") {
		t.Errorf("%v", u)
	}
	if u := unreadNotes(read(t, "G91.1 "+program, absolute)); len(u) > 0 {
		t.Errorf("the program's own G91.1: %v", u)
	}
	if u := unreadNotes(read(t, "G90.1 "+strings.Replace(program, "I-5 J0", "I50", 1))); len(u) == 0 ||
		!strings.Contains(u[0].Message, "without J") {
		t.Errorf("half a place: %v", u)
	}
}

func TestManyArcsOutOfRoundAreOneNote(t *testing.T) {
	u := unreadNotes(read(t, "G21 F600 | G2 X10.5 I5 | G1 X0"+strings.Repeat(" | G2 X11 I5 | G1 X0", 250)+" | M30"))
	if len(u) != 1 || !strings.Contains(u[0].Message,
		"start and end radius of 251 arcs, the last in line 502, differ, the worst, in "+
			"line 4, by 1 mm (radius 5 mm at its start, 6 mm at its end)") {
		t.Errorf("%v", u)
	}
}
