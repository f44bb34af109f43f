package parse

import "testing"

// Most posts end with "G91 G28 Z0" (common practice, no source): heights of the cuts before it stay the numbers of the
// program. A cut under G91 does not.
func TestTheWayHomeDoesNotMoveZ(t *testing.T) {
	for text, moved := range map[string]bool{
		"G21 G90\nG0 Z5\nG1 X10 Z-1 F500\nG91 G28 Z0\nG28 X0 Y0\nG90\nM30\n": false,
		"G21 G90\nG0 Z5\nG1 X10 Z-1 F500\nG28 G91 Z0\nM30\n":                 false,
		"G21 G90\nG0 Z5\nG1 X10 Z-1 F500\nG91 G28 Z0\nG1 X10\nG90\nM30\n":    true,
		"G21 G90\nG0 Z5\nG1 X10 Z-1 F500\nG91 G0 Z6\nG28 Z0\nG90\nM30\n":     true,
		"G21 G90\nG52 Z5\nG0 Z5\nG1 X10 Z-1 F500\nG91 G28 Z0\nG90\nM30":      true,
	} {
		if p := Read([]byte(text), Options{Name: "a.nc"}); p.MovedZ != moved {
			t.Errorf("moved is %v, want %v:\n%s", p.MovedZ, moved, text)
		}
	}
}
