package suction

import (
	"math"
	"testing"

	"staydown/hold/airflow/internal/sheettest"
	"staydown/hold/job"
)

// Displacement pump S0 (1 - p_ult/p), 100 m3/h. Source: pump-down law of vacuum handbooks, closed form.
func TestDisplacementPumpCurve(t *testing.T) {
	for _, row := range []struct{ ultimatePa, absPa, flowM3h float64 }{
		{5000, 101325, 95.07}, {5000, 50000, 90.00}, {5000, 20000, 75.00}, {5000, 10000, 50.00}, {5000, 6000, 16.67},
		{50, 101325, 99.95}, {50, 50000, 99.90}, {50, 20000, 99.75}, {50, 10000, 99.50}, {50, 6000, 99.17},
		{5000, 5000, 0}, {5000, 3000, 0}, {5000, 0, 0},
	} {
		for _, kind := range []job.PumpKind{job.RotaryVane, job.DryClaw} {
			pump := job.Pump{Kind: kind, FlowM3h: 100, UltimatePa: row.ultimatePa}
			if got := FlowM3h(pump, 101325, row.absPa); math.Abs(got-row.flowM3h) > 0.005 {
				t.Errorf("%v, ultimate %g, at %g Pa: %.4f m3/h, want %.2f", kind, row.ultimatePa, row.absPa, got,
					row.flowM3h)
			}
		}
	}
}

// Blower that reaches 0.3 of the atmosphere: half the flow at half of that. Source: straight line in pressure
// difference (common practice, no source); its reach scales with the density of the air.
func TestBlowerCurve(t *testing.T) {
	for _, kind := range []job.PumpKind{job.SideChannel, job.Ejector} {
		pump := job.Pump{Kind: kind, FlowM3h: 100, UltimatePa: 0.7 * 101325}
		for _, pa := range []float64{101325, 84556} {
			sheettest.CloseTo(t, "no vacuum", FlowM3h(pump, pa, pa), 100, 1e-12)
			sheettest.CloseTo(t, "half", FlowM3h(pump, pa, pa*0.85), 50, 1e-9)
			if s := FlowM3h(pump, pa, pa*0.699); s != 0 {
				t.Errorf("%v takes %g m3/h beyond its end", kind, s)
			}
		}
	}
}

func TestMeasuredCurve(t *testing.T) {
	curve := []job.PumpPoint{{AbsolutePa: 2000, FlowM3h: 30}, {AbsolutePa: 101300, FlowM3h: 63},
		{AbsolutePa: 10000, FlowM3h: 60}}
	pump := job.Pump{Kind: job.RotaryVane, FlowM3h: 999, UltimatePa: 1000, Curve: curve}
	for _, row := range []struct{ absPa, flowM3h float64 }{
		{101300, 63}, {101325, 63}, {10000, 60}, {6000, 45}, {55650, 61.5}, {2000, 30}, {1500, 15}, {1000, 0}, {500, 0},
	} {
		if got := FlowM3h(pump, 101325, row.absPa); math.Abs(got-row.flowM3h) > 1e-9 {
			t.Errorf("at %g Pa: %g m3/h, straight lines give %g", row.absPa, got, row.flowM3h)
		}
	}
	pump.UltimatePa = 3000 // above the last point: the curve ends there
	if got := FlowM3h(pump, 101325, 1999); got != 0 {
		t.Errorf("past its end the curve gives %g m3/h", got)
	}
}
