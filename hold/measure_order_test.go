package hold

import (
	"fmt"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"staydown/hold/result"
)

var movedLines = regexp.MustCompile(`: move lines? (.*) (before|after) line (\d+)$`)

// moveLines edits a program as an action about the order of cuts says: lines are cut out and put in elsewhere.
func moveLines(t *testing.T, program, action string) string {
	t.Helper()
	f := movedLines.FindStringSubmatch(action)
	if f == nil {
		t.Fatalf("nobody could follow %q", action)
	}
	e := &editing{t: t}
	to, err := strconv.Atoi(f[3])
	if err != nil {
		t.Fatal(err)
	}
	if f[2] == "after" {
		to++
	}
	var ahead, moved, behind []string
	for i, line := range strings.Split(program, "\n") {
		switch n := i + 1; {
		case e.names(f[1], int32(n)):
			moved = append(moved, line)
		case n < to:
			ahead = append(ahead, line)
		default:
			behind = append(behind, line)
		}
	}
	return strings.Join(slices.Concat(ahead, moved, behind), "\n")
}

// bracketsWithHoles cuts brackets out in two passes and, after each, the two holes in it.
func bracketsWithHoles(brackets int) string {
	var b strings.Builder
	b.WriteString("G21 G90 G17 G94\nT1 M6\nS18000 M3\nG0 Z5\n")
	for i := range brackets {
		x := 20 + 80*float64(i)
		fmt.Fprintf(&b, "G0 X%g Y17\n", x-3)
		for _, z := range []string{"Z-5.6", "Z-6.2"} {
			fmt.Fprintf(&b, "G1 %s F300\nX%g F800\nY83\nX%g\nY17\n", z, x+63, x-3)
		}
		b.WriteString("G0 Z5\n")
		for _, dx := range []float64{15, 45} {
			fmt.Fprintf(&b, "G0 X%[1]g Y50\nG1 Z-6.2 F300\nG3 X%[1]g Y50 I-3 F800\nG0 Z5\n", x+dx+3)
		}
	}
	b.WriteString("M30\n")
	return b.String()
}

// Whoever moves the lines that an action names gets a program with the verdict and the margin that it promises.
func TestAnotherOrderOfCutsHoldsWhatItPromises(t *testing.T) {
	withoutDoubt(t)
	head := "G21 G90 G17 G94\nT1 M6\nS18000 M3\nG0 Z5\n"
	for _, c := range []struct {
		name, program string
		change        func(p *plate)
		seek          func(*actionSearch) *measure
		cures         bool
	}{
		{"a square last, when the vacuum is down", head + strings.Join(slotsThenSquare(8, 60), "") + "M30\n",
			func(p *plate) {
				*p = p.sized(400, 300)
				p.through, p.pumpM3h, p.anchored = "1e-13 m2", 20, true
			}, (*actionSearch).cutFirst, true},
		{"holes after the outline", bracketsWithHoles(3), func(p *plate) { p.margin = 1 },
			(*actionSearch).cutLast, true},
	} {
		p := aPlate()
		c.change(&p)
		a := road(t, c.program, p.toml())
		s := newActionSearch(a, nil)
		m := c.seek(s)
		if m == nil {
			t.Errorf("%s: no other order; %v", c.name, a.Result.Findings)
			continue
		}
		promised, ok := s.prove(1, m.what, m.apply)
		if !ok {
			t.Errorf("%s: not proven", c.name)
			continue
		}
		got := road(t, moveLines(t, c.program, m.what), p.toml()).Result
		least, _ := got.LeastPiece()
		t.Logf("%s: %s: %v %.3f, was %v", c.name, m.what, got.Verdict, least.Least.Margin, a.Result.Verdict)
		if got.Verdict != promised.Verdict || math.Abs(least.Least.Margin/promised.LeastMargin.Likely-1) > 0.01 {
			t.Errorf("%s: %v with margin %.3f, promised %v with %.3f", c.name, got.Verdict, least.Least.Margin,
				promised.Verdict, promised.LeastMargin.Likely)
		}
		if c.cures && got.Verdict != result.Held {
			t.Errorf("%s: %v", c.name, got.Findings)
		}
	}
}

// Whether lines may be moved is told by reading the moved text, so that nothing is offered where a line depends on what
// stands before it; what is offered holds what it promises.
func TestMovedLinesAreReadAnew(t *testing.T) {
	withoutDoubt(t)
	holes := bracketsWithHoles(2)
	for _, c := range []struct {
		name, program string
		offered       bool
	}{
		{"incremental", strings.Replace(holes, "G0 X17 Y17\n", "G91 G0 X17 Y17\nG90\n", 1), false},
		{"a feed from the cut before", strings.ReplaceAll(strings.ReplaceAll(holes, " I-3 F800\n", " I-3\n"),
			"Y50\nG1 Z-6.2 F300\n", "Y50\nG1 Z-6.2\n"), false},
		{"another tool", strings.Replace(holes, "G0 X38 Y50\n", "T2 M6\nS18000 M3\nG0 Z5\nG0 X38 Y50\n", 1), false},
		{"behind a call", strings.Replace(holes, "G0 X17 Y17\n", "M98 P1 L2\nG0 X17 Y17\n", 1) +
			"O1\nG0 X300 Y200\nM99\n", true},
		{"in a loop", strings.Replace(strings.TrimSuffix(holes, "M30\n"), "G0 X17 Y17\n",
			"M98 P1 L2\nG0 Z5\nM30\nO1\nG0 X17 Y17\n", 1) + "M99\n", false},
	} {
		p := aPlate()
		p.margin = 1
		p.more = "[[tool]]\nnumber = 2\nshape = \"flat\"\ndiameter = \"6 mm\"\nflutes = 2\nhelix = \"30 deg\"\n" +
			"reach = \"20 mm\"\n"
		a := road(t, c.program, p.toml())
		s := newActionSearch(a, nil)
		m := s.cutLast()
		if (m != nil) != c.offered {
			t.Errorf("%s: %v", c.name, m)
		}
		if m == nil {
			continue
		}
		moved := road(t, moveLines(t, c.program, m.what), p.toml()).Result
		if promised, ok := s.prove(1, m.what, m.apply); !ok || moved.Verdict != promised.Verdict {
			t.Errorf("%s: %s: %v, promised %v", c.name, m.what, moved.Verdict, promised.Verdict)
		}
	}
}
