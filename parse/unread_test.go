package parse

import (
	"bytes"
	"fmt"
	"os"
	"strings"
	"testing"
)

// deep is a program whose subprograms call one another in a chain of the given length.
func deep(calls int) string {
	var b strings.Builder
	b.WriteString("M98 P1 | M30")
	for i := 1; i < calls; i++ {
		fmt.Fprintf(&b, " | O%d | M98 P%d | M99", i, i+1)
	}
	fmt.Fprintf(&b, " | O%d | G4 P0 | M99", calls)
	return b.String()
}

// What cannot be followed is never passed over in silence: a program that cannot be fully read is never called held
// (README). The machine's zero is not known here.
func TestWhatCannotBeFollowedIsUnread(t *testing.T) {
	files := map[string][]byte{"O7.nc": {0x7f, 'E', 'L', 'F', 0, 0, 0, 0}, "O8.nc": bytes.Repeat([]byte("\n"),
		maxSubBytes+1)}
	for _, c := range []struct {
		name, program string
		line          int
		says          string
	}{
		{"two words behind commas", "G1 X1 F60 ,C1 ,R2 | X5 Y5 | M30", 1, "two words behind commas"},
		{"negative corner", "G1 X5 F60 ,C-1 | X5 Y5 | M30", 1, "negative size behind a comma"},
		{"corner on an arc", "G2 X5 I2.5 F60 ,C1 | G1 X5 Y5 | M30", 1, "without a straight move"},
		{"corner on a dwell", "G4 P1 ,C1 | M30", 1, "without a straight move"},
		{"corner on a rapid", "G0 X5 ,C1 | G1 X5 Y5 F60 | M30", 1, "another move than a plain G1"},
		{"vertical arc under compensation", "T1 M6 | G41 D1 | G1 X10 F60 | G18 G2 X20 Z0 I5 K0 | M30", 4,
			"outside the XY plane under cutter radius compensation"},
		{"increment from a place not known", "G28 X0 | G91 G1 X5 F60 | M30", 2,
			"from a machine place that is not known"},
		{"shift at a place not known", "G28 X0 | G92 X5 | G1 X3 F60 | M30", 2, "G92 at a machine place that is not " +
			"known"},
		{"number beyond all sizes", "G1 X99999999999999999999 F60 | M30", 1, "too large a number"},
		{"subprogram that is nowhere", "M98 P4711 | M30", 1, "O4711 is not found"},
		{"subprogram that is no text", "M98 P7 | M30", 1, "is not read"},
		{"subprogram without end", "M98 P8 | M30", 1, "bytes; it is not read"},
		{"chain of subprograms", deep(maxSubDepth + 1), 2 + 3*maxSubDepth - 1, "deep; reading stops here"},
	} {
		p := read(t, c.program, func(o *Options) {
			o.MachineZero, o.start = nil, nil
			o.OpenSub = func(name string) ([]byte, error) {
				if data, ok := files[name]; ok {
					return data, nil
				}
				return nil, os.ErrNotExist
			}
		})
		found := false
		for _, n := range unreadNotes(p) {
			found = found || n.Pos.Line == c.line && strings.Contains(n.Message, c.says)
		}
		if !found {
			t.Errorf("%s: %v, want %q in line %d", c.name, p.Notes, c.says, c.line)
		}
	}
	if p := read(t, deep(maxSubDepth)); len(unreadNotes(p)) > 0 {
		t.Errorf("a chain of %d subprograms: %v", maxSubDepth, p.Notes)
	}
}
