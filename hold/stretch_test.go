package hold

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"staydown/hold/result"
)

// A face that a ball finishes in short moves is told by stretches, each with its first and last block: a block has
// steps that load the sheet less than others, which part nothing. The row goes down and up again three times.
func TestOneEntryForEachStretchOfRisk(t *testing.T) {
	const moves, waves = 240, 3
	var program strings.Builder
	program.WriteString("G21 G90 G17 G94\nT1 M6\nS18000 M3\nG0 Z5\nG0 X40 Y40\nG1 Z-0.2 F600\nF3000\n")
	for i := range moves {
		fmt.Fprintf(&program, "X%.3f Z%.3f\n", 40+0.5*float64(i+1),
			-0.2-1.9*(1-math.Cos(2*math.Pi*waves*float64(i+1)/moves)))
	}
	program.WriteString("G0 Z5\nM30\n")
	p := aPlate()
	p.pumpM3h, p.friction = 2, 0.1
	a := road(t, program.String(), strings.Replace(p.on(0.5), `"flat"`, `"ball"`, 1))
	var risky []string
	last := 0
	for _, f := range a.Result.Findings {
		if f.Rule != result.RuleTwist && f.Rule != result.RuleSlip {
			continue
		}
		risky = append(risky, fmt.Sprintf("%d to %d", f.Line, f.LastLine))
		if f.Line <= last {
			t.Errorf("line %d is told twice", f.Line)
		}
		last = max(f.Line, f.LastLine)
	}
	if n := len(risky); n < waves || n > 5*waves {
		t.Errorf("%d entries for %d stretches: %s", n, waves, strings.Join(slices.Compact(risky), ", "))
	}
}
