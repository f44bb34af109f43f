package airflow

import (
	"math"
	"testing"

	"staydown/hold/airflow/internal/sheettest"
	"staydown/hold/job"
	"staydown/sweep"
)

// A model made from the uncut sheet tells the same as one on its own, as far as both are solved, for every program on
// that sheet.
func TestModelFromTheUncutSheet(t *testing.T) {
	rec := discProgram(t)
	grooves := &job.Groove{PitchMM: 20, WidthMM: 5}
	var sheets UncutSheets
	for _, groove := range []*job.Groove{nil, grooves, grooves} {
		j := sheettest.OpenTable(120, 80, 0.75, 3e-13)
		j.Zones[0].Groove = groove
		own, err := New(j, rec, Options{})
		if err != nil {
			t.Fatal(err)
		}
		made, err := New(j, rec, Options{Uncut: &sheets})
		if err != nil {
			t.Fatal(err)
		}
		for _, at := range []sweep.Progress{0, 2.4, rec.Pieces[1].Freed} {
			want, got := advance(t, own, at), advance(t, made, at)
			sheettest.CloseTo(t, "conductance", got.ConductanceM3, want.ConductanceM3, 1e-4)
			if got.OrificeMM2 != want.OrificeMM2 {
				t.Errorf("opened %g mm2, on its own %g", got.OrificeMM2, want.OrificeMM2)
			}
			for piece := int32(1); piece <= 2; piece++ {
				a, b := made.Patches(piece), own.Patches(piece)
				if len(a) != len(b) {
					t.Fatalf("piece %d: %d patches, on its own %d", piece, len(a), len(b))
				}
				for k := range a {
					if a[k].AreaMM2 != b[k].AreaMM2 || math.Abs(a[k].W-b[k].W) > 2*defaultTol {
						t.Fatalf("piece %d, patch %d: %+v, on its own %+v", piece, k, a[k], b[k])
					}
				}
			}
		}
	}
	if len(sheets.sheets) != 2 || sheets.sheets[0].cells == nil {
		t.Errorf("%d sheets are kept, want one with grooves and one without", len(sheets.sheets))
	}
}
