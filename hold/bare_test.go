package hold

import (
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"
)

// What the finding promises is what a run with the table covered reaches.
func TestCoveredTableReachesWhatIsPromised(t *testing.T) {
	p := aPlate()
	p.through, p.pumpM3h = "1e-12 m2", 10
	p.more = "[[zone]]\nname = \"B\"\narea = [[\"400 mm\",\"0 mm\"],[\"610 mm\",\"300 mm\"]]\n"
	program := square(74, 600, 5.6, 6.2)
	a := road(t, program, p.toml())
	found := findingsOf(a.Result, RuleBareTable)
	if len(found) != 1 || !strings.Contains(found[0].Message, "the bare 210 x 300 mm of zone B") {
		t.Fatalf("%v", found)
	}
	said := regexp.MustCompile(`the vacuum is ([\d.]+) kPa here, not ([\d.]+) kPa`).FindStringSubmatch(found[0].Message)
	if said == nil {
		t.Fatalf("%q", found[0].Message)
	}
	p.more += "covered = true\n"
	covered := road(t, program, p.toml()).Result
	for i, want := range []float64{covered.Vacuum.LeastKPa, a.Result.Vacuum.LeastKPa} {
		if got, err := strconv.ParseFloat(said[i+1], 64); err != nil || math.Abs(got-want) > 0.06 {
			t.Errorf("%s kPa promised, %g found", said[i+1], want)
		}
	}
	if covered.LeakM3h.Bare != 0 || len(findingsOf(covered, RuleBareTable)) > 0 {
		t.Errorf("covered: %+v", covered.LeakM3h)
	}
}
