package gather_test

import (
	"reflect"
	"testing"

	"pgregory.net/rapid"

	"staydown/hold/airflow/internal/gather"
	"staydown/hold/airflow/internal/sheettest"
	"staydown/hold/airflow/internal/zones"
	"staydown/sweep"
)

// ringCut cuts a ring round a place out of a sheet, in four moves from first on; what lies within it is a piece.
func ringCut(s *sheettest.Sheet, x0, y0, half, kerf float64, first int, label int32) {
	s.Each(func(i int, x, y float64) {
		dx, dy := x-x0, y-y0
		far := max(dx, -dx, dy, -dy)
		switch {
		case s.Label[i] == 0 || far >= half+kerf:
		case far < half:
			s.Label[i] = label
		default:
			side := 0
			for k, along := range []float64{-dy, dx, dy, -dx} {
				if along == far {
					side = k
				}
			}
			s.Cut[i] = min(s.Cut[i], sweep.Progress(float64(first+side)+0.4+0.5*(dx+dy)/(4*(half+kerf))))
			s.Depth[i] = 0.2
		}
	})
}

// Air cells made from those of the uncut sheet are the same as when all are gathered.
func TestMadeFromTheUncutSheetAsGatheredWhole(t *testing.T) {
	made, drawn := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		drawn++
		const wide, high = 70, 60
		s := sheettest.New(wide, high, rapid.SampledFrom([]float64{0, 2, 5}).Draw(t, "margin"), 0.5)
		if rapid.Bool().Draw(t, "cut-out") {
			s.Each(func(i int, x, y float64) {
				if x > 4 && x < 9 && y > 7 && y < 50 {
					s.Label[i], s.Cut[i] = 0, 0
				}
			})
		}
		j := sheettest.RandomTable(t, wide, high)
		m := rapid.IntRange(1, 5).Draw(t, "m")
		lay := func() *zones.Raster { return zones.New(s.Grid, s.Stock, j, 1) }
		cut := s.Source()
		uncut := gather.NewUncut(cut, j, lay(), m)
		for k := range rapid.IntRange(1, 2).Draw(t, "parts") {
			ringCut(s, rapid.Float64Range(15, wide-15).Draw(t, "x"), rapid.Float64Range(15, high-15).Draw(t, "y"),
				rapid.Float64Range(1, 9).Draw(t, "half"), rapid.Float64Range(0.3, 3).Draw(t, "kerf"), 4*k, int32(k+2))
		}
		got, err := uncut.Cells(cut, j, lay())
		if err != nil {
			t.Fatal(err)
		}
		if got == nil {
			return
		}
		made++
		want, err := gather.Cells(cut, j, lay(), m)
		if err != nil {
			t.Fatal(err)
		}
		if !reflect.DeepEqual(got, want) {
			a, b := reflect.ValueOf(*got), reflect.ValueOf(*want)
			for k := range a.NumField() {
				if !reflect.DeepEqual(a.Field(k).Interface(), b.Field(k).Interface()) {
					t.Errorf("%s: %v, gathered whole %v", a.Type().Field(k).Name, a.Field(k), b.Field(k))
				}
			}
		}
	})
	if 2*made < drawn {
		t.Errorf("only %d of %d sheets were made from the uncut one", made, drawn)
	}
}

// What reaches the rim of the sheet, or cuts most of it, is left to whoever gathers all.
func TestNotMadeFromTheUncutSheet(t *testing.T) {
	j := sheettest.OpenTable(60, 40, 0.75, 3e-13)
	for name, cut := range map[string]func(x, y float64) bool{
		"through the rim": func(x, y float64) bool { return x < 20 && y > 18 && y < 21 },
		"most of it":      func(x, y float64) bool { return x > 5 && x < 55 && y > 4 && y < 36 },
	} {
		s := sheettest.New(60, 40, 2, 0.5)
		uncut := gather.NewUncut(s.Source(), j, zones.New(s.Grid, s.Stock, j, 1), 2)
		s.CutWhere(3, cut)
		if got, err := uncut.Cells(s.Source(), j, zones.New(s.Grid, s.Stock, j, 1)); got != nil || err != nil {
			t.Errorf("%s: air cells %v, error %v", name, got != nil, err)
		}
	}
}
