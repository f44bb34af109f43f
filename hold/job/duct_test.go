package job_test

import (
	"math"
	"testing"

	"staydown/hold/job"
)

// Hose, valve, ports and the depth of grooves, in the units that a Job carries.
func TestDucts(t *testing.T) {
	j := read(t, "flow = \"63 m3/h\"\n", `flow = "63 m3/h"
hose = { length = "10 m", bore = "2 in" }
valve = { conductance = "40 dm3/(s bar)", critical_ratio = 0.3 }
`)
	if h := j.Pump.Hose; h == nil || h.LengthMM != 10e3 || h.BoreMM != 50.8 {
		t.Errorf("hose %+v", h)
	}
	if v := j.Pump.Valve; v == nil || math.Abs(v.Conductance-4e-7) > 1e-18 || v.Critical != 0.3 || v.KvM3h != 0 {
		t.Errorf("valve %+v", v)
	}
	j = read(t, "flow = \"63 m3/h\"\n", "flow = \"63 m3/h\"\nvalve = { kv = \"12 m3/h\" }\n")
	if v := j.Pump.Valve; v == nil || v.KvM3h != 12 {
		t.Errorf("valve %+v", v)
	}
	const area = "area = [[\"0 mm\",\"0 mm\"],[\"600 mm\",\"400 mm\"]]\n"
	j = read(t, area, area+"port = { count = 4, diameter = \"20 mm\" }\ngroove = { pitch = \"20 mm\", width = \"5 "+
		"mm\", depth = \"4 mm\" }\n")
	if p := j.Zones[0].Port; p == nil || *p != (job.Port{Count: 4, DiameterMM: 20}) {
		t.Errorf("port %+v", p)
	}
	if g := j.Zones[0].Groove; g == nil || g.DepthMM != 4 {
		t.Errorf("groove %+v", g)
	}
	j = read(t, area, area+"port = { pitch = \"100 mm\", diameter = \"6 mm\" }\n")
	if p := j.Zones[0].Port; p == nil || *p != (job.Port{PitchMM: 100, DiameterMM: 6}) {
		t.Errorf("port %+v", p)
	}
	if j.Pump.Hose != nil || j.Pump.Valve != nil {
		t.Error("a duct that nobody wrote")
	}
}
