package hold

import (
	"slices"
	"strings"
	"testing"

	"staydown/hold/result"
)

// M4 with a tool of unknown hand is assumed to be a left-hand tool and said; with a right-hand tool it is a finding,
// and no load is computed.
func TestSpindleAgainstTheHandOfTheTool(t *testing.T) {
	program := strings.Replace(square(40, 1200, 4.8, 6.2), "M3", "M4", 1)
	plain := aPlate().toml()
	given := func(hand string) string {
		return strings.Replace(plain, "flutes = 2", "flutes = 2\nhand = \""+hand+"\"", 1)
	}
	const said = "tool 1 cuts counter-clockwise (M4): assumed to be a left-hand tool (hand)"
	for _, c := range []struct {
		name, program, job string
		assumed, cutData   bool
	}{
		{"M4, hand not given", program, plain, true, false},
		{"M4, left-hand", program, given("left"), false, false},
		{"M4, right-hand", program, given("right"), false, true},
		{"M3, hand not given", square(40, 1200, 4.8, 6.2), plain, false, false},
		{"M3, left-hand", square(40, 1200, 4.8, 6.2), given("left"), false, true},
	} {
		r := road(t, c.program, c.job).Result
		if got := slices.Contains(r.Assumed, said); got != c.assumed {
			t.Errorf("%s: assumed %t: %q", c.name, got, r.Assumed)
		}
		found := findingsOf(r, result.RuleCutData)
		if (len(found) > 0) != c.cutData || c.cutData && r.Verdict == result.Held {
			t.Errorf("%s: %v, verdict %v", c.name, found, r.Verdict)
		}
	}
}
