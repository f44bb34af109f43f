package sweep

import (
	"testing"

	"staydown/sweep/internal/testprog"
)

// Depths are told to 5 mm below the layer: deeper the tool is in the chuck anyway.
func TestDepthIsToldToFiveMillimetresBelowTheLayer(t *testing.T) {
	for _, c := range []struct{ layerMM, cutMM, wantMM float64 }{
		{2, 1.5, 1.5}, {2, 6.5, 6.5}, {2, 12, 7}, {18, 12, 12}, {0, 12, 12},
	} {
		p := testprog.New(1).Enter(20, 20, -6-c.cutMM).Line(30, 20, -6-c.cutMM).Up()
		r, err := Run(movesOf(p.Moves), testprog.EndMill(6), testprog.Plate(40, 40, 6),
			Options{CellMM: 0.5, LayerMM: c.layerMM})
		if err != nil {
			t.Fatal(err)
		}
		ix, iy := int((25-r.Grid.OriginX)/0.5), int((20-r.Grid.OriginY)/0.5)
		near(t, "depth", r.LayerDepthMM(ix, iy), c.wantMM, 1e-3)
	}
}
