package hold

import (
	"math"
	"strings"
	"testing"

	"staydown/hold/result"
)

// switching is the plate's job with outputs of the machine.
func switching(lines ...string) string {
	return aPlate().toml() + "\n[machine.output]\n" + strings.Join(lines, "\n") + "\n"
}

// What the program switches decides what holds the part that its last block frees (this package). The plate has one
// zone, A; the margin without vacuum is that of weight alone, which holds nothing at a load of some hundred newton.
func TestOutputsSwitchTheVacuum(t *testing.T) {
	const on, off = `"M62 P1" = "pump on"`, `"M63 P1" = "pump off"`
	program := square(40, 600, 3, 6.2)
	with := func(before, between string) string {
		p := strings.Replace(program, "G0 X17", before+"\nG0 X17", 1)
		return strings.Replace(p, "G1 Z-6.2", between+"\nG1 Z-6.2", 1)
	}
	plain := road(t, program, aPlate().toml()).Result
	margin := func(r *result.Result) float64 { return r.Pieces[1].Least.Margin }
	for _, c := range []struct {
		name, program, job string
		holds              bool // as without outputs
	}{
		{"on from the start", with("M62 P1", ""), switching(on, off), true},
		{"turned off before the last pass", with("M62 P1", "M63 P1"), switching(on, off), false},
		{"turned on for the last pass", with("M63 P1", "M62 P1"), switching(on, off), true},
		{"never turned on before the cut", with("", ""), switching(on), true},
		{"turned on too late", strings.Replace(program, "G0 Z5\nM30", "M62 P1\nG0 Z5\nM30", 1), switching(on), false},
		{"zone closed", with("M10", "M11"), switching(`M10 = "zone A on"`, `M11 = "zone off"`), false},
		{"zone open", with("M10", ""), switching(`M10 = "zone A on"`), true},
		{"harmless", with("M62 P1", "M63 P1"), switching(`"M62 P1" = "harmless"`, `M63 = "harmless"`), true},
	} {
		r := road(t, c.program, c.job).Result
		switch same := math.Abs(margin(r)-margin(plain)) <= 1e-6*margin(plain); {
		case len(findingsOf(r, result.RuleUnread)) > 0:
			t.Errorf("%s: %v", c.name, findingsOf(r, result.RuleUnread))
		case c.holds && !same:
			t.Errorf("%s: margin %.3f, want %.3f as without outputs", c.name, margin(r), margin(plain))
		case !c.holds && !(margin(r) < 0.1*margin(plain)):
			t.Errorf("%s: margin %.3f, want next to none of %.3f", c.name, margin(r), margin(plain))
		case !c.holds && r.Verdict != result.Loose:
			t.Errorf("%s: verdict %v", c.name, r.Verdict)
		}
	}
	unknown := road(t, with("M62 P1", ""), aPlate().toml()).Result
	if f := findingsOf(unknown, result.RuleUnread); len(f) != 1 || !strings.Contains(f[0].Message, "[machine.output]") {
		t.Errorf("an output of which nothing is known: %v", f)
	}
}
