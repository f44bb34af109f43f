package hold

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/paulmach/orb"
	"github.com/paulmach/orb/planar"

	"staydown/hold/result"
)

var placeForm = regexp.MustCompile(`X(-?[\d.]+) Y(-?[\d.]+) \(lines (\d+) to (\d+)\)`)

// beginElsewhere edits rectangles as an action about the place of closing says: the lines named begin at a corner, and
// go round by G1 once or more often; they are typed anew from the place that is named.
func beginElsewhere(t *testing.T, program, action string, feedMMMin float64) string {
	t.Helper()
	if !strings.HasPrefix(action, "begin and end ") {
		t.Fatalf("nobody could follow %q", action)
	}
	number := func(s string) float64 {
		x, err := strconv.ParseFloat(s, 64)
		if err != nil {
			t.Fatal(err)
		}
		return x
	}
	lines := strings.Split(program, "\n")
	for _, f := range placeForm.FindAllStringSubmatch(action, -1) {
		to := orb.Point{number(f[1]), number(f[2])}
		first, last := int(number(f[3])), int(number(f[4]))
		var out []string
		var at orb.Point
		var ahead []string // of the time round under way, up to the place
		begun, passed := false, false
		for _, line := range lines[first-1 : last] {
			from := at
			for _, word := range strings.Fields(line) {
				switch word[0] {
				case 'X':
					at[0] = number(word[1:])
				case 'Y':
					at[1] = number(word[1:])
				}
			}
			switch {
			case strings.HasPrefix(line, "G0 X"):
				out = append(out, fmt.Sprintf("G0 X%g Y%g", to[0], to[1]))
			case strings.HasPrefix(line, "G1 Z"), strings.HasPrefix(line, "G0 Z"):
				out = append(out, ahead...)
				if passed {
					out = append(out, fmt.Sprintf("G1 X%g Y%g", to[0], to[1]))
				}
				out, ahead, passed, begun = append(out, line), nil, false, true
			case begun:
				feed := ""
				if i := strings.Index(line, "F"); i >= 0 {
					feed = " " + line[i:]
				}
				if !passed && planar.DistanceFromSegment(from, at, to) < 1e-3 {
					passed = true
					out = append(out, fmt.Sprintf("G1 X%g Y%g F%g", at[0], at[1], feedMMMin))
					continue
				}
				if next := fmt.Sprintf("G1 X%g Y%g", at[0], at[1]) + feed; passed {
					out = append(out, next)
				} else {
					ahead = append(ahead, next)
				}
			}
		}
		lines = append(lines[:first-1:first-1], append(out, lines[last:]...)...)
	}
	return strings.Join(lines, "\n")
}

// rectangle cuts out one of a side and twice that in two passes, from a corner.
func rectangle(side, feed float64) string {
	program := "G21 G90 G17 G94\nT1 M6\nS18000 M3\nG0 Z5\nG0 X200 Y200\nG0 X17 Y17\n"
	for _, z := range []string{"Z-4", "Z-6.2"} {
		program += fmt.Sprintf("G1 %s F300\nX%g F%g\nY%g\nX17\nY17\n", z, 23+2*side, feed, 23+side)
	}
	return program + "G0 Z5\nM30\n"
}

// Whoever begins a cut where an action says gets the verdict and the margin that it promises. At a corner the cutter
// turns the part about its middle with the longest arm, so that the side's middle holds where a corner does not.
func TestClosingPlaceHoldsWhatItPromises(t *testing.T) {
	withoutDoubt(t)
	p := aPlate()
	p.margin = 1
	const feed = 800
	program := rectangle(40, feed)
	a := road(t, program, p.toml())
	s := newActionSearch(a, nil)
	m := s.closeElsewhere()
	if m == nil {
		t.Fatalf("the cut is not begun elsewhere: %v", a.Result.Findings)
	}
	promised, ok := s.prove(1, m.what, m.apply)
	if !ok {
		t.Fatal("not proven")
	}
	got := road(t, beginElsewhere(t, program, m.what, feed), p.toml()).Result
	least, _ := got.LeastPiece()
	if a.Result.Verdict != result.Loose || got.Verdict != result.Held || promised.Verdict != result.Held ||
		math.Abs(least.Least.Margin/promised.LeastMargin.Likely-1) > 0.01 {
		t.Errorf("%s: %v with margin %.3f, promised %v with %.3f, was %v", m.what, got.Verdict, least.Least.Margin,
			promised.Verdict, promised.LeastMargin.Likely, a.Result.Verdict)
	}
}

// Where the words of the program are not the places of the tool's middle, or the cut has a way in or a slope, no place
// is named.
func TestClosingPlaceIsNotNamedWhereWordsDiffer(t *testing.T) {
	withoutDoubt(t)
	program := rectangle(40, 800)
	for name, edited := range map[string]string{
		"offset":      strings.Replace(program, "G0 X17 Y17\n", "G52 X1\nG0 X16 Y17\n", 1),
		"compensated": strings.Replace(program, "G0 X17 Y17\nG1", "G0 X10 Y17\nG41 D1 G1 X17 F500\nG1", 1),
		"incremental": "G21 G90 G17 G94\nT1 M6\nS18000 M3\nG0 Z5\nG0 X17 Y17\nG91\nG1 Z-9 F300\nX86 " +
			"F800\nY46\nX-86\nY-46\nG1 Z-2.2 F300\nX86 F800\nY46\nX-86\nY-46\nG0 Z11.2\nG90\nM30\n",
		"ramp":    strings.Replace(program, "G1 Z-4 F300\nX103", "G1 X103 Z-4", 1),
		"lead-in": strings.Replace(program, "G0 X17 Y17\nG1 Z-4 F300\n", "G0 X12 Y12\nG1 Z-4 F300\nX17 Y17\n", 1),
		"coolant": strings.Replace(program, "G1 Z-6.2", "M8\nG1 Z-6.2", 1),
	} {
		p := aPlate()
		p.margin = 1
		a := road(t, edited, p.toml())
		s := newActionSearch(a, nil)
		if m := s.closeElsewhere(); m != nil {
			t.Errorf("%s: %s", name, m.what)
		}
	}
}
