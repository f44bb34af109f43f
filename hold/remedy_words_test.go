package hold

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"
	"testing"
)

func TestAllFindingsOfAPieceNameTheSameCure(t *testing.T) {
	// The demo's tags are loose in the block that frees them and at risk in the one behind it.
	a, _ := demo(t, "panels.nc")
	remedies := map[int]string{}
	twice := 0
	for _, f := range a.Result.Findings {
		if f.Piece == 0 || !f.Risky() {
			continue
		}
		if was, ok := remedies[f.Piece]; ok {
			if twice++; was != f.Remedy {
				t.Errorf("piece %d: %q and %q", f.Piece, was, f.Remedy)
			}
		}
		remedies[f.Piece] = f.Remedy
		feed := ""
		if f.EaseFeedMMMin > 0 {
			feed = fmt.Sprintf("feed at most F%g (now ", f.EaseFeedMMMin)
		}
		if (feed != "") != strings.HasPrefix(f.Remedy, "feed at most ") || !strings.HasPrefix(f.Remedy, feed) {
			t.Errorf("feed %g with %q", f.EaseFeedMMMin, f.Remedy)
		}
	}
	if twice == 0 {
		t.Error("no piece of the demo has two findings")
	}
}

// remediesOf gives all ways out for the first piece with findings, by their first words.
func remediesOf(t *testing.T, program, jobFile string) string {
	t.Helper()
	a := road(t, program, jobFile)
	ill := searches(t, a)
	if len(ill) == 0 {
		t.Fatal("nothing to cure")
	}
	var all []string
	for _, way := range remedyWays {
		all = append(all, way(ill[0]))
	}
	return strings.Join(all, "; ")
}

func TestFeedsAreWholeNumbers(t *testing.T) {
	withoutDoubt(t)
	fast := remediesOf(t, strings.Replace(square(100, 12345, 5, 6.2), "S18000", "S24000", 1), aPlate().toml())
	if !strings.Contains(fast, "(now F12345)") {
		t.Errorf("%q: want F12345 as it stands in the program", fast)
	}
	inch := strings.Replace(inches(square(100, 3000, 5, 6.2)), "G21", "G20", 1)
	for _, program := range []string{square(100, 3000, 5, 6.2), inch} {
		said := remediesOf(t, program, aPlate().toml())
		if !regexp.MustCompile(`feed at most F\d+ \(now F\d+(\.\d+)?\) in`).MatchString(said) {
			t.Errorf("%q: want a whole number of F", said)
		}
	}
	// F of G95 is no speed, so no F is named.
	turn := strings.Replace(square(100, 3000, 5, 6.2), "G94\n", "G95\n", 1)
	turn = strings.NewReplacer("F3000", "F0.16667", "F300", "F0.0167").Replace(turn)
	if said := remediesOf(t, turn, aPlate().toml()); !regexp.MustCompile(
		`feed at most \d+ mm/min \(now [\d.]+ mm/min\)`).MatchString(said) {
		t.Errorf("%q: want a speed in mm/min", said)
	}
}

// inches writes the numbers of X, Y, Z and F of a program in millimeters in inches.
func inches(program string) string {
	return regexp.MustCompile(`[XYZF]-?[\d.]+`).ReplaceAllStringFunc(program, func(word string) string {
		mm, _ := strconv.ParseFloat(word[1:], 64)
		return fmt.Sprintf("%c%.5f", word[0], mm/25.4) // exact by definition
	})
}

var skinWords = regexp.MustCompile(`leave a skin of ([\d.]+) (mm|in) under piece \d+: end its cut at Z(-?[\d.]+)`)

func TestSkinsAreRoundedAwayFromTheTable(t *testing.T) {
	jobFile := aPlate().sized(400, 300).toml() // of a plate that holds itself when the skin is left
	for name, c := range map[string]struct {
		program string
		unitMM  float64
	}{"mm": {square(40, 1200, 4.8, 6.2), 1}, "inch": {strings.Replace(inches(square(40, 1200, 4.8, 6.2)), "G21", "G20",
		1), 25.4}} {
		said := remediesOf(t, c.program, jobFile)
		f := skinWords.FindStringSubmatch(said)
		if f == nil || f[2] != map[float64]string{1: "mm", 25.4: "in"}[c.unitMM] {
			t.Errorf("%s: no skin in %q", name, said)
			continue
		}
		thick, _ := strconv.ParseFloat(f[1], 64)
		z, _ := strconv.ParseFloat(f[3], 64)
		if left := z*c.unitMM + 6; left < thick*c.unitMM-1e-9 { // the table side lies at Z-6 mm
			t.Errorf("%s: %q leaves %.5f mm, less than the %.5f mm named", name, f[0], left, thick*c.unitMM)
		}
	}
	// Where an offset moves Z no Z is named, only how much higher.
	moved := strings.Replace(strings.NewReplacer("Z-4.8", "Z5.2", "Z-6.2", "Z3.8", "Z5\n", "Z15\n").Replace(square(40,
		1200, 4.8, 6.2)), "G0 X17", "G92 Z10\nG0 X17", 1)
	moved = strings.Replace(moved, "G92 Z10", "G0 Z0\nG92 Z10", 1)
	if said := remediesOf(t, moved, jobFile); !strings.Contains(said, "end its cut 0.35 mm higher in lines") {
		t.Errorf("%q: want how much higher and no Z", said)
	}
}

