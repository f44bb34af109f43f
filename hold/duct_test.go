package hold

import (
	"math"
	"strings"
	"testing"
)

// A hose of 3 m and 50 mm costs vacuum; what is left out is told when it would cost more than 2 % of the air pressure:
// at the 100 m3/h and more of a leaky table, not at the few m3/h of a tight one.
func TestDuctsOfTheJob(t *testing.T) {
	leaky := strings.NewReplacer(`["500 mm","400 mm"]`, `["800 mm","700 mm"]`, "flow = \"50000 m3/h\"", "flow = \"250 m3/h\"", `through = "1e-13 m2"
cut_limit`, `through = "2e-12 m2"
cut_limit`).Replace(boardOnBoard(`material = "pmma"`))
	tight := boardOnBoard(`material = "pmma"`)
	tight = strings.Replace(tight, "flow = \"50000 m3/h\"", "flow = \"250 m3/h\"", 1)
	told := func(a *Analysis, what string) bool {
		return strings.Contains(strings.Join(a.Result.Assumed, "\n"), what)
	}
	program := square(100, 1800, 12.1)
	plain := road(t, program, leaky)
	if !told(plain, "no pressure is lost in the hose") || !told(plain, "no pressure is lost in valve and filter") {
		t.Errorf("a leaky table: %q", plain.Result.Assumed)
	}
	if a := road(t, program, tight); told(a, "no pressure is lost in") {
		t.Errorf("a tight table: %q", a.Result.Assumed)
	}
	hosed := road(t, program, strings.Replace(leaky, "[pump]\n", "[pump]\nhose = { length = \"3 m\", bore = \"50 "+
		"mm\" }\n", 1))
	if told(hosed, "no pressure is lost in the hose") {
		t.Error("the hose is given")
	}
	last := hosed.weakest().state
	loss, before := last.ChuckPa-last.PumpPa, plain.weakest().state
	if loss < 500 || last.VacuumPa() > before.VacuumPa()-100 {
		t.Errorf("the hose costs %.0f Pa; vacuum %.0f Pa, without it %.0f", loss, last.VacuumPa(), before.VacuumPa())
	}
	if hosed.Result.Vacuum.LeastKPa != last.VacuumPa()/1000 || math.IsNaN(loss) {
		t.Error("the result does not tell the vacuum of the chuck")
	}
}

// Where zones have ducts of their own the weakest vacuum holds for all of them, which is told; one zone is exact.
func TestTheWeakestZoneIsTold(t *testing.T) {
	const told = "the weakest vacuum of those on which material lies counts for all"
	one := strings.Replace(boardOnBoard(`material = "pmma"`), "[[zone]]\n",
		"[[zone]]\nport = { count = 1, diameter = \"20 mm\" }\n", 1)
	two := one + "[[zone]]\nname = \"far\"\narea = [[\"900 mm\",\"0 mm\"],[\"1000 mm\",\"100 mm\"]]\n"
	for jobFile, want := range map[string]bool{one: false, two: true} {
		a := road(t, square(100, 1800, 12.1), jobFile)
		if got := strings.Contains(strings.Join(a.Result.Assumed, "\n"), told); got != want {
			t.Errorf("told %t, want %t: %q", got, want, a.Result.Assumed)
		}
	}
}
