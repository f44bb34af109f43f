package hold

import (
	"fmt"
	"strings"
	"testing"
)

// The events of a program whose lines are known, in their order, and a vacuum that falls with every opening: the
// gauge shows the pump's working point at full cover first, and at each event what the table then lets in.
func TestGaugeIsReadAtTheEventsOfTheProgram(t *testing.T) {
	p := aPlate().sized(400, 300)
	p.through, p.pumpM3h = "3e-13 m2", 300
	r := roadInFull(t, fading("M0\nS18000 M3\n"), p.toml()).Result
	var got []string
	for i, g := range r.Gauge {
		got = append(got, fmt.Sprintf("%v %d", g.Event, g.Line))
		if v := g.VacuumKPa; !(v.Low <= v.Likely && v.Likely <= v.High) {
			t.Errorf("%v: a range %v out of order", g.Event, v)
		}
		if i > 0 && (g.VacuumKPa.Likely > r.Gauge[i-1].VacuumKPa.Likely || g.TimeS < r.Gauge[i-1].TimeS) {
			t.Errorf("%+v after %+v", g, r.Gauge[i-1])
		}
	}
	// Line 2 brings the tool, line 14 closes the square, line 16 is the stop; the last move stands before M30.
	last := strings.Count(fading("M0\nS18000 M3\n"), "\n") - 1
	if want := fmt.Sprintf("start 2, tool 2, freed 14, stop 16, end %d", last); strings.Join(got, ", ") != want {
		t.Fatalf("%s, want %s", strings.Join(got, ", "), want)
	}
	start, freed, stop, end := r.Gauge[0], r.Gauge[2], r.Gauge[3], r.Gauge[4]
	if start.VacuumKPa.Likely != r.Vacuum.StartKPa || end.VacuumKPa.Likely != r.Vacuum.LeastKPa {
		t.Errorf("from %v to %v, want %g to %g", start, end, r.Vacuum.StartKPa, r.Vacuum.LeastKPa)
	}
	// Between the moment that frees the square and the stop only the last few millimeters of its kerf are cut, after
	// it all slots.
	if a, b := freed.VacuumKPa.Likely-stop.VacuumKPa.Likely, stop.VacuumKPa.Likely-end.VacuumKPa.Likely; a > 0.02*b {
		t.Errorf("the vacuum falls by %g kPa from the square's last cut to the stop, and by %g after it", a, b)
	}
	if total := r.Program.DurationS; end.TimeS != total || freed.TimeS > stop.TimeS {
		t.Errorf("freed at %g s, stop at %g s, end at %g of %g s", freed.TimeS, stop.TimeS, end.TimeS, total)
	}
}
