package parse

import (
	"fmt"
	"math"
	"testing"
)

// z lists kinds and heights of moves that change only Z: r down or up by rapid, f by feed, d for a dwell.
func profile(p *Program) string {
	s := ""
	for _, m := range p.Moves.All() {
		switch {
		case m.Kind == Dwell:
			s += fmt.Sprintf("d%g ", m.DurationS)
		case m.Start.X != m.End.X || m.Start.Y != m.End.Y:
			s += fmt.Sprintf("(%g,%g) ", m.End.X, m.End.Y)
		default:
			s += fmt.Sprintf("%c%g", "rf"[m.Kind], m.End.Z)
			if m.Spindle != SpindleClockwise {
				s += [...]string{"-", "0"}[m.Spindle+1]
			}
			s += " "
		}
	}
	return s
}

// The sequences are those of NIST RS274NGC v3, 3.5.16.1 to 3.5.16.10; G73 is common practice, no source.
func TestCycles(t *testing.T) {
	const start = "M3 S500 F100 | G0 Z10 | "
	for _, c := range []struct {
		name, program, want string
	}{
		{"G81, G98", "G98 G81 X1 Z-2 R3", "(1,0) r3 f-2 r10 "},
		{"G81, G99", "G99 G81 X1 Z-2 R3", "(1,0) r3 f-2 r3 "},
		{"G82", "G99 G82 X1 Z-2 R3 P0.5", "(1,0) r3 f-2 d0.5 r3 "},
		{"G83", "G98 G83 X1 Z-2 R1 Q1.5", "(1,0) r1 f-0.5 r10 r-0.246 f-2 r10 "},
		{"G73", "G99 G73 X1 Z-2 R1 Q1.5", "(1,0) r1 f-0.5 r-0.246 f-2 r1 "},
		{"G84", "G99 G84 X1 Z-2 R3", "(1,0) r3 f-2 f3- "},
		{"G85", "G99 G85 X1 Z-2 R3", "(1,0) r3 f-2 f3 "},
		{"G86", "G99 G86 X1 Z-2 R3 P1", "(1,0) r3 f-2 d1 r30 "},
		{"G87", "G98 G87 X1 Z-9 R3 I2 J0 K-5", "(1,0) r3 (3,0) r-90 (1,0) f-5 f-9 (3,0) r100 (1,0) "},
		{"G88", "G99 G88 X1 Z-2 R3 P1", "(1,0) r3 f-2 d1 r30 "},
		{"G89", "G99 G89 X1 Z-2 R3 P1", "(1,0) r3 f-2 d1 f3 "},
		{"R and Z hold", "G99 G81 X1 Z-2 R3 | Y1 | X2", "(1,0) r3 f-2 r3 (1,1) f-2 r3 (2,1) f-2 r3 "},
		{"new depth", "G99 G81 X1 Z-2 R3 | X2 Z-4", "(1,0) r3 f-2 r3 (2,0) f-4 r3 "},
		{"new R", "G99 G81 X1 Z-2 R3 | X2 R1", "(1,0) r3 f-2 r3 (2,0) r1 f-2 r1 "},
		{"G98 goes back to where the series began", "G98 G81 X1 Z-2 R3 | G99 X2 | G98 X3",
			"(1,0) r3 f-2 r10 (2,0) r3 f-2 r3 (3,0) f-2 r10 "},
		{"repeats in G91", "G91 G99 G81 X1 Y1 Z-2 R-9 L3", "(1,1) r1 f-1 r1 (2,2) f-1 r1 (3,3) f-1 r1 "},
		{"repeats in G90 drill the same hole", "G99 G81 X1 Z-2 R3 L2", "(1,0) r3 f-2 r3 f-2 r3 "},
		{"L does not hold", "G91 G99 G81 X1 Z-2 R-9 L2 | X5", "(1,0) r1 f-1 r1 (2,0) f-1 r1 (7,0) f-1 r1 "},
		{"L0 drills nothing", "G99 G81 X1 Z-2 R3 L0 | X2", "(2,0) r3 f-2 r3 "},
		{"inches", "G20 G99 G81 X1 Z-0.5 R0.1", "(25.4,0) r2.54 f-12.7 r2.54 "},
		{"last peck even", "G99 G83 X1 Z-2 R1 Q1.5 | G80 | G0 X2", "(1,0) r1 f-0.5 r1 r-0.246 f-2 r1 (2,0) "},
	} {
		t.Run(c.name, func(t *testing.T) {
			p := read(t, start+c.program)
			if u := unreadNotes(p); len(u) > 0 {
				t.Errorf("unread: %v", u)
			}
			if got := profile(p); got != "r10 "+c.want {
				t.Errorf("got  %s\nwant r10 %s", got, c.want)
			}
		})
	}
}

