package hold

import (
	"fmt"
	"strings"
	"testing"
)

// slotsAndSquare cuts slots through the plate, which free nothing and let air in, and then a square of 60 mm free.
func slotsAndSquare(slots int, feed float64) string {
	var b strings.Builder
	b.WriteString("G21 G90 G17 G94\nT1 M6\nS18000 M3\n")
	for i := range slots {
		fmt.Fprintf(&b, "G0 X%d Y20 Z5\nG1 Z-6.2 F300\nY280 F%g\nG0 Z5\n", 200+20*i, feed)
	}
	fmt.Fprintf(&b, "G0 X17 Y17\nG1 Z-6.2 F300\nY83 F%[1]g\nX83\nY17\nX17\nG0 Z5\nM30\n", feed)
	return b.String()
}

func TestAnchoredSheetStaysAndWhatIsCutFromItDoesNot(t *testing.T) {
	// The remedy is written into the job file as a person would, and the whole road is run again. Screws in the frame
	// hold the sheet alone: what is cut free has none (README, "anchored").
	p := aPlate().sized(400, 300)
	p.through, p.pumpM3h = "3e-13 m2", 20
	before := road(t, slotsAndSquare(8, 700), p.toml()).Result
	sheet := riskOf(before, 1)
	if len(sheet) == 0 {
		t.Fatal("the sheet is not reported")
	}
	for _, f := range sheet {
		if !strings.Contains(f.Remedy, "also screw or clamp the sheet") {
			t.Errorf("line %d: anchoring is not among the remedies: %q", f.Line, f.Remedy)
		}
	}
	p.anchored = true
	after := road(t, slotsAndSquare(8, 700), p.toml()).Result
	for _, f := range riskOf(after, 1) {
		t.Errorf("anchored and still reported: line %d: %s", f.Line, f.Message)
	}
	if len(riskOf(before, 2)) == 0 || len(riskOf(after, 2)) == 0 {
		t.Errorf("the square: %d findings before, %d after; the frame's screws do not hold it", len(riskOf(before, 2)),
			len(riskOf(after, 2)))
	}
}

func TestAnchoringHoldsOnePartOfASheetInTwo(t *testing.T) {
	// The sheet's neck of 0.1 mm is thinner than a cell, so the smaller part counts as apart from the start. Nobody
	// says which of the two the screws are in: only the larger one, which bears the sheet's number, counts as held by
	// them.
	p := aPlate().sized(400, 300)
	p.through, p.pumpM3h, p.anchored = "3e-13 m2", 1, true
	text := strings.Replace(p.toml(), "corner = [\"0 mm\", \"0 mm\", \"-6 mm\"]\nsize = [\"400 mm\", \"300 mm\", \"6 mm\"]", `thickness = "6 mm"
bottom = "-6 mm"
corners = [["0 mm","0 mm"],["300 mm","0 mm"],["300 mm","150 mm"],["310 mm","150 mm"],["310 mm","120 mm"],["400 mm","120 mm"],["400 mm","180 mm"],["310 mm","180 mm"],["310 mm","150.1 mm"],["300 mm","150.1 mm"],["300 mm","300 mm"],["0 mm","300 mm"]]`, 1)
	const slots = "G21 G90 G17 G94\nT1 M6\nS18000 M3\nG0 X100 Y50 Z5\nG1 Z-6.2 F300\nY250 F700\nG0 Z5\nX350 " +
		"Y140\nG1 Z-3 F300\nX370 F700\nG0 Z5\nM30\n"
	r := road(t, slots, text).Result
	if len(r.Pieces) != 2 {
		t.Fatalf("%d pieces, want 2", len(r.Pieces))
	}
	if len(riskOf(r, 1)) > 0 || len(riskOf(r, 2)) == 0 {
		t.Errorf("%d findings of the anchored part, %d of the other", len(riskOf(r, 1)), len(riskOf(r, 2)))
	}
}
