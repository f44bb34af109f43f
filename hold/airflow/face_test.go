package airflow

import (
	"testing"

	"staydown/hold/airflow/internal/sheettest"
	"staydown/hold/job"
	"staydown/sweep"
)

// The patches of a sheet, whose parts leave it one by one, have the area and the first moment of its cells, counted one
// by one, and the hold of its groups, summed one by one, less at most the 1 % that joining takes.
func TestPatchesOfASheetThatLosesItsParts(t *testing.T) {
	for name, edit := range map[string]func(j *testJob){
		"layer":  nil,
		"gasket": func(j *testJob) { j.Layer, j.Zones[0].Seal = nil, job.GasketSeal },
	} {
		n := sheettest.NewNest(200, 200, 1, 100, 6)
		m := mustModel(t, n.Sheet, Options{CellMM: 1}, edit)
		for p := sweep.Progress(0.5); p < sweep.Progress(n.Moves+1); p += 0.37 {
			advance(t, m, p)
			var want, got [3]float64 // area and first moments
			n.Each(func(i int, x, y float64) {
				if n.Label[i] > 0 && n.Cut[i] > p && n.Owner(n.Label[i], p) == 1 {
					want[0], want[1], want[2] = want[0]+1, want[1]+x, want[2]+y
				}
			})
			for _, q := range m.Patches(1) {
				got[0], got[1], got[2] = got[0]+q.AreaMM2, got[1]+q.AreaMM2*q.X, got[2]+q.AreaMM2*q.Y
			}
			sheettest.CloseTo(t, name+": area", got[0], want[0], 0.002) // cells of one time bin go at once
			sheettest.CloseTo(t, name+": area", got[0], m.HeldAreaMM2(1), 1e-9)
			sheettest.CloseTo(t, name+": centroid x", got[1]/got[0], want[1]/want[0], 0.002)
			sheettest.CloseTo(t, name+": centroid y", got[2]/got[0], want[2]/want[0], 0.002)
			joined, single := pieceHold(m, 1), unjoinedHold(m, 1)
			if joined > single*(1+1e-9) || joined < single*0.99 {
				t.Errorf("%s, at %g: %.6f N from patches, %.6f N from groups", name, float64(p), joined, single)
			}
		}
	}
}
