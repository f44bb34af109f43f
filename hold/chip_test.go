package hold

import (
	"strings"
	"testing"

	"staydown/hold/result"
)

func TestAChipOutOfProportionIsOneWarningThatNamesTheCause(t *testing.T) {
	cut := func(speed string, feed float64) string {
		return strings.Replace(square(74, feed, 3, 6.2), "S18000", speed, 1)
	}
	for _, c := range []struct {
		name, program, want string
		flutes              string
	}{
		// Chip F/(S z): 2032/(1000 x 2) = 1.02 mm on 6 mm; pi x 6 x 1000/1000 = 19 m/min.
		{"S without a digit", cut("S1000", 2032), "tool 1 takes 1.02 mm per tooth, more than a tenth of its " +
			"diameter of 6 mm", "2"},
		{"S without a digit", cut("S1000", 2032), "(F2032, S1000, 2 flutes): S is probably too low, cutting speed " +
			"is 19 m/min",
			"2"},
		{"F in another unit", cut("S18000", 25400), "0.71 mm per tooth", "2"},
		{"F in another unit", cut("S18000", 25400), "F is probably too high, or in another unit", "2"},
		{"flutes", cut("S12000", 9000), "the number of flutes in the job file is probably wrong", "1"},
		{"a tenth is not more", cut("S10000", 12000), "", "2"},
		{"usual", cut("S18000", 1200), "", "2"},
		{"no load at all", cut("S1000", 9000), "", "2"}, // 4.5 mm per tooth: cut-data
	} {
		found := findingsOf(road(t, c.program, strings.Replace(aPlate().toml(), "flutes = 2", "flutes = "+c.flutes,
			1)).Result, result.RuleChipLoad)
		switch {
		case c.want == "":
			if len(found) > 0 {
				t.Errorf("%s: %v", c.name, found)
			}
		case len(found) != 1 || found[0].Level != result.LevelWarning || found[0].Line == 0 ||
			!strings.Contains(found[0].Message, c.want):
			t.Errorf("%s: %v, want one warning with %q", c.name, found, c.want)
		}
	}
}

func TestTheToleranceOfTheBlankIsToldWhereItDecides(t *testing.T) {
	for _, c := range []struct {
		lastMM    float64 // depth of the last pass in 6 mm
		tolerance string
		want      string
	}{
		{6, "", "the last pass ends 0.00 mm below the table side"},
		{6, "", "; in stock 0.1 mm thicker a skin remains"},
		{6.05, "", "ends 0.05 mm below the table side"},
		{6.2, "", ""},
		{6.2, "0.25 mm", "ends 0.20 mm below the table side"},
		{6, "0 mm", ""},
		{5.9, "", "piece 2 hangs on a skin of 0.10 mm; in stock 0.1 mm thinner it is cut through"},
		{5.8, "", ""},
	} {
		p := aPlate()
		text := p.toml()
		if c.tolerance != "" {
			text = strings.Replace(text, "[stock]\n", "[stock]\ntolerance = \""+c.tolerance+"\"\n", 1)
		}
		r := road(t, square(74, 600, 5.6, c.lastMM), text).Result
		found := findingsOf(r, result.RuleThickness)
		switch {
		case c.want == "":
			if len(found) > 0 {
				t.Errorf("%g mm, tolerance %q: %v", c.lastMM, c.tolerance, found)
			}
		case len(found) != 1 || found[0].Level != result.LevelNote || found[0].Line == 0 ||
			!strings.Contains(found[0].Message,
				c.want):
			t.Errorf("%g mm, tolerance %q: %v, want %q", c.lastMM, c.tolerance, found, c.want)
		}
	}
	// With the zero on the table thicker stock changes nothing; a table that is not flat does.
	onTable := strings.Replace(aPlate().toml(), `"-6 mm"]`, `"0 mm"]`, 1)
	program := strings.NewReplacer("Z-5.6", "Z0.4", "Z-6 ", "Z0 ", "Z5\n", "Z11\n").Replace(square(74, 600, 5.6, 6))
	found := findingsOf(road(t, program, onTable).Result, result.RuleThickness)
	if len(found) != 1 || !strings.Contains(found[0].Message, "where the table lies 0.1 mm lower a skin remains") {
		t.Errorf("zero on the table: %v", found)
	}
}
