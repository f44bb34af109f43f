package hold

import (
	"fmt"
	"strings"
	"testing"

	"staydown/internal/testrun"
)

// slotsThenSquare gives the cuts of a program, each with its own way there: slots that free nothing and let air in, the
// last a square of the given side that is cut free in two passes.
func slotsThenSquare(slots int, side float64) []string {
	var cuts []string
	for i := range slots {
		cuts = append(cuts, fmt.Sprintf("G0 X%d Y20 Z5\nG1 Z-6.2 F300\nY280 F700\nG0 Z5\n", 200+20*i))
	}
	far := 20 + side + 3
	last := "G0 X17 Y17\n"
	for _, z := range []float64{5.6, 6.2} {
		last += fmt.Sprintf("G1 Z-%g F300\nY%g F700\nX%g\nY17\nX17\n", z, far, far)
	}
	return append(cuts, last+"G0 Z5\n")
}

func TestAnotherOrderCuresWhenItIsTaken(t *testing.T) {
	testrun.NotForRaces(t)
	withoutDoubt(t)
	// The cut is moved in the program as a person would, and the whole road is run again. Its own kerf lets air in as
	// well.
	const head = "G21 G90 G17 G94\nT1 M6\nS18000 M3\nG0 Z5\n"
	told := 0
	for _, c := range []struct {
		through string
		pumpM3h float64
		side    float64
	}{{"1e-13 m2", 20, 60}, {"1e-13 m2", 20, 80}, {"3e-13 m2", 40, 80}} {
		p := aPlate().sized(400, 300)
		p.through, p.pumpM3h, p.anchored = c.through, c.pumpM3h, true
		a := road(t, head+strings.Join(slotsThenSquare(8, c.side), "")+"M30\n", p.toml())
		for _, s := range searches(t, a) {
			if sentence := s.cutEarlier(); sentence != "" {
				told++
				cured(t, fmt.Sprintf("%+v", c), a, s.piece.ID, sentence)
			}
		}
	}
	if told == 0 {
		t.Error("another order is never a remedy")
	}
}
