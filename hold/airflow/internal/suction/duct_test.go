package suction

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"staydown/hold/airflow/internal/cells"
	"staydown/hold/airflow/internal/sheettest"
	"staydown/hold/internal/gas"
	"staydown/hold/job"
)

// Mass flows of ISO 6358 for C = 1 dm3/(s bar) from 101325 Pa, by downstream pressure (table computed from the
// standard's formula, rho0 = 1.185 kg/m3): the throttle has to give back the 101325 Pa.
func TestThrottleOfISO6358(t *testing.T) {
	for _, row := range []struct{ b, downPa, kgS float64 }{
		{0.5, 60e3, 1.180131e-3}, {0.5, 70e3, 1.109795e-3}, {0.5, 80e3, 0.978899e-3}, {0.5, 90e3, 0.756639e-3},
		{0.5, 95e3, 0.580952e-3},
		{0.5, 100e3, 0.272808e-3}, {0.5282817, 60e3, 1.189643e-3}, {0.5282817, 80e3, 0.999731e-3},
		{0.5282817, 100e3, 0.280755e-3},
		{0.5, 30e3, 1.200701e-3}, {0.5, 0, 1.200701e-3}, // choked
	} {
		sheettest.CloseTo(t, "upstream pressure", newThrottle(1e-8, row.b).upstreamPa(row.downPa, row.kgS), 101325,
			2e-5)
	}
}

// A port of 1 mm2 against the nozzle's own table (isentropic flow from 101325 Pa at 20 C, discharge coefficient 1,
// kg/s), taken at 0.6 of it.
func TestPortIsANozzle(t *testing.T) {
	for _, row := range []struct{ downPa, kgS float64 }{
		{95e3, 1.19219e-4}, {90e3, 1.54944e-4}, {80e3, 1.99457e-4}, {70e3, 2.24705e-4}, {60e3, 2.37011e-4},
		{20e3, 2.39172e-4},
	} {
		sheettest.CloseTo(t, "upstream pressure", newPort(1).upstreamPa(row.downPa, 0.6*row.kgS), 101325, 2e-3)
	}
}

// Kv = 10 m3/h from 101325 to 80000 Pa: m = Kv/36000 sqrt(p2 (p1 - p2)/(R T)) = 0.0395513 kg/s (hand arithmetic), and
// no more than at p1/2.
func TestThrottleOfKv(t *testing.T) {
	sheettest.CloseTo(t, "upstream pressure", throttleOfKv(10).upstreamPa(80e3, 0.0395513), 101325, 1e-5)
	sheettest.CloseTo(t, "choked", throttleOfKv(10).upstreamPa(20e3, 10.0/72000*101325/math.Sqrt(287.05287*293.15)),
		101325,
		1e-12)
}

// A long thin hose at creeping flow: p1^2 - p2^2 = 2 R T 128 mu L m/(pi D^4) (Poiseuille's law with a gas).
func TestHoseAtCreepingFlow(t *testing.T) {
	const m, d, l, down = 5e-6, 4e-3, 50.0, 20e3
	want := math.Sqrt(down*down + 2*287.05287*293.15*128*1.813e-5*l*m/(math.Pi*d*d*d*d))
	sheettest.CloseTo(t, "upstream pressure", newHose(job.Hose{LengthMM: 50e3, BoreMM: 4}).upstreamPa(down, m), want,
		1e-4)
}