// In the other planes the cycle drills along the plane's normal (NIST RS274NGC v3, 3.5.16).
func TestCyclesInOtherPlanes(t *testing.T) {
	for _, c := range []struct {
		program string
		deepest Point
	}{
		{"G18 G99 G81 Z3 X4 Y-5 R1 F60", Point{4, -5, 3}},
		{"G19 G99 G81 Y3 Z4 X-5 R1 F60", Point{-5, 3, 4}},
	} {
		p := read(t, c.program)
		found := false
		for _, m := range p.Moves.All() {
			found = found || m.Kind == Feed && nearPoint(m.End, c.deepest, 1e-9)
		}
		if !found || len(unreadNotes(p)) > 0 {
			t.Errorf("%s: %+v %v", c.program, p.Moves, p.Notes)
		}
	}
}

// The faults of NIST RS274NGC v3, 3.5.16.
func TestCycleFaults(t *testing.T) {
	for name, program := range map[string]string{
		"no Z":                      "G81 X1 R1 F60",
		"other cycle needs its own": "G81 X1 Z-1 R1 F60 | G82 X2 P1",
		"no axis":                   "G81 Z-1 R1 F60 | G82",
		"negative repeats":          "G81 X1 Z-1 R1 F60 L-1",
		"broken repeats":            "G81 X1 Z-1 R1 F60 L1.5",
		"too many repeats":          "G91 G81 X1 Z-1 R1 F60 L100000",
		"L and K":                   "G81 X1 Z-1 R1 F60 L2 K2",
		"negative peck":             "G83 X1 Z-1 R1 Q-1 F60",
		"endless pecks":             "G83 X1 Z-1 R1 Q0.00001 F60",
		"negative dwell":            "G82 X1 Z-1 R1 P-1 F60",
		"tapping without spindle":   "G84 X1 Z-1 R1 F60",
		"tapping the other way":     "M4 S100 | G84 X1 Z-1 R1 F60",
		"boring without spindle":    "G86 X1 Z-1 R1 P1 F60",
		"G87 without K":             "M3 S100 | G87 X1 Z-1 R1 I1 J1 F60",
		"compensation":              "G41 D1 G1 X9 F60 | G81 X10 Z-1 R1",
		"no feed":                   "G81 X1 Z-1 R1",
	} {
		if p := read(t, program); len(unreadNotes(p)) == 0 {
			t.Errorf("%s: nothing unread", name)
		}
	}
}

func TestManualRetractStops(t *testing.T) {
	p := read(t, "M3 S500 F100 | G0 Z5 | G88 X1 Z-1 R1 P1")
	if len(p.Stops) != 1 || p.Stops[0].Line != 3 {
		t.Errorf("%+v", p.Stops)
	}
}

// Eight holes on a circle of radius 20, each 45 degrees on from the last: the place of every one, so that a circle
// walked the other way round is told from this one (common practice, no source).
func TestBoltCircle(t *testing.T) {
	p := read(t, "G0 Z5 | G16 | G98 G81 X20 G91 Y45 G90 R5 Z-5 F800 K8 | G15")
	hole := 0
	for _, m := range p.Moves.All() {
		if m.Kind != Feed {
			continue
		}
		hole++
		sin, cos := math.Sincos(float64(hole) * math.Pi / 4)
		if want := (Point{20 * cos, 20 * sin, -5}); !nearPoint(m.End, want, 1e-9) {
			t.Errorf("hole %d at %v, want %v", hole, m.End, want)
		}
	}
	if hole != 8 {
		t.Errorf("%d holes, want 8", hole)
	}
}
