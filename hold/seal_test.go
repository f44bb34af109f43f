package hold

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"staydown/hold/result"
)

// gasketed is a bare chuck with a cord round it under a 200 x 150 mm plate.
func gasketed(kind string, flowM3h float64, ultimate string) string {
	return fmt.Sprintf(`
[stock]
corner = ["0 mm", "0 mm", "-6 mm"]
size = ["200 mm", "150 mm", "6 mm"]
material = "aluminium-wrought"
[[zone]]
name = "inner"
area = [["20 mm","20 mm"],["180 mm","130 mm"]]
seal = "gasket"
[pump]
kind = %q
flow = "%g m3/h"
ultimate = %q
leak = "0 m3/h"
[[tool]]
number = 1
shape = "flat"
diameter = "6 mm"
flutes = 2
helix = "30 deg"
runout = "0 mm"
[grid]
cell = "0.5 mm"
`, kind, flowM3h, ultimate)
}

// through mills a 6 mm hole through the plate at a place.
func through(x, y float64) string {
	return fmt.Sprintf("G21 G90\nT1 M6\nS18000 M3\nG0 X%g Y%g Z5\nG1 Z-6 F100\nG0 Z5\nM30\n", x, y)
}

func TestCutInsideTheCordOpensTheZone(t *testing.T) {
	a := road(t, through(100, 75), gasketed("ejector", 6, "100 mbar"))
	open := findingsOf(a.Result, result.RuleSealOpen)
	if len(open) != 1 || open[0].Line != 5 {
		t.Fatalf("findings %v, want one at line 5", open)
	}
	if !strings.Contains(open[0].Message, "inner") || !strings.Contains(open[0].Message, "kPa") {
		t.Errorf("message %q names neither zone nor vacuum", open[0].Message)
	}
	if out := road(t, through(100, 10), gasketed("ejector", 6, "100 mbar")); len(findingsOf(out.Result,
		result.RuleSealOpen)) != 0 {
		t.Error("a hole outside the cord opens the zone")
	}
}

func TestSmallEjectorCollapsesLargePumpSurvives(t *testing.T) {
	// A 6 mm hole lets in, while choked, 20.218 m3/h of free air at a discharge coefficient of 1 (isentropic nozzle
	// flow at 101325 Pa, 20 C), so 17.2 at 0.85. An ejector of 6 m3/h cannot keep any useful vacuum against that; a
	// rotary vane pump of 400 m3/h holds pu + pa 17.2/400 = 20 mbar + 43.6 mbar.
	small := road(t, through(100, 75), gasketed("ejector", 6, "100 mbar")).Result.Vacuum
	large := road(t, through(100, 75), gasketed("rotary-vane", 400, "20 mbar")).Result.Vacuum
	if small.StartKPa < 85 {
		t.Errorf("the ejector reaches %.1f kPa with the zone sealed, want about 91", small.StartKPa)
	}
	if small.LeastKPa > 10 {
		t.Errorf("the ejector keeps %.1f kPa with the zone open", small.LeastKPa)
	}
	want := (101325 - 2000 - 101325*20.218*0.85/400) / 1000
	if math.Abs(large.LeastKPa-want) > 0.02*want {
		t.Errorf("the large pump keeps %.2f kPa, want %.2f", large.LeastKPa, want)
	}
}

func TestClosedZoneHoldsNothing(t *testing.T) {
	job := strings.Replace(gasketed("rotary-vane", 100, "20 mbar"), `seal = "gasket"`,
		"seal = \"gasket\"\nopen = false", 1)
	a := road(t, square(40, 900, 5.2, 6), job)
	if f := findingsOf(a.Result, result.RuleUnheld); len(f) != 1 || f[0].Piece != 2 || f[0].Line != 14 {
		t.Errorf("unheld: %v, want piece 2 at line 14", f)
	}
	if a.Result.Verdict != result.Loose {
		t.Errorf("verdict %v, want loose", a.Result.Verdict)
	}
}
