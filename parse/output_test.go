package parse

import (
	"fmt"
	"strings"
	"testing"
)

// What an M code of the machine switches is for the job to say: those it lists are told with their place, all others
// are not read (this package).
func TestOutputs(t *testing.T) {
	job := func(o *Options) {
		o.Outputs = []Output{{62, 3}, {62, NoP}, {88, NoP}}
		o.HarmlessM = []int{131}
	}
	p := read(t, "G21 G0 X1 | M62 P3 G0 X2 | M131 M62 P5 | M88 | G0 X3 | M63 P3 | M62 | M30", job)
	want := "[{M62 P3 1} {M62 2} {M88 2} {M62 3}]"
	if got := fmt.Sprint(p.Outputs); got != want {
		t.Errorf("outputs %v, want %v", got, want)
	}
	if u := unreadNotes(p); len(u) != 1 || u[0].Pos.Line != 6 || !strings.Contains(u[0].Message, "[machine.output]") {
		t.Errorf("unread: %v", u)
	}
	// Beside codes that are read the block is read.
	p = read(t, "G21 M3 S500 M62 P3 G1 X2 F60 | M30", job)
	if len(unreadNotes(p)) > 0 || len(p.Outputs) != 1 || p.Moves.At(0).RPM != 500 {
		t.Errorf("%v %+v", p.Notes, p.Outputs)
	}
}
