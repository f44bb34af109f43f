package sheettest

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"staydown/hold/job"
	"staydown/sweep"
)

// OpenTable is one breathing zone under all of the stock and a layer of the given thickness and permeability,
// isotropic.
func OpenTable(wide, high, thickness, k float64) *job.Job {
	return &job.Job{
		AmbientPa: 101325,
		Layer:     &job.Layer{ThicknessMM: thickness, ThroughM2: k, AlongM2: k},
		Zones:     []job.Zone{{Name: "A", Area: Box(0, 0, wide, high), Open: true}},
		Pump:      job.Pump{FlowM3h: 100, UltimatePa: 2000},
	}
}

// Random is a small sheet with rectangles and discs cut at random moments, some of them into the layer.
func Random(t *rapid.T, wide, high float64) *Sheet {
	return RandomCutBy(t, wide, high, 0.5)
}

// RandomCutBy is a random sheet whose cuts are at least 2 least wide.
func RandomCutBy(t *rapid.T, wide, high, least float64) *Sheet {
	s := New(wide, high, 2, 0.5)
	for k := rapid.IntRange(1, 5).Draw(t, "cuts"); k > 0; k-- {
		cx, cy := rapid.Float64Range(-2, wide+2).Draw(t, "cx"), rapid.Float64Range(-2, high+2).Draw(t, "cy")
		dx, dy := rapid.Float64Range(least, wide/3).Draw(t, "dx"), rapid.Float64Range(least, high/3).Draw(t, "dy")
		round := rapid.Bool().Draw(t, "round")
		at := sweep.Progress(rapid.IntRange(1, 64).Draw(t, "at")) / 16
		depth := rapid.SampledFrom([]float32{0, 0, 0.2}).Draw(t, "depth")
		hit := func(x, y float64) bool {
			u, v := (x-cx)/dx, (y-cy)/dy
			if round {
				return u*u+v*v < 1
			}
			return math.Abs(u) < 1 && math.Abs(v) < 1
		}
		s.CutWhere(at, hit)
		s.Each(func(i int, x, y float64) {
			if hit(x, y) {
				s.Depth[i] = max(s.Depth[i], depth)
			}
		})
	}
	return s
}

func RandomTable(t *rapid.T, wide, high float64) *job.Job {
	k := rapid.Float64Range(1e-14, 1e-11).Draw(t, "k")
	j := OpenTable(wide, high, rapid.SampledFrom([]float64{0.75, 3, 8}).Draw(t, "thickness"), k)
	j.Layer.AlongM2 = k * rapid.Float64Range(0.5, 4).Draw(t, "anisotropy")
	j.Layer.Edge = rapid.SampledFrom([]job.EdgeKind{job.OpenEdge, job.SealedEdge}).Draw(t, "edge")
	if rapid.Bool().Draw(t, "grooves") {
		j.Zones[0].Groove = &job.Groove{PitchMM: 8, WidthMM: 2}
	}
	return j
}

// CloseTo tells what differs from what is wanted by more than a relative bound.
func CloseTo(t *testing.T, what string, got, want, relative float64) {
	t.Helper()
	if !(math.Abs(got-want) <= relative*math.Abs(want)) {
		t.Errorf("%s: got %.9g, want %.9g within %g relative", what, got, want, relative)
	}
}
