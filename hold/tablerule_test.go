package hold

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"staydown/hold/result"
)

// bare is a job without a layer: the plate lies on a gasketed chuck.
func bare() string {
	text := aPlate().toml()
	layer := text[strings.Index(text, "[layer]"):strings.Index(text, "[[zone]]")]
	return strings.Replace(strings.Replace(text, layer, "", 1), `name = "A"`, `name = "A"`+"\nseal = \"gasket\"", 1)
}

func TestBelowTheStockOnABareChuckIsInTheChuck(t *testing.T) {
	for _, c := range []struct {
		deepMM float64
		found  int
	}{{6, 0}, {6.1, 1}} {
		r := road(t, fmt.Sprintf("G21 G90\nT1 M6\nS18000 M3\nG0 X50 Y50 Z5\nG1 Z-%g F300\nX60 F600\nG0 Z5\nM30\n",
			c.deepMM), bare()).Result
		found := findingsOf(r, result.RuleChuck)
		if len(found) != c.found {
			t.Errorf("%g mm deep in 6 mm: findings %v, want %d", c.deepMM, found, c.found)
		}
		for _, f := range found {
			if f.Level != result.LevelError || f.Line != 5 || !strings.Contains(f.Message,
				"0.10 mm below the stock, into "+
					"the chuck") {
				t.Errorf("%+v", f)
			}
		}
	}
}

// dip cuts an arc in the XZ plane whose ends lie at Z-4, 10 mm apart, and whose lowest point lies at the given depth.
func dip(deepMM float64) string {
	sagitta := deepMM - 4
	radius := (25 + sagitta*sagitta) / (2 * sagitta)
	// Clockwise about Y runs through the bottom: angles count from Z to X (RS274NGC version 3, 3.5.3: G18).
	return fmt.Sprintf("G21 G90 G17\nT1 M6\nS18000 M3\nG0 X50 Y150 Z5\nG1 Z-4 F300\nG18 G2 X60 Z-4 I5 K%.6f "+
		"F300\nG17\nG0 Z5\nM30\n", radius-sagitta)
}

func TestAnArcThatDipsBetweenItsEndsIsSeen(t *testing.T) {
	// The plate is 6 mm thick, its layer 0.4 mm, of which a tool may take 0.3 mm. Both ends of the arc lie inside the
	// plate.
	for _, c := range []struct {
		deepMM float64
		level  result.Level
		found  bool
	}{{5.9, 0, false}, {6.29, 0, false}, {6.31, result.LevelWarning, true}, {6.39, result.LevelWarning, true},
		{6.41, result.LevelError, true}} {
		found := findingsOf(road(t, dip(c.deepMM), aPlate().toml()).Result, result.RuleChuck)
		if !c.found {
			if len(found) > 0 {
				t.Errorf("down to %g mm: %v", c.deepMM, found)
			}
			continue
		}
		if len(found) != 1 || found[0].Level != c.level || found[0].Line != 6 {
			t.Errorf("down to %g mm: %v, want one of level %v in line 6", c.deepMM, found, c.level)
		}
	}
}

func TestOneRunIntoTheLayerIsToldByItsDeepestMove(t *testing.T) {
	p := road(t, "G21 G90\nT1 M6\nS18000 M3\nG0 X50 Y50 Z5\nG1 Z-6.32 F300\nX60 F600\nX70 Z-6.39\nX80 Z-6.33\nG0 "+
		"Z5\nM30\n", aPlate().toml()).Result
	found := findingsOf(p, result.RuleChuck)
	if len(found) != 1 || found[0].Line != 5 || !strings.Contains(found[0].Message, "0.39 mm into the layer") {
		t.Errorf("%v, want one finding from line 5 on of 0.39 mm", found)
	}
}

func TestWhatIsSmallerThanItsToolIsReported(t *testing.T) {
	// What a 6 mm cutter leaves of a square of 3 mm: 9 mm2, less than the 28 mm2 of the cutter itself.
	r := road(t, square(3, 600, 6.2), aPlate().on(1)).Result
	found := findingsOf(r, result.RuleSliver)
	if len(found) != 1 || found[0].Piece != 2 || found[0].Line != 9 || found[0].Level != result.LevelError ||
		!(found[0].Margin < 1) {
		t.Fatalf("%v, want one finding for piece 2, freed in line 9", found)
	}
	var area float64
	if _, err := fmt.Sscanf(found[0].Message[strings.Index(found[0].Message, " of "):], " of %f mm2",
		&area); err != nil || math.Abs(area-9) > 3*r.Grid.CellMM*4 {
		t.Errorf("%q: area %.1f mm2, want 9 (%v)", found[0].Message, area, err)
	}
	if large := findingsOf(road(t, square(20, 600, 6.2), aPlate().on(1)).Result, result.RuleSliver); len(large) > 0 {
		t.Errorf("a square of 20 mm: %v", large)
	}
}

func TestAPumpWithAMeasuredCurveGrowsInAllItsPoints(t *testing.T) {
	withoutDoubt(t)
	curve := func(share float64) string {
		var points []string
		for _, p := range [][2]float64{{1013.25, 6}, {500, 5.5}, {100, 4}, {20, 0}} {
			points = append(points, fmt.Sprintf(`["%g mbar", "%.6f m3/h"]`, p[0], p[1]*share))
		}
		p := aPlate()
		p.through = "1e-12 m2"
		return strings.Replace(p.toml(), `flow = "100 m3/h"`, fmt.Sprintf("flow = \"%.6f m3/h\"\ncurve = [%s]", 6*share,
			strings.Join(points, ", ")), 1)
	}
	program := square(74, 600, 5.6, 6.2)
	first := roadInFull(t, program, curve(1)).Result
	need := first.Vacuum.PumpNeededM3h
	if first.Verdict == result.Held || math.IsNaN(need) {
		t.Fatalf("verdict %v, pump needed %.2f m3/h; the small pump must not do and a larger one must", first.Verdict,
			need)
	}
	if v := roadInFull(t, program, curve(need*1.001/6)).Result.Verdict; v != result.Held {
		t.Errorf("with every point grown as told (%.2f m3/h): %v", need, v)
	}
	if v := roadInFull(t, program, curve(need*0.97/6)).Result.Verdict; v == result.Held {
		t.Errorf("a pump 3 %% smaller than %.2f m3/h is enough as well", need)
	}
}

// A margin above 1 was once asked of the likely margin: the result says that it no longer is. The default says nothing.
func TestAMarginAbove1IsToldToMeanTheLowEnd(t *testing.T) {
	for margin, want := range map[float64]int{1: 0, 2: 1} {
		p := aPlate()
		p.margin = margin
		if got := len(findingsOf(road(t, square(74, 600, 5.6, 6.2), p.toml()).Result,
			result.RuleReading)); got != want {
			t.Errorf("margin %g: %d notes, want %d", margin, got, want)
		}
	}
}