// 100 m3/h of free air at 20 C through 3 m of 50 mm into 40 kPa, and so on: the pressure integrated along the hose in
// small steps, with the friction of Colebrook and White (the implicit formula that Haaland's stands for, 2 %), entry
// and exit as half a dynamic pressure at the entry and a whole one at the exit.
func TestHoseAgainstIntegration(t *testing.T) {
	for _, row := range []struct{ m3h, bore, length, down float64 }{
		{100, 50, 3, 40e3}, {300, 76, 5, 70e3}, {60, 32, 2, 20e3}, {20, 38, 10, 90e3},
	} {
		m := row.m3h / 3600 * 101325 / (287.05287 * 293.15)
		d := row.bore * 1e-3
		g := m / (math.Pi / 4 * d * d)
		re := g * d / 1.813e-5
		f := 0.03
		for range 50 {
			f = math.Pow(-2*math.Log10(1e-4/d/3.7+2.51/re/math.Sqrt(f)), -2)
		}
		const rt, steps = 287.05287 * 293.15, 20000
		p := row.down + g*g*rt/row.down/2
		for range steps {
			// dp (1 - G^2 R T/p^2) = -f/(2 D) G^2 R T/p dx
			p += f / (2 * d) * g * g * rt / p / (1 - g*g*rt/(p*p)) * row.length / steps
		}
		p += g * g * rt / p / 4
		got := newHose(job.Hose{LengthMM: row.length * 1e3, BoreMM: row.bore}).upstreamPa(row.down, m)
		if loss, want := got-row.down, p-row.down; math.Abs(loss-want) > 0.05*want {
			t.Errorf("%+v: %.0f Pa lost, integrated %.0f", row, loss, want)
		}
	}
}

// With ducts the pump takes what comes in, and each duct loses what its flow needs; wide ducts change nothing, and none
// raises the vacuum.
func TestDuctsBalance(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		pump := job.Pump{
			Kind:       rapid.SampledFrom([]job.PumpKind{job.RotaryVane, job.SideChannel}).Draw(t, "kind"),
			FlowM3h:    rapid.Float64Range(10, 600).Draw(t, "flow"),
			UltimatePa: 3000, LeakM3h: rapid.Float64Range(0, 5).Draw(t, "hoses"),
		}
		if pump.Kind == job.SideChannel {
			pump.UltimatePa = 75000
		}
		zones := []Plenum{{Holds: true}}
		zones[0].Let([cells.WayCount]Opening{cells.Kerfs: {rapid.Float64Range(0, 1e-11).Draw(t, "G"),
			rapid.Float64Range(0, 300).Draw(t, "A")}})
		free := WorkingPoint(pump, gas.SeaLevelPa, zones)
		if free.PumpPa != free.ChuckPa {
			t.Fatalf("without ducts: %g Pa at the pump, %g in the chuck", free.PumpPa, free.ChuckPa)
		}
		pump.Hose = &job.Hose{LengthMM: 10, BoreMM: 1000}
		if wide := WorkingPoint(pump, gas.SeaLevelPa, zones); math.Abs(wide.ChuckPa-free.ChuckPa) > 1e-3*free.ChuckPa {
			t.Fatalf("a wide hose: %g Pa, without %g", wide.ChuckPa, free.ChuckPa)
		}
		before := free.ChuckPa
		for _, bore := range []float64{150, 75, 40, 20, 5} {
			pump.Hose = &job.Hose{LengthMM: 3000, BoreMM: bore}
			pump.Valve = &job.Valve{Conductance: 1e-10 * bore * bore, Critical: 0.4}
			at := WorkingPoint(pump, gas.SeaLevelPa, zones)
			if at.ChuckPa < before*(1-1e-9) || at.ChuckPa < at.PumpPa {
				t.Fatalf("bore %g mm: %g Pa in the chuck after %g, %g at the pump", bore, at.ChuckPa, before,
					at.PumpPa)
			}
			before = at.ChuckPa
			taken := FlowM3h(pump, gas.SeaLevelPa, at.PumpPa) * at.PumpPa / gas.SeaLevelPa
			m := at.LeakKgS
			if parts := at.WaysKgS[cells.Kerfs] + at.HosesKgS; math.Abs(parts-m) > 1e-12*m {
				t.Fatalf("bore %g mm: %g kg/s come in, %g in parts", bore, m, parts)
			}
			if in := gas.FreeAirM3h(m, gas.SeaLevelPa); math.Abs(taken-in) > 1e-6*taken+1e-9 {
				t.Fatalf("bore %g mm: the pump takes %g m3/h of free air, %g come in", bore, taken, in)
			}
			if want := valveAndHose(pump.Valve, pump.Hose).upstreamPa(at.PumpPa,
				m); math.Abs(want-at.ChuckPa) > 1e-6*want {
				t.Fatalf("bore %g mm: %g Pa in the chuck, the ducts say %g", bore, at.ChuckPa, want)
			}
		}
	})
}
