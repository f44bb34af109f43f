package machine

import (
	"testing"

	"github.com/paulmach/orb"

	"staydown/hold/airflow"
	"staydown/hold/job"
)

func TestFrictionIsThatOfTheOpenZonesUnderThePiece(t *testing.T) {
	zone := func(left, right float64, seal job.SealKind, friction float64, open bool) job.Zone {
		area := orb.Polygon{{{left, 0}, {right, 0}, {right, 100}, {left, 100}, {left, 0}}}
		return job.Zone{Area: area, Seal: seal, Friction: job.Friction{Dry: friction, Wet: friction / 2}, Open: open}
	}
	j := &job.Job{Layer: &job.Layer{Friction: job.Friction{Dry: 0.35, Wet: 0.1}}, Zones: []job.Zone{
		zone(0, 100, job.LayerSeal, 0, true),
		zone(100, 200, job.GasketSeal, 0.3, true),
		zone(200, 300, job.GasketSeal, 0.25, false),
		zone(300, 400, job.GasketSeal, 0.2, true),
		zone(400, 500, job.GasketSeal, 0.5, true),
	}}
	at := func(x float64) airflow.Patch { return airflow.Patch{X: x, Y: 50, AreaMM2: 36} }
	for _, c := range []struct {
		name    string
		patches []airflow.Patch
		want    float64
	}{
		{"on the layer", []airflow.Patch{at(20), at(40)}, 0.35},
		{"on the layer, up to the next zone", []airflow.Patch{at(97)}, 0.35},
		{"on a gasketed zone", []airflow.Patch{at(150)}, 0.3},
		{"on a gasketed zone that grips better than the layer", []airflow.Patch{at(450)}, 0.5},
		{"on both", []airflow.Patch{at(20), at(150)}, 0.3},
		{"a patch on both", []airflow.Patch{at(98)}, 0.3},
		{"a patch that reaches into a closed zone", []airflow.Patch{at(198)}, 0.3},
		{"on two gasketed zones", []airflow.Patch{at(150), at(350)}, 0.2},
		{"on no open zone", nil, 0.2},
	} {
		if got := Friction(j, c.patches, false, OpenZones(j)); got != c.want {
			t.Errorf("%s: %g, want %g", c.name, got, c.want)
		}
	}
}
