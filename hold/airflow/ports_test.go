package airflow

import (
	"math"
	"testing"

	"staydown/hold/airflow/internal/sheettest"
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
