package calibrate

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"staydown/hold/job"
	"staydown/parse/units"
)

// gaugeJob is a table of 1 x 0.5 m, all of it breathing, under a board of 12 mm with a sealed rim; a pump of 100 m3/h
// that reaches any vacuum. What is known of board and hoses beforehand is next to nothing.
const gaugeJob = `[stock]
corner = ["0 mm", "0 mm", "-6 mm"]
size = ["600 mm", "400 mm", "6 mm"]
material = "aluminium-wrought"
[layer]
thickness = "12 mm"
through = ["1e-17 m2", "1e-13 m2", "1e-9 m2"]
edge = "sealed"
%s
[[zone]]
name = "A"
area = [["0 mm","0 mm"],["1000 mm","500 mm"]]
[pump]
kind = "rotary-vane"
flow = "100 m3/h"
ultimate = "0 mbar"
leak = %s
[[tool]]
number = 1
diameter = "6 mm"
`

func gauge(covered string, readings ...string) string {
	return fmt.Sprintf("[[layer.gauge]]\ncovered = %q\nreadings = [\"%s\"]\n", covered, strings.Join(readings, `", "`))
}

func calibratedJob(t *testing.T, leak string, gauges ...string) *job.Job {
	t.Helper()
	j, err := job.Parse("j.toml", fmt.Appendf(nil, gaugeJob, strings.Join(gauges, ""), leak))
	if err != nil {
		t.Fatal(err)
	}
	out, err := Job(j)
	if err != nil {
		t.Fatal(err)
	}
	return out
}

const anyLeak = `["0 m3/h", "20 m3/h", "2000 m3/h"]`

// By hand, with Darcy's law for gas and a board of 12 mm and 1e-13 m2 that lets 76.483 m3/h of free air through each m2
// from 101325 to 30000 Pa, in proportion to the difference of the squares (check values of the house, computed): pump
// and leak at a pressure p take 100 p/101325 m3/h of free air.
//
//	covered: 810.60 mbar, p = 20265 Pa: 20 m3/h, all of it hoses (choked: the same at 40000 Pa)
//	bare: 613.25 mbar, p = 40000 Pa: 39.477 m3/h, so 19.477 through 0.5 m2; 1e-13 m2 would let 35.384 through
func TestGaugeTellsPermeabilityAndLeak(t *testing.T) {
	const bare, covered = "613.25 mbar", "810.60 mbar"
	both := calibratedJob(t, anyLeak, gauge("100 %", covered), gauge("0 %", bare))
	close := func(what string, got, want float64) {
		t.Helper()
		if math.Abs(got-want) > 0.02*want {
			t.Errorf("%s: %.4g, want %.4g\n%s", what, got, want, strings.Join(both.Assumed.In(units.Metric), "\n"))
		}
	}
	close("permeability", both.Layer.ThroughM2, 0.5504e-13)
	close("along as through", both.Layer.AlongM2, both.Layer.ThroughM2)
	close("leak", both.Pump.LeakM3h, 20)
	// 25 mbar more or less in the covered reading (EN 837-1, class 2.5) are 2.5 kPa x 100/101325 = 2.47 m3/h
	for _, d := range both.Doubts {
		if d.Key == "pump.leak" {
			close("low leak", d.Low, 20-2.47)
			close("high leak", d.High, 20+2.47)
		}
	}
	// one reading, one figure
	close("permeability at a known leak", calibratedJob(t, `["20 m3/h", "20 m3/h"]`,
		gauge("0 %", bare)).Layer.ThroughM2, 0.5504e-13)
	close("leak alone", calibratedJob(t, anyLeak, gauge("100 %", covered)).Pump.LeakM3h, 20)
	// the mean of several readings counts
	close("readings", calibratedJob(t, anyLeak, gauge("100 %", "800.60 mbar", "820.60 mbar")).Pump.LeakM3h, 20)
	// the order of the readings does not matter
	ordered := calibratedJob(t, anyLeak, gauge("0 %", "600 mbar", bare), gauge("0 %", "630 mbar"),
		gauge("100 %", covered))
	turned := calibratedJob(t, anyLeak, gauge("0 %", "630 mbar"), gauge("100 %", covered),
		gauge("0 %", bare, "600 mbar"))
	if ordered.Layer.ThroughM2 != turned.Layer.ThroughM2 || ordered.Pump.LeakM3h != turned.Pump.LeakM3h {
		t.Errorf("turned round: %g and %g m2, %g and %g m3/h", ordered.Layer.ThroughM2, turned.Layer.ThroughM2,
			ordered.Pump.LeakM3h, turned.Pump.LeakM3h)
	}
	if j := calibratedJob(t, anyLeak, gauge("0 %", bare)); j.Pump.LeakM3h != 20 {
		t.Errorf("a bare table changes the leak to %g", j.Pump.LeakM3h)
	}
}

// The gauge tells shares of the pump's flow: with a weaker pump, permeability and leak are lower, and what the gauge
// shows stays.
func TestGaugedFiguresFollowThePump(t *testing.T) {
	j := calibratedJob(t, anyLeak, gauge("100 %", "810.60 mbar"), gauge("0 %", "613.25 mbar"))
	scores := make([]float64, len(j.Doubts))
	for i, d := range j.Doubts {
		switch d.Key {
		case "pump.flow":
			scores[i] = d.Score(80)
		case "pump.leak":
			scores[i] = 0.5
		}
	}
	v := j.Varied(scores)
	only := make([]float64, len(j.Doubts))
	for i, d := range j.Doubts {
		if d.Key == "pump.leak" {
			only[i] = 0.5
		}
	}
	if math.Abs(v.Layer.ThroughM2/j.Layer.ThroughM2-0.8) > 1e-9 || math.Abs(v.Pump.FlowM3h-80) > 1e-9 ||
		math.Abs(v.Pump.LeakM3h/j.Varied(only).Pump.LeakM3h-0.8) > 1e-9 {
		t.Errorf("flow %g, through %g of %g, leak %g of %g", v.Pump.FlowM3h, v.Layer.ThroughM2, j.Layer.ThroughM2,
			v.Pump.LeakM3h, j.Varied(only).Pump.LeakM3h)
	}
}

// A reading between the others is a check; one that no leak explains is not used.
func TestGaugeReadingsThatContradict(t *testing.T) {
	j := calibratedJob(t, anyLeak, gauge("100 %", "810.60 mbar"), gauge("50 %", "820 mbar"),
		gauge("0 %", "613.25 mbar"))
	if said := strings.Join(j.Assumed.In(units.Metric), "\n"); !strings.Contains(said, "82.0 kPa with 50 % covered, "+
		"where the other readings and the pump make") || math.Abs(j.Pump.LeakM3h-20) > 0.5 {
		t.Errorf("leak %g\n%s", j.Pump.LeakM3h, said)
	}
	// covered, the table cannot show less than bare
	j = calibratedJob(t, anyLeak, gauge("100 %", "500 mbar"), gauge("0 %", "613.25 mbar"))
	if said := strings.Join(j.Assumed.In(units.Metric), "\n"); !strings.Contains(said,
		"the gauge readings are not used") ||
		j.Layer.ThroughM2 != 1e-13 {
		t.Errorf("%g\n%s", j.Layer.ThroughM2, said)
	}
}
