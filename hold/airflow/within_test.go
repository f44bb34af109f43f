package airflow

import (
	"testing"

	"github.com/paulmach/orb"

	"staydown/hold/airflow/internal/sheettest"
)

// An outline whose edges run just beyond the middles of a row and a column of air cells takes all of those cells, 7.5
// mm instead of 7.05 both ways here; the patches are scaled down to its area. One whose cells are smaller than it stays
// as it is.
func TestPatchesNeverOverstateAnOutline(t *testing.T) {
	s := sheettest.New(60, 40, 0, 0.5)
	m := mustModel(t, s, Options{CellMM: 1.5}, nil)
	for _, c := range []struct{ side, want float64 }{{7.05, 7.05 * 7.05}, {7.5, 7.5 * 7.5}, {8, 7.5 * 7.5}} {
		var area float64
		for _, p := range m.PatchesWithin(orb.MultiPolygon{sheettest.Box(15, 15, 15+c.side, 15+c.side)}) {
			area += p.AreaMM2
		}
		sheettest.CloseTo(t, "area of the patches", area, c.want, 1e-6)
	}
}
