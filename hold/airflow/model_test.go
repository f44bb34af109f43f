package airflow

import (
	"math"
	"testing"

	"staydown/sweep"
)

func mustModel(t testing.TB, s *sheet, opt Options, edit func(*testJob)) *Model {
	t.Helper()
	b := s.stock.Blanks[0].Outline.Bound()
	tj := &testJob{openTable(b.Max[0], b.Max[1], 0.75, 3e-13)}
	if edit != nil {
		edit(tj)
	}
	m, err := newModel(tj.Job, s.source(), opt)
	if err != nil {
		t.Fatal(err)
	}
	return m
}

func TestHeldAreaIsExactToTheCell(t *testing.T) {
	s := newSheet(60, 40, 5, 0.5)
	round := func(x, y float64) bool { return math.Hypot(x-30, y-20) < 6 }
	kerf := func(x, y float64) bool { return !round(x, y) && math.Hypot(x-30, y-20) < 9 }
	s.cutWhere(3, kerf)
	cells := 0.0
	s.each(func(i int, x, y float64) {
		if round(x, y) {
			s.label[i] = 7
			cells++
		}
	})
	s.owner = func(label int32, p sweep.Progress) int32 {
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
	closeTo(t, "disc of 12 mm", m.HeldAreaMM2(2), cells*0.25, 1e-12)
	closeTo(t, "disc of 12 mm", m.HeldAreaMM2(2), math.Pi*36, 0.01) // pi R^2
	var area, x, y float64
	for _, p := range m.Patches(2) {
		area += p.AreaMM2
		x += p.AreaMM2 * p.X
		y += p.AreaMM2 * p.Y
	}
	closeTo(t, "area of the patches", area, m.HeldAreaMM2(2), 1e-9)
	closeTo(t, "centroid x", x/area, 30, 1e-9)
	closeTo(t, "centroid y", y/area, 20, 1e-9)
}
