package airflow

import (
	"math"
	"slices"
	"testing"

	"github.com/paulmach/orb"

	"staydown/hold/airflow/internal/cells"
	"staydown/hold/airflow/internal/sheettest"
	"staydown/hold/airflow/internal/suction"
	"staydown/hold/internal/gas"
	"staydown/hold/job"
)

// Two zones on one pump, one with a port of 3 mm: what is bared in it draws through the port; the other keeps the
// pump's vacuum. Hold counts the weaker of the zones that hold something.
func TestZonesBehindTheirOwnPorts(t *testing.T) {
	model := func(bareZone float64, edit func(zones []job.Zone)) (State, Leak) {
		s := sheettest.New(200, 60, 0, 0.5)
		s.CutWhere(1, func(x, y float64) bool { return math.Hypot(x-bareZone, y-30) < 12 })
		m := mustModel(t, s, Options{CellMM: 2, Tol: 1e-9}, func(j *testJob) {
			j.Layer.Edge, j.Layer.ThroughM2, j.Layer.AlongM2 = job.SealedEdge, 1e-11, 1e-11
			a, b := j.Zones[0], j.Zones[0]
			a.Area, b.Area = sheettest.Box(0, 0, 90, 60), sheettest.Box(110, 0, 200, 60)
			j.Zones = []job.Zone{a, b}
			if edit != nil {
				edit(j.Zones)
			}
		})
		leak := advance(t, m, 1)
		state, err := Operate(job.Pump{Kind: job.RotaryVane, FlowM3h: 60, UltimatePa: 2000}, gas.SeaLevelPa, leak)
		if err != nil {
			t.Fatal(err)
		}
		return state, leak
	}
	free, leak := model(45, nil)
	port := func(zone int) func([]job.Zone) {
		return func(zones []job.Zone) { zones[zone].Port = &job.Port{Count: 1, DiameterMM: 3} }
	}
	behind, parts := model(45, port(0))
	sheettest.CloseTo(t, "the leak of both zones", parts.ConductanceM3, leak.ConductanceM3, 1e-12)
	sheettest.CloseTo(t, "that of the zone behind the port", (*parts.zones)[1].ConductanceM3, leak.ConductanceM3, 1e-6)
	m := behind.LeakM3h / 3600 * gas.SeaLevelPa / (gas.ConstantJKgK * gas.RoomK)
	// ISO 6358 with the critical ratio of air and the choked flow of 0.6 of the port's area
	const b = 0.52828178771747
	r := math.Max(b, behind.PumpPa/behind.ChuckPa)
	most := gas.OrificeKgS(0.6*math.Pi/4*9e-6, behind.ChuckPa, 0, 293.15)
	sheettest.CloseTo(t, "flow through the port", most*math.Sqrt(1-(r-b)/(1-b)*(r-b)/(1-b)), m, 1e-5)
	if behind.ChuckPa < free.ChuckPa*1.2 || behind.LeakM3h > free.LeakM3h {
		t.Errorf("behind the port: %+v, without: %+v", behind, free)
	}
	other, _ := model(45, port(1)) // no air passes the port of a zone that is tight
	sheettest.CloseTo(t, "a port of the tight zone", other.ChuckPa, free.ChuckPa, 1e-6)
}