func TestNoSkinThinnerThanIsUsefulOrThanTheBlankMayBeOff(t *testing.T) {
	for _, c := range []struct {
		material, key string
		leastMM       float64 // a skin may have
		above         bool    // and must have more
	}{
		{"aluminium-wrought", "", 0.1, true}, // tolerance of 0.1 mm assumed
		{"aluminium-wrought", "tolerance = \"0.05 mm\"", 0.1, false},
		{"aluminium-wrought", "tolerance = \"0.25 mm\"", 0.25, true},
		{"mdf", "", 0.4, false},
		{"mdf", "least_skin = \"0.55 mm\"", 0.55, false},
	} {
		p := aPlate()
		p.material = c.material
		p.margin = map[string]float64{"mdf": 4}[c.material] + 2
		table := "[stock]\n"
		if strings.HasPrefix(c.key, "least") {
			table = "[limits]\n"
		}
		said := remediesOf(t, square(40, 1200, 4.8, 6.2), strings.Replace(p.sized(400, 300).toml(), table,
			table+c.key+"\n", 1))
		f := skinWords.FindStringSubmatch(said)
		if f == nil {
			t.Errorf("%+v: no skin in %q", c, said)
			continue
		}
		if thick, _ := strconv.ParseFloat(f[1], 64); thick < c.leastMM || c.above && thick == c.leastMM {
			t.Errorf("%+v: a skin of %g mm", c, thick)
		}
	}
}

func TestOnlyThePassThatBreaksThroughIsTheLast(t *testing.T) {
	if said := remediesOf(t, square(100, 3000, 5, 6.2), aPlate().sized(400, 300).toml()); !strings.Contains(said,
		"a last pass of at most") || strings.Contains(said, "this pass") {
		t.Errorf("a pass that breaks through: %q", said)
	}
	// A groove 3 mm deep that loosens the whole sheet does not break through.
	groove := "G21 G90\nT1 M6\nS18000 M3\nG0 X50 Y20 Z5\nG1 Z-3 F300\nY280 F2400\nG0 Z5\nM30\n"
	p := aPlate()
	p.pumpM3h, p.through, p.helixDeg = 25, "3e-12 m2", 0
	if said := remediesOf(t, groove, p.sized(400, 300).toml()); !strings.Contains(said, "this pass at most") ||
		strings.Contains(said,
			"last pass") {
		t.Errorf("a groove: %q", said)
	}
	// Least useful pass: none below 0.4 mm is named in board.
	board := aPlate()
	board.material, board.margin = "mdf", 3
	for _, f := range regexp.MustCompile(`pass of at most ([\d.]+) mm`).FindAllStringSubmatch(remediesOf(t,
		square(30, 6000, 4.8, 6.2), board.toml()), -1) {
		if mm, _ := strconv.ParseFloat(f[1], 64); mm < 0.4 {
			t.Errorf("a pass of %g mm in board", mm)
		}
	}
}

// Rounding takes no feed below the least share of the programmed one.
func TestNoFeedBelowTheLeastUsefulChip(t *testing.T) {
	withoutDoubt(t)
	a := road(t, strings.Replace(square(100, 12050, 5, 6.2), "S18000", "S24000", 1), aPlate().toml())
	ill := searches(t, a)
	if len(ill) == 0 {
		t.Fatal("nothing to cure")
	}
	found := 0
	// A fifth is F2410, which two digits would round down to F2400.
	for asked := 0.5; asked < 20; asked *= 1.01 {
		a.asked = asked
		feed, words := ill[0].lowerFeed()
		if words != "" {
			found++
		}
		if (feed > 0) != (words != "") || feed > 0 && feed < 2410 {
			t.Errorf("margin %g: %g mm/min, %q: below a fifth of F12050", asked, feed, words)
		}
	}
	if found == 0 {
		t.Error("no feed was proposed")
	}
}
