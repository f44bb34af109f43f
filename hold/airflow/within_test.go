package airflow

import (
	"testing"

	"github.com/paulmach/orb"

	"staydown/hold/airflow/internal/sheettest"
)

// The patches of an outline under whole stock have its area, wherever its edges lie on the air cells: 1.5 mm wide here.
func TestPatchesHaveTheAreaOfTheirOutline(t *testing.T) {
	s := sheettest.New(60, 40, 0, 0.5)
	m := mustModel(t, s, Options{CellMM: 1.5}, nil)
	for _, side := range []float64{7.05, 7.5, 8} {
		var area float64
		for _, p := range m.PatchesWithin(orb.MultiPolygon{sheettest.Box(15, 15, 15+side, 15+side)}) {
			area += p.AreaMM2
		}
		sheettest.CloseTo(t, "area of the patches", area, side*side, 1e-6)
	}
}
