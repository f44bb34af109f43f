package parse

import (
	"reflect"
	"testing"
)

// Coolant takes effect before the motion of its block (NIST RS274NGC v3, table 8), stays on through a tool change
// (3.6.3) and goes off with the program (3.6.1). A code that changes nothing is none.
func TestCoolantChanges(t *testing.T) {
	for _, c := range []struct {
		name, program string
		want          []CoolantChange
	}{
		{"none", "G21 G1 X1 F60 | M9 | M30", nil},
		{"flood", "G21 F60 | M8 | G1 X1 | M9 | M30", []CoolantChange{{false, true, 2, 0},
			{false, false, 4, 1}}},
		{"mist, then flood as well", "G21 F60 | G1 X1 M7 | X2 M08 | X3 | M9 X4 | M30",
			[]CoolantChange{{true, false, 2, 0}, {true, true, 3, 1}, {false, false, 5, 3}}},
		{"both in one block", "G21 F60 | M7 M8 | G1 X1 | M30", []CoolantChange{{true, true, 2, 0},
			{false, false, 4, 1}}},
		{"through a tool change", "G21 F60 T1 M6 M8 | G1 X1 | T2 M6 | M8 | X2 | M2",
			[]CoolantChange{{false, true, 1, 0}, {false, false, 6, 2}}},
		{"in a subprogram", "G21 F60 | M98 P1 | M30 | O1 | M8 | G1 X1 | M9 | M99",
			[]CoolantChange{{false, true, 5, 0}, {false, false, 7, 1}}},
		{"in a block whose motion cannot be read", "G21 F60 | G1 X[1/0] M8 | X1 | M30",
			[]CoolantChange{{false, true, 2, 0}, {false, false, 4, 1}}},
	} {
		if p := read(t, c.program); !reflect.DeepEqual(p.Coolant, c.want) {
			t.Errorf("%s: %+v, want %+v", c.name, p.Coolant, c.want)
		}
	}
	// The first rapid turns out to be none: what points behind it follows.
	p := Read(blocksOf("G21 G0 X1 Y1 Z1 | M8 | G1 Z0 F60 | M9 | M30"), Options{})
	if want := []CoolantChange{{false, true, 2, 0}, {false, false, 4, 1}}; !reflect.DeepEqual(p.Coolant,
		want) {
		t.Errorf("behind a move taken out: %+v, want %+v", p.Coolant, want)
	}
}