// Two zones behind a valve each (C = 20 dm3/(s bar), b = 0.3), one open to the air through 20 mm2 of effective area,
// the other tight, on a displacement pump of 100 m3/h and 2 kPa. By hand (ISO 6358, nozzle at 20 C): the opening
// chokes, m = 0.0404147 x 20e-6 x 101325/sqrt(293.15) = 4.7835e-3 kg/s; the pump takes it at 2000 + m R T/S0 = 16491
// Pa, which is the pressure of the tight zone; 0.4 x^2 + 0.6 x 16491 x = 16491^2 + 0.49 (m/(C 1.185))^2 gives 24126 Pa
// in the other. Free air 4.7835e-3 R T/101325 = 14.302 m3/h.
func TestTwoZonesBehindValvesByHand(t *testing.T) {
	const openPa, tightPa, leakM3h = 24126.0, 16491.0, 14.302
	s := sheettest.New(200, 60, 0, 0.5)
	m := mustModel(t, s, Options{CellMM: 2}, func(j *testJob) {
		j.Layer.Edge = job.SealedEdge
		a, b := j.Zones[0], j.Zones[0]
		a.Area, b.Area = sheettest.Box(0, 0, 90, 60), sheettest.Box(110, 0, 200, 60)
		a.Valve = &job.Valve{Conductance: 20e-8, Critical: 0.3}
		b.Valve = a.Valve
		j.Zones = []job.Zone{a, b}
	})
	leak := advance(t, m, 0)
	zones := slices.Clone(*leak.zones)
	zones[1].Let([cells.WayCount]suction.Opening{cells.Holes: {OrificeMM2: 20}})
	leak.zones, leak.OrificeMM2 = &zones, 20
	pump := job.Pump{Kind: job.RotaryVane, FlowM3h: 100, UltimatePa: 2000}
	state, err := Operate(pump, gas.SeaLevelPa, leak)
	if err != nil {
		t.Fatal(err)
	}
	sheettest.CloseTo(t, "open zone", state.ZonesPa[1], openPa, 1e-4)
	sheettest.CloseTo(t, "tight zone", state.ZonesPa[2], tightPa, 1e-4)
	sheettest.CloseTo(t, "vacuum that is told", state.ChuckPa, openPa, 1e-4)
	sheettest.CloseTo(t, "leak", state.LeakM3h, leakM3h, 1e-4)
	sheettest.CloseTo(t, "its holes", state.WaysM3h[cells.Holes], leakM3h, 1e-4)
	for _, p := range m.Patches(1) {
		want := gas.SeaLevelPa - openPa
		if p.X > 110 {
			want = gas.SeaLevelPa - tightPa
		}
		if p.X < 90 || p.X > 110 {
			sheettest.CloseTo(t, "difference under the sheet", state.DifferencePa(gas.SeaLevelPa, p), want, 1e-4)
		}
	}
	// The same point when the vacuum is given: what the tight zone is at when the open one is at so much.
	at := leak.ChuckAt(gas.SeaLevelPa, state.ChuckPa)
	sheettest.CloseTo(t, "tight zone at that vacuum", at.ZonesPa[2], tightPa, 1e-4)
}

// Two zones that touch below a tight sheet, at 20 and 60 kPa: squared pressure beside their border is that of the zone
// plus or less half of the difference times exp(-x/lambda) (exact for the field of one decay length lambda). The hold
// of a strip is never overstated, and by no more than lambda and a cell of the difference understated.
func TestZonesThatTouch(t *testing.T) {
	const wide, high, cell = 200.0, 60.0, 1.0
	chuck := Chuck{ChuckPa: 60e3, ZonesPa: []float64{60e3, 20e3, 60e3}}
	m := mustModel(t, sheettest.New(wide, high, 0, 0.5), Options{CellMM: cell}, func(j *testJob) {
		j.Layer.Edge, j.Layer.ThicknessMM = job.SealedEdge, 12
		a, b := j.Zones[0], j.Zones[0]
		a.Area, b.Area = sheettest.Box(0, 0, wide/2, high), sheettest.Box(wide/2, 0, wide, high)
		a.Port = &job.Port{Count: 1, DiameterMM: 10}
		j.Zones = []job.Zone{a, b}
	})
	advance(t, m, 0)
	lambda := m.sheet.Lambda()
	for _, width := range []float64{10, 20, 50, 100} {
		for _, strong := range []bool{true, false} {
			from, own, other := wide/2-width, 20e3, 60e3
			if !strong {
				from, own, other = wide/2, 60e3, 20e3
			}
			got, exact := 0.0, 0.0
			for _, p := range m.PatchesWithin(orb.MultiPolygon{sheettest.Box(from, 0, from+width, high)}) {
				got += chuck.DifferencePa(gas.SeaLevelPa, p) * p.AreaMM2 / high
			}
			const parts = 1000
			for i := range parts {
				x := (float64(i) + 0.5) * width / parts
				squared := own*own + (other*other-own*own)/2*math.Exp(-x/lambda)
				exact += (gas.SeaLevelPa - math.Sqrt(squared)) * width / parts
			}
			if short := (exact - got) / 40e3; short < 0 || short > lambda+cell {
				t.Errorf("%g mm, strong %t: hold %.0f N/m, exact %.0f: short by %.2f mm of the difference", width,
					strong,
					got, exact, short)
			}
		}
	}
}
