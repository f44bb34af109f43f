package field

import (
	"math"
	"reflect"
	"testing"

	"pgregory.net/rapid"

	"staydown/hold/airflow/internal/gather"
	"staydown/hold/airflow/internal/layer"
	"staydown/hold/airflow/internal/sheettest"
	"staydown/hold/airflow/internal/zones"
	"staydown/sweep"
)

// The field of a program that is made from that of the uncut sheet has the same coefficients as one that is made anew,
// and the same solution as far as both are solved.
func TestFieldFromTheUncutSheet(t *testing.T) {
	const tol = 1e-9
	made := 0
	rapid.Check(t, func(t *rapid.T) {
		const wide, high = 50, 44
		s := sheettest.New(wide, high, 2, 0.5)
		j, m := sheettest.RandomTable(t, wide, high), rapid.IntRange(1, 4).Draw(t, "m")
		sheet := layer.NewSheet(j)
		raster := func() *zones.Raster { return zones.New(s.Grid, s.Stock, j, sheet.Lambda()) }
		src := s.Source()
		uncut := gather.NewUncut(src, j, raster(), m)
		coarseMM := layer.CoarseLandMM(j, uncut.Air().Grid.CellMM)
		base := NewSolver(New(uncut.Air(), sheet, nil, coarseMM), tol, func(int32) {})
		if err := base.SolveAll(); err != nil {
			t.Fatal(err)
		}
		half, kerf := rapid.Float64Range(1, 9).Draw(t, "half"), rapid.Float64Range(0.5, 3).Draw(t, "kerf")
		deep := rapid.SampledFrom([]float32{0, 0.3}).Draw(t, "deep")
		s.Each(func(i int, x, y float64) {
			if far := math.Max(math.Abs(x-24), math.Abs(y-21)); far >= half && far < half+kerf {
				s.Cut[i], s.Depth[i] = sweep.Progress(2.5+(x-y)/100), deep
			}
		})
		air, err := uncut.Cells(src, j, raster())
		if err != nil || air == nil {
			return
		}
		made++
		cut, err := base.Cut(air, coarseMM, func(int32) {})
		if err != nil {
			t.Fatal(err)
		}
		got, want := &laid{Solver: cut}, lay(t, s, j, m, tol)
		same := func(when string) {
			for name, pair := range map[string][2]any{"kappa": {got.kappa, want.kappa}, "link": {got.link, want.link},
				"source": {got.source, want.source}, "sink": {got.sink, want.sink}, "drain": {got.drain, want.drain}} {
				if !reflect.DeepEqual(pair[0], pair[1]) {
					t.Fatalf("%s: %s differs from that of the field made anew", when, name)
				}
			}
			for i := range got.w {
				if math.Abs(got.w[i]-want.w[i]) > 2*tol {
					t.Fatalf("%s: w %.12f in cell %d, made anew %.12f", when, got.w[i], i, want.w[i])
				}
			}
			a, b := got.FlowsUnderCover(), want.FlowsUnderCover()
			if math.Abs(a.Out-b.Out) > 1e-5*b.Out+1e-9 {
				t.Fatalf("%s: %.9g mm2 go out, made anew %.9g", when, a.Out, b.Out)
			}
		}
		same("before")
		for _, p := range []sweep.Progress{2.6, 9} {
			got.advance(t, p)
			want.advance(t, p)
			same("cut")
		}
	})
	if made < 20 {
		t.Errorf("only %d fields were made from that of the uncut sheet", made)
	}
}
