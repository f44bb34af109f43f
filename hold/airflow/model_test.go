package airflow

import (
	"math"
	"testing"

	"staydown/hold/airflow/internal/sheettest"
	"staydown/hold/job"
	"staydown/sweep"
)

// testJob lets a test change the job of openTable.
type testJob struct{ *job.Job }

func advance(t testing.TB, m *Model, p sweep.Progress) Leak {
	t.Helper()
	leak, err := m.Advance(p)
	if err != nil {
		t.Fatal(err)
	}
	return leak
}

func mustModel(t testing.TB, s *sheettest.Sheet, opt Options, edit func(*testJob)) *Model {
	t.Helper()
	b := s.Stock.Blanks[0].Outline.Bound()
	tj := &testJob{sheettest.OpenTable(b.Max[0], b.Max[1], 0.75, 3e-13)}
	if edit != nil {
		edit(tj)
	}
	m, err := newModel(tj.Job, s.Source(), opt)
	if err != nil {
		t.Fatal(err)
	}
	return m
}

func TestHeldAreaIsExactToTheCell(t *testing.T) {
	s := sheettest.New(60, 40, 5, 0.5)
	round := func(x, y float64) bool { return math.Hypot(x-30, y-20) < 6 }
	kerf := func(x, y float64) bool { return !round(x, y) && math.Hypot(x-30, y-20) < 9 }
	s.CutWhere(3, kerf)
	cells := 0.0
	s.Each(func(i int, x, y float64) {
		if round(x, y) {
			s.Label[i] = 7
			cells++
		}
	})
	s.Owner = func(label int32, p sweep.Progress) int32 {
		if label == 7 && p >= 3 {
			return 2
		}
		return 1
	}
	m := mustModel(t, s, Options{}, nil)
	if got := m.HeldAreaMM2(1); got != 2400 {
		t.Errorf("before the cut the stock holds on %g mm2, want 60 x 40", got)
	}
	if _, err := m.Advance(3); err != nil {
		t.Fatal(err)
	}
	sheettest.CloseTo(t, "disc of 12 mm", m.HeldAreaMM2(2), cells*0.25, 1e-12)
	sheettest.CloseTo(t, "disc of 12 mm", m.HeldAreaMM2(2), math.Pi*36, 0.01) // pi R^2
	var area, x, y float64
	for _, p := range m.Patches(2) {
		area += p.AreaMM2
		x += p.AreaMM2 * p.X
		y += p.AreaMM2 * p.Y
	}
	sheettest.CloseTo(t, "area of the patches", area, m.HeldAreaMM2(2), 1e-9)
	sheettest.CloseTo(t, "centroid x", x/area, 30, 1e-9)
	sheettest.CloseTo(t, "centroid y", y/area, 20, 1e-9)
}
