package hold

import (
	"fmt"
	"math"
	"regexp"
	"strings"
	"testing"

	"staydown/hold/result"
)

// squaresAt cuts small squares free, one after another, with a 6 mm cutter in one pass.
func squaresAt(side, feed float64, xs ...float64) string {
	var b strings.Builder
	b.WriteString("G21 G90 G17 G94\nT1 M6\nS18000 M3\nG0 Z5\n")
	for _, x := range xs {
		fmt.Fprintf(&b, "G0 X%g Y17\nG1 Z-6.2 F300\nY%g F%g\nX%g\nY17\nX%g\nG0 Z5\n", x-3, 20+side+3, feed, x+side+3,
			x-3)
	}
	b.WriteString("M30\n")
	return b.String()
}

// oneSize names slivers of one size, which the grid knows to a cell, once.
var oneSize = regexp.MustCompile(`^3 slivers of [\d.]+ mm2, smaller `)

func TestCrumbsAreOneEntryAsGraveAsTheWorst(t *testing.T) {
	// Three squares of 3 mm: 9 mm2 each, less than the 28 mm2 of the cutter's section. Each alone would be loose.
	r := road(t, squaresAt(3, 600, 20, 60, 100), aPlate().on(1)).Result
	found := findingsOf(r, result.RuleSliver)
	if len(found) != 1 || !oneSize.MatchString(found[0].Message) || found[0].Level != result.LevelError ||
		!(found[0].Margin < 1) {
		t.Fatalf("%+v, want one entry of 3 with a margin below 1", found)
	}
	if found[0].Line != 10 || found[0].LastLine != 24 {
		t.Errorf("lines %d to %d, want 10 to 24", found[0].Line, found[0].LastLine)
	}
	if r.Verdict != result.Loose {
		t.Errorf("verdict %v, want loose", r.Verdict)
	}
	for _, p := range r.Pieces[1:] {
		if p.State != result.StateSliver || len(riskOf(r, p.ID)) > 0 {
			t.Errorf("piece %d: %v, %v", p.ID, p.State, riskOf(r, p.ID))
		}
	}
	// A part among them keeps its own finding.
	both := road(t, strings.Replace(squaresAt(3, 600, 20, 60), "M30", "G0 X97 Y17\nG1 Z-6.2 F300\nY43 "+
		"F1200\nX123\nY17\nX97\nG0 Z5\nM30", 1), aPlate().on(1)).Result
	if len(findingsOf(both, result.RuleSliver)) != 1 || len(riskOf(both, 4)) == 0 {
		t.Errorf("a part beside two crumbs: %v", both.Findings)
	}
}

func TestWhatTheModelCannotResolveIsAtRiskAtLeast(t *testing.T) {
	for _, c := range []struct {
		f    result.Finding
		want result.Verdict
	}{
		{result.Finding{Rule: result.RuleSliver, Margin: math.NaN(), Unresolved: true}, result.AtRisk},
		{result.Finding{Rule: result.RuleSliver, Margin: 12, Unresolved: true}, result.AtRisk},
		{result.Finding{Rule: result.RuleSliver, Margin: 0.9, Unresolved: true}, result.Loose},
		// a narrow strip: its own margins tell
		{result.Finding{Rule: result.RuleSliver, Margin: math.NaN()}, result.Held},
		{result.Finding{Rule: result.RuleMilledAway, Margin: math.NaN(), Unresolved: true}, result.AtRisk},
		{result.Finding{Rule: result.RuleChipLoad, Margin: math.NaN()}, result.Held},
		{result.Finding{Rule: result.RuleThickness, Margin: math.NaN()}, result.Held},
	} {
		if got := result.Judge([]result.Finding{c.f}); got != c.want {
			t.Errorf("%+v: %v, want %v", c.f, got, c.want)
		}
	}
}

// milledIsland frees a square of 40 mm and then mills it away in strips from one side.
func milledIsland() string {
	b := strings.TrimSuffix(square(40, 900, 1.2), "M30\n")
	for x := 17.0; x <= 66; x += 3 {
		b += fmt.Sprintf("G0 X%g Y14\nG1 Z-1.2 F300\nY66 F900\nG0 Z5\n", x)
	}
	return b + "M30\n"
}

func TestAnIslandThatIsMilledAwayIsToldAsSuch(t *testing.T) {
	// 1600 mm2 under some 90 kPa are 144 N at first; it lies on an open zone all the time.
	p := aPlate()
	p.thickMM = 1
	a := road(t, milledIsland(), p.toml())
	r := a.Result
	if found := findingsOf(r, result.RuleUnheld); len(found) > 0 {
		t.Errorf("on no open zone: %v", found)
	}
	found := findingsOf(r, result.RuleMilledAway)
	if len(found) != 1 || found[0].Piece != 2 || found[0].Line != 9 || !strings.Contains(found[0].Message,
		"is free and is milled away by line") {
		t.Fatalf("%+v, want one for piece 2, freed in line 9", found)
	}
	// The square ends at X60: the strip that takes the last of it runs at X59 or X62, in line 12 + 4 x 14 or 4 further
	// on.
	if last := found[0].LastLine; last < 60 || last > 74 {
		t.Errorf("gone by line %d", last)
	}
	loose := 0
	for _, f := range riskOf(r, 2) {
		if f.Rule == result.RuleMilledAway {
			continue
		}
		if f.Margin < 1 {
			loose++
		}
		if !(f.HoldN > 0.1) {
			t.Errorf("line %d: hold %.2f N: when nothing is left of it there is nothing to tell", f.Line, f.HoldN)
		}
	}
	if loose == 0 || r.Verdict != result.Loose {
		t.Errorf("%d loose findings, verdict %v; a strip of 5 x 40 mm does not stand a cut", loose, r.Verdict)
	}
	if s := r.Pieces[1].State; s != result.StateLoose {
		t.Errorf("state %v", s)
	}
}

func TestNoPieceIsPaintedHeldWithoutLoads(t *testing.T) {
	r := road(t, strings.Replace(square(74, 600, 5.6, 6.2), "S18000 M3", "M5", 1), aPlate().toml()).Result
	if r.Verdict != result.Incomplete {
		t.Errorf("verdict %v", r.Verdict)
	}
	for _, p := range r.Pieces {
		if p.State != result.StateUnknown {
			t.Errorf("piece %d is %v", p.ID, p.State)
		}
	}
}
