package airflow

import (
	"math"
	"testing"

	"github.com/paulmach/orb"
	"pgregory.net/rapid"

	"staydown/hold/airflow/internal/cells"
	"staydown/hold/airflow/internal/layer"
	"staydown/hold/airflow/internal/sheettest"
	"staydown/hold/airflow/internal/suction"
	"staydown/hold/job"
	"staydown/hold/material"
	"staydown/sweep"
)

// sum adds up the ways of a leak.
func (l Leak) sum() (conductance, orifice float64) {
	for _, way := range l.Ways {
		conductance, orifice = conductance+way.ConductanceM3, orifice+way.OrificeMM2
	}
	return conductance, orifice
}

// Each way alone, on a layer of 1 mm: what lies open and its band of (2 ln 2)/pi of the thickness (closed form), for
// edges of some length along the grid; the ways that are not there let nothing in.
func TestWaysOfTheLeak(t *testing.T) {
	const b = 0.44127
	// The stock covers 100 x 80 mm of a table of 140 x 120 mm, if it does not cover all.
	for _, row := range []struct {
		name string
		s    func() *sheettest.Sheet
		edit func(*testJob)
		want map[cells.Way]float64 // mm2 of bared layer
	}{
		{"a whole sheet on a taped layer", func() *sheettest.Sheet { return sheettest.New(100, 80, 0, 0.5) }, nil, nil},
		{"bare table and rim", func() *sheettest.Sheet { return sheettest.New(100, 80, 20, 0.5) },
			func(j *testJob) { j.Zones[0].Area = sheettest.Box(-20, -20, 120, 100) },
			map[cells.Way]float64{cells.Bare: 140*120 - 100*80, cells.Rim: 100*80 - (100-2*b)*(80-2*b)}},
		{"bare table beyond the grid", func() *sheettest.Sheet { return sheettest.New(100, 80, 5, 0.5) },
			func(j *testJob) { j.Zones[0].Area = sheettest.Box(-20, -20, 120, 100) },
			map[cells.Way]float64{cells.Bare: 140*120 - 100*80, cells.Rim: 100*80 - (100-2*b)*(80-2*b)}},
		{"a kerf", func() *sheettest.Sheet {
			s := sheettest.New(100, 80, 0, 0.5)
			s.CutWhere(1, func(x, _ float64) bool { return x > 47 && x < 53 })
			return s
		}, nil, map[cells.Way]float64{cells.Kerfs: 80 * (6 + 2*b)}},
		{"a drilled strip", func() *sheettest.Sheet {
			s := sheettest.New(100, 80, 0, 0.5)
			s.CutWhere(1.5, func(x, _ float64) bool { return x > 47 && x < 53 })
			s.Drilled = []int{1}
			return s
		}, nil, map[cells.Way]float64{cells.Holes: 80 * (6 + 2*b)}},
		{"a cut-out", func() *sheettest.Sheet {
			s := sheettest.New(100, 80, 0, 0.5)
			s.Stock.Blanks[0].Outline = append(s.Stock.Blanks[0].Outline, orb.Ring(sheettest.Box(30, 30, 60, 50)[0]))
			s.Each(func(i int, x, y float64) {
				if x > 30 && x < 60 && y > 30 && y < 50 {
					s.Cut[i], s.Label[i] = 0, 0
				}
			})
			return s
		}, nil, map[cells.Way]float64{cells.Holes: (30 + 2*b) * (20 + 2*b)}},
		{"the layer's rim", func() *sheettest.Sheet { return sheettest.New(100, 80, 0, 0.5) },
			func(j *testJob) { j.Layer.Edge = job.OpenEdge },
			map[cells.Way]float64{cells.LayerRim: 360 * (layer.FullLossWidth + layer.RimLeak(layer.LeastRimGap))}},
		{"through the work", func() *sheettest.Sheet { return sheettest.New(100, 80, 0, 0.5) },
			// 6 mm on 1 mm
			func(j *testJob) { j.porous(3e-13, 3e-13, material.FacedNone) },
			map[cells.Way]float64{cells.Work: 100 * 80 / 7.0}},
	} {
		m := mustModel(t, row.s(), Options{CellMM: 1, Tol: 1e-9}, func(j *testJob) {
			j.Layer.ThicknessMM, j.Layer.Edge = 1, job.SealedEdge
			if row.edit != nil {
				row.edit(j)
			}
		})
		leak := advance(t, m, 2)
		for way := range cells.WayCount {
			got, want := leak.Ways[way].ConductanceM3/(3e-13/1e-3)*1e6, row.want[way]
			if math.Abs(got-want) > 0.03*want+1e-9 { // corners
				t.Errorf("%s, way %d: %.3f mm2, want %.3f", row.name, way, got, want)
			}
		}
	}
}

// The ways of a gasketed zone: breached, and with work that breathes.
func TestWaysOfAGasketedZone(t *testing.T) {
	s := sheettest.New(100, 80, 0, 0.5)
	s.CutWhere(1, func(x, y float64) bool { return math.Abs(x-50) < 5 && math.Abs(y-40) < 5 })
	m := mustModel(t, s, Options{}, func(j *testJob) {
		j.Layer = nil
		j.Zones[0].Seal, j.Zones[0].Area = job.GasketSeal, sheettest.Box(20, 20, 80, 60)
		j.porous(1e-13, 1e-13, material.FacedNone)
	})
	whole, open := advance(t, m, 0), advance(t, m, 1)
	if whole.Ways[cells.Gaskets] != (suction.Opening{}) || whole.Ways[cells.Work].ConductanceM3 <= 0 {
		t.Errorf("whole: %+v", whole.Ways)
	}
	if got := open.Ways[cells.Gaskets].OrificeMM2; got != 0.85*100 || open.Ways[cells.Kerfs] != (suction.Opening{}) {
		t.Errorf("breached: %+v", open.Ways)
	}
}

// The ways sum to the whole, none lets air out, and bare table and holes of the stock never change.
func TestWaysSumToTheWhole(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := sheettest.Random(t, 30, 20)
		s.Drilled = []int{0, 2}
		j := sheettest.RandomTable(t, 30, 20)
		tj := testJob{j}
		tj.porous(j.Layer.ThroughM2*rapid.SampledFrom([]float64{0, 0.1, 1}).Draw(t, "work"), j.Layer.ThroughM2,
			material.FacedNone)
		if rapid.Bool().Draw(t, "larger table") {
			j.Zones[0].Area = sheettest.Box(-5, -5, 35, 30)
		}
		m, err := newModel(j, s.Source(), Options{CellMM: 1, Tol: 1e-8})
		if err != nil {
			t.Fatal(err)
		}
		bare := -1.0
		for p := sweep.Progress(0); p < 5; p++ {
			leak, err := m.Advance(p)
			if err != nil {
				t.Fatal(err)
			}
			conductance, orifice := leak.sum()
			if math.Abs(conductance-leak.ConductanceM3) > 1e-12*leak.ConductanceM3 ||
				math.Abs(orifice-leak.OrificeMM2) > 1e-12*leak.OrificeMM2 {
				t.Fatalf("%+v sums to %g m3 and %g mm2", leak, conductance, orifice)
			}
			for way, o := range leak.Ways {
				if o.ConductanceM3 < -1e-9*leak.ConductanceM3 || o.OrificeMM2 < 0 {
					t.Fatalf("way %d: %+v", way, o)
				}
			}
			if got := leak.Ways[cells.Bare].ConductanceM3; bare >= 0 && got != bare {
				t.Fatalf("bare table: %g, before %g", got, bare)
			}
			bare = leak.Ways[cells.Bare].ConductanceM3
		}
	})
}
