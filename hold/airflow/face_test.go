package airflow

import (
	"testing"

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
		n := newNest(200, 200, 1, 100, 6)
		m := mustModel(t, n.sheet, Options{CellMM: 1}, edit)
		for p := sweep.Progress(0.5); p < sweep.Progress(n.moves+1); p += 0.37 {
			advance(t, m, p)
			var want, got [3]float64 // area and first moments
			n.each(func(i int, x, y float64) {
				if n.label[i] > 0 && n.cut[i] > p && n.owner(n.label[i], p) == 1 {
					want[0], want[1], want[2] = want[0]+1, want[1]+x, want[2]+y
				}
			})
			for _, q := range m.Patches(1) {
				got[0], got[1], got[2] = got[0]+q.AreaMM2, got[1]+q.AreaMM2*q.X, got[2]+q.AreaMM2*q.Y
			}
			closeTo(t, name+": area", got[0], want[0], 0.002) // cells of one slot go at once
			closeTo(t, name+": area", got[0], m.HeldAreaMM2(1), 1e-9)
			closeTo(t, name+": centroid x", got[1]/got[0], want[1]/want[0], 0.002)
			closeTo(t, name+": centroid y", got[2]/got[0], want[2]/want[0], 0.002)
			joined, single := pieceHold(m, 1), unjoinedHold(m, 1)
			if joined > single*(1+1e-9) || joined < single*0.99 {
				t.Errorf("%s, at %g: %.6f N from patches, %.6f N from groups", name, float64(p), joined, single)
			}
		}
	}
}
