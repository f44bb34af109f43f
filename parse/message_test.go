package parse

import (
	"go/ast"
	"go/parser"
	"go/token"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
)

// Every note says what is wrong, and what was read instead or what to do: two parts with a semicolon between. The
// test looks at the messages in the source, so that none is missed for want of a program that leads to it.
func TestMessagesHaveTwoParts(t *testing.T) {
	set := token.NewFileSet()
	names, err := filepath.Glob("*.go")
	if err != nil {
		t.Fatal(err)
	}
	says := map[string]bool{"unread": true, "lenient": true, "reading": true, "refuse": true, "fail": true,
		"stopReading": true}
	found := 0
	for _, name := range names {
		if strings.HasSuffix(name, "_test.go") {
			continue
		}
		file, err := parser.ParseFile(set, name, nil, 0)
		if err != nil {
			t.Fatal(err)
		}
		ast.Inspect(file, func(n ast.Node) bool {
			call, ok := n.(*ast.CallExpr)
			if !ok {
				return true
			}
			name := ""
			switch f := call.Fun.(type) {
			case *ast.SelectorExpr:
				name = f.Sel.Name
			case *ast.Ident:
				name = f.Name
			}
			if !says[name] {
				return true
			}
			text := ""
			for _, a := range call.Args {
				ast.Inspect(a, func(n ast.Node) bool {
					if lit, ok := n.(*ast.BasicLit); ok && lit.Kind == token.STRING {
						s, _ := strconv.Unquote(lit.Value)
						text += s
					}
					return true
				})
			}
			if text == "" || text == "%s" { // passed on from elsewhere
				return true
			}
			found++
			what, do, ok := strings.Cut(text, "; ")
			if !ok || what == "" || do == "" || strings.HasSuffix(do, ".") {
				t.Errorf("%v: message %q", set.Position(call.Pos()), text)
			}
			return true
		})
	}
	if found < 150 {
		t.Errorf("only %d messages found", found)
	}
}

// Lengths are told in the units of the program, with the unit; the inch is 25.4 mm by definition. Expected figures by
// hand: chords and radii as written, a miss of the end by 0.1 at a radius of 1.
func TestLengthsAreInTheUnitsOfTheProgram(t *testing.T) {
	tool := func(o *Options) { o.Tools = map[int]Tool{1: {DiameterMM: 25.4}} }
	for _, c := range []struct{ program, says string }{
		{"G21 G1 X0 Y0 F100 | G2 X6 R2.54", "the arc's ends are 6 mm apart, more than twice its radius of 2.54 mm;"},
		{"G20 G1 X0 Y0 F10 | G2 X0.3 R0.1", "the arc's ends are 0.3 in apart, more than twice its radius of 0.1 in;"},
		{"G21 G1 X0 Y0 F100 | G2 X2.1 I1 J0", "differ by 0.1 mm (radius 1 mm at its start, 1.1 mm at its end);"},
		{"G20 G1 X0 Y0 F10 | G2 X2.1 I1 J0", "differ by 0.1 in (radius 1 in at its start, 1.1 in at its end);"},
		{"G20 G1 X0 Y0 F10 | G2 X2.001 I1 J0", "differ by 0.001 in (radius 1 in at its start, 1.001 in at its " +
			"end); read"},
		{"G20 G1 X0 Y0 F10 | G2 X2.0002 R1", "the arc's ends are 0.0002 in further apart than twice its radius;"},
		{"G20 T1 M6 | G1 X0 Y0 F10 | G41 D1 | G1 X0.25", "is 0.25 in long, shorter than the tool's radius of 0.5 in;"},
		{"G21 T1 M6 | G1 X0 Y0 F10 | G41 D1 | G1 X5", "is 5 mm long, shorter than the tool's radius of 12.7 mm;"},
		{"G20 T1 M6 | G1 X0 Y0 F10 | G41 D1 | G1 X4 | G3 X4 Y0.5 I0 J0.25", "the tool's radius of 0.5 in is not " +
			"smaller than that of the inner arc;"},
		{"G20 G1 X0 Y0 F10 | X50000", "X would go to 50000 in, beyond any machine;"},
		{"G20 G38.2 Z0.005 F1", "to a place 0.005 in away; at least 0.01 in are needed"},
	} {
		p := read(t, c.program, tool)
		found := false
		for _, n := range p.Notes {
			found = found || strings.Contains(n.Message, c.says)
		}
		if !found {
			t.Errorf("%s: no note says %q: %+v", c.program, c.says, p.Notes)
		}
	}
}

// A note about a D word stands at it, one about the tool in the spindle at the code that wants its diameter.
func TestPlaceOfAMissingDiameter(t *testing.T) {
	for _, c := range []struct {
		program string
		col     int
	}{{"G41 D7 G1 X5 F100", 5}, {"G1 F100 G42 X5 D7", 16}, {"T7 M6 G41 G1 X5 F100", 7}} {
		var got []int
		for _, n := range read(t, c.program).Notes {
			if strings.Contains(n.Message, "of which no diameter is known") {
				got = append(got, n.Pos.Col)
			}
		}
		if len(got) != 1 || got[0] != c.col {
			t.Errorf("%s: columns %v, want %d", c.program, got, c.col)
		}
	}
}
