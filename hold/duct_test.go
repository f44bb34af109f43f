package hold

import (
	"math"
	"strings"
	"testing"

	"staydown/hold/airflow"
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
	plain := roadInFull(t, program, leaky)
	if !told(plain, "no pressure is lost in the hose") || !told(plain, "no pressure is lost in valve and filter") {
		t.Errorf("a leaky table: %q", plain.Result.Assumed)
	}
	if a := roadInFull(t, program, tight); told(a, "no pressure is lost in") {
		t.Errorf("a tight table: %q", a.Result.Assumed)
	}
	hosed := roadInFull(t, program, strings.Replace(leaky, "[pump]\n",
		"[pump]\nhose = { length = \"3 m\", bore = \"50 mm\" }\n", 1))
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

// Zones with ducts of their own each have a vacuum of their own, which is told; one zone needs no word.
func TestZonesOfTheirOwnAreTold(t *testing.T) {
	const told = "zones with ducts of their own each have a vacuum of their own"
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

// A part on a zone of its own, behind its own valve, keeps the vacuum of that zone while the bare table of the other
// zone leaks: below its middle the difference is that of its own zone, and the weakest would hold less.
func TestAPieceIsHeldByItsOwnZone(t *testing.T) {
	const valve = "\nvalve = { conductance = \"40 dm3/(s bar)\", critical_ratio = 0.3 }"
	zones := strings.NewReplacer(`area = [["0 mm","0 mm"],["500 mm","400 mm"]]`,
		`area = [["0 mm","0 mm"],["250 mm","400 mm"]]`+valve+`
[[zone]]
name = "B"
area = [["300 mm","0 mm"],["700 mm","400 mm"]]`+valve,
		"50000 m3/h", "100 m3/h", "1e-13", "1e-11").Replace(boardOnBoard(`material = "pmma"`))
	a := road(t, square(100, 1800, 12.1), zones)
	e := &a.air[len(a.air)-1]
	own, weakest := e.state.ZonesPa[1], e.state.ChuckPa
	if weakest != e.state.ZonesPa[2] || weakest < own+5000 {
		t.Fatalf("zones at %.0f Pa, the weakest at %.0f", e.state.ZonesPa, weakest)
	}
	body := a.bodyOf(e, bodyKey{piece: 2}, e.state.Chuck, change{})
	most := 0.0
	for _, q := range body.Elements {
		most = math.Max(most, q.PressurePa)
	}
	if want := a.job.AmbientPa - own; math.Abs(most-want) > 1e-3*want {
		t.Errorf("%.0f Pa below the middle of the part, want %.0f", most, want)
	}
	if whole := a.bodyOf(e, bodyKey{piece: 2}, airflow.Chuck{ChuckPa: weakest}, change{}); len(whole.Elements) !=
		len(body.Elements) || whole.Elements[0].PressurePa >= body.Elements[0].PressurePa {
		t.Error("the vacuum of the weakest zone would hold as well")
	}
}
