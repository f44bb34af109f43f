package hold

import (
	"slices"
	"strings"
	"testing"
)

// Assumptions that could change the verdict stand by the share of the doubt of what they are about; those with less
// than a hundredth are left out, and those without a range come last.
func TestDecisiveAssumptionsStandByTheirShare(t *testing.T) {
	p := aPlate()
	toml := strings.NewReplacer("runout = \"0 mm\"\n", "", "friction = 0.35\n", "", "through = \"1e-14 m2\"\n",
		"material = \"porous-card\"\n", "leak = \"0 m3/h\"\n", "").Replace(p.toml())
	r := road(t, square(40, 600, 5.6, 6.2), toml).Result
	share := map[string]float64{}
	for _, in := range []struct{ what, input string }{{"friction", "friction of porous-card on aluminium-wrought"},
		{"permeability through the layer", "permeability of layer porous-card"},
		{"permeability along the layer", "permeability of layer porous-card"}, {"run-out", "run-out of tool 1"},
		{"thickness of the stock", "thickness and Z zero of the sheet"},
		{"lowest pressure of the pump", "lowest pressure of the pump"},
		{"hose and rim leakage", "leak of hoses and rims"}} {
		for _, d := range r.Doubts {
			if d.Input == in.input {
				share[in.what] = d.Share
			}
		}
		if told := slices.Contains(r.Decisive, in.what); told != (share[in.what] >= 0.01) {
			t.Errorf("%s with a share of %.3f: told %v; %v", in.what, share[in.what], told, r.Decisive)
		}
	}
	for what := range share {
		if n := slices.Index(r.Decisive, what); n > slices.Index(r.Decisive, "rake") {
			t.Errorf("%v: rake, which has no range, stands before %s", r.Decisive, what)
		}
	}
	if !slices.IsSortedFunc(r.Decisive, func(x, y string) int { return int(1e6 * (share[y] - share[x])) }) {
		t.Errorf("%v with shares %v", r.Decisive, share)
	}
}
