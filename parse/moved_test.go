package parse

import "testing"

// The square of lines 6 to 8 is moved before line 4: its moves come first, with the numbers that their lines have, and
// the first rapid, from a place that is not known, is none.
func TestLinesMoved(t *testing.T) {
	src := "G21 G90 G94 F600\r\nT1 M6\nG0 Z5\nG0 X50 Y0\nG1 Z-1\nG0 Z5\nG0 X10 Y10\nG1 Z-2\nM5\nM30\n"
	p := Read([]byte(src), Options{Name: "a.nc"})
	q := p.WithLinesMoved([][2]int{{6, 8}}, 4)
	type at struct {
		line int32
		end  Point
	}
	want := []at{{8, Point{10, 10, -2}}, {4, Point{50, 0, -2}}, {5, Point{50, 0, -1}}} // by hand
	if q.Moves.Len() != len(want) {
		t.Fatalf("%d moves, want %d", q.Moves.Len(), len(want))
	}
	for i, w := range want {
		if m := q.Moves.At(i); m.Line != w.line || m.End != w.end {
			t.Errorf("move %d: line %d to %v, want line %d to %v", i, m.Line, m.End, w.line, w.end)
		}
	}
	if q.Stops[len(q.Stops)-1].Line != 10 || q.ToolCalls[0].Line != 2 {
		t.Errorf("stops %v, tools %v", q.Stops, q.ToolCalls)
	}
	p.DropText()
	if p.WithLinesMoved([][2]int{{6, 8}}, 4) != nil {
		t.Error("without its text a program is read again")
	}
}

// Lines 5 and 6 are typed anew: the moves of the new lines have the numbers that are given for them.
func TestLinesReplaced(t *testing.T) {
	src := "G21 G90 G94 F600\nT1 M6\nG0 X0 Y0 Z5\nG1 Z-1\nX10\nY10\nX20\nM30\n"
	q := Read([]byte(src), Options{Name: "a.nc"}).WithLinesReplaced([][2]int{{5, 6}},
		[]Retyped{{[]string{"G1 Y10", "X10", "Y12"}, []int{5, 6, 6}}})
	want := []struct {
		line int32
		end  Point
	}{{4, Point{0, 0, -1}}, {5, Point{0, 10, -1}}, {6, Point{10, 10, -1}}, {6, Point{10, 12, -1}},
		{7, Point{20, 12, -1}}} // by hand
	if q.Moves.Len() != len(want) {
		t.Fatalf("%d moves, want %d", q.Moves.Len(), len(want))
	}
	for i, w := range want {
		if m := q.Moves.At(i); m.Line != w.line || m.End != w.end {
			t.Errorf("move %d: line %d to %v, want line %d to %v", i, m.Line, m.End, w.line, w.end)
		}
	}
}
