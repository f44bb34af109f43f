package parse

import (
	"testing"
)

// An edit that changes nothing gives the program again; one that puts moves in keeps stops and tools where they were.
func TestEditedProgram(t *testing.T) {
	src := "G21 G90 G94\nT1 M6\nS9000 M3\nG0 X0 Y0 Z5\nG1 Z-2 F300\nX10 F600\nM0\nG2 X20 I5\nG0 Z5\nT2 M6\nG0 " +
		"X0\nG1 Z-1 F100\nM30\n"
	p := Read([]byte(src), Options{Name: "a.nc", RapidMMMin: 6000})
	same := func() (out []Edited) {
		for i, m := range p.Moves.All() {
			out = append(out, Edited{Move: m, From: i})
		}
		return out
	}
	q := p.Edit(same())
	if q.Moves.Len() != p.Moves.Len() || q.DurationS != p.DurationS || q.CutLengthMM != p.CutLengthMM {
		t.Fatalf("%d moves, %g s, %g mm; want %d, %g, %g", q.Moves.Len(), q.DurationS, q.CutLengthMM, p.Moves.Len(),
			p.DurationS, p.CutLengthMM)
	}
	for i, m := range p.Moves.All() {
		if q.Moves.At(i) != m {
			t.Errorf("move %d: %+v, want %+v", i, q.Moves.At(i), m)
		}
	}
	// The cut of line 6 is made twice, first ending 1 mm higher: by hand sqrt(101) mm more.
	var list []Edited
	for _, m := range same() {
		if m.Line == 6 {
			high := m
			high.Changed = true
			high.End.Z++
			back := high
			back.Kind, back.End = Rapid, m.Start
			list = append(list, high, back)
		}
		list = append(list, m)
	}
	r := p.Edit(list)
	if got, want := r.Moves.Len(), p.Moves.Len()+2; got != want {
		t.Fatalf("%d moves, want %d", got, want)
	}
	for i := 1; i < r.Moves.Len(); i++ {
		if r.Moves.At(i).Start != r.Moves.At(i-1).End {
			t.Errorf("move %d does not begin where the one before it ends", i)
		}
	}
	if r.Stops[0].Move != p.Stops[0].Move+2 || r.ToolCalls[0].Move != p.ToolCalls[0].Move ||
		r.ToolCalls[1].Move != p.ToolCalls[1].Move+2 {
		t.Errorf("stops %v, tools %v; were %v, %v", r.Stops, r.ToolCalls, p.Stops, p.ToolCalls)
	}
	if more := r.CutLengthMM - p.CutLengthMM; more < 10 || more > 10.1 {
		t.Errorf("%g mm more to cut, want sqrt(101) = 10.05", more)
	}
}
