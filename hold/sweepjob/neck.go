package sweepjob

import (
	"math"

	"staydown/hold/cutload"
	"staydown/hold/internal/steploads"
	"staydown/hold/job"
	"staydown/parse"
	"staydown/sweep"
)

// neckPeaks: joins that carry less than this multiple of the cutter's peak load are necks. Margins are never near it,
// but the moment from which a piece counts as on its own is.
const neckPeaks = 10

// leastUpShare is the share of the side load that is taken for the lift at least: a cutter that presses down in one cut
// lifts in another.
const leastUpShare = 0.1

// Neck returns, step by step, the size up to which the joins of a piece are a neck: less than ten times the peak load
// breaks or bends them. Without a known strength or load nothing is a neck.
func Neck(prog *parse.Program, j *job.Job) func(*sweep.Step) sweep.Neck {
	loads := steploads.Model{Moves: &prog.Moves, Job: j, BottomMM: j.Stock.BottomMM}
	// A cut that goes through decides when a piece is on its own; the many that differ in finishing do not.
	fine, coarse := cutload.NewCache(j.Stock.Material), cutload.NewCoarseCache(j.Stock.Material)
	w := &j.Stock.Material
	thick := j.Stock.TopMM() - j.Stock.BottomMM
	return func(s *sweep.Step) (n sweep.Neck) {
		tool := j.Tools[int(prog.Moves.At(int(s.Move)).Tool)]
		cuts := coarse
		if s.Flags&sweep.Breakthrough != 0 {
			cuts = fine
		}
		load, err := cuts.Cutting(tool, loads.Cut(s, steploads.Change{}))
		weak := math.Min(w.Shear.Likely, w.Tensile.Likely)
		if err != nil || !(weak > 0) || !(thick > 0) {
			return n
		}
		n.SectionMM2 = neckPeaks * load.Peak / weak
		n.WidthMM = n.SectionMM2 / thick
		if w.Yield.Likely > 0 {
			// F = sigma w t^2 / (3 L): upright, and sideways for a bridge across the cut.
			n.BendMM2 = 3 * neckPeaks * math.Max(load.UpN, leastUpShare*load.Peak) / w.Yield.Likely
			n.EdgeMM2 = 3 * neckPeaks * load.Peak / w.Yield.Likely
			n.WidthMM = math.Max(n.WidthMM, math.Sqrt(3*neckPeaks*load.Peak*tool.DiameterMM/(w.Yield.Likely*thick)))
		}
		return n
	}
}
