package hold

import (
	"math"

	"staydown/sweep"
)

// retracts gives, by the id of each freed piece, the first line from the one that frees it on behind which the machine may
// wait: whenever the program comes by there, the tool's tip ends at or above the top of the stock. A piece after which there
// is no such line is left out.
func (a *Analysis) retracts() map[int]int {
	moves, top := a.prog.Moves, a.topMM()
	ends := func(i int) bool { return i+1 == len(moves) || moves[i+1].Line != moves[i].Line }
	down := map[int32]bool{} // lines that the program leaves at least once with the tool below the top
	for i := range moves {
		if ends(i) && moves[i].End.Z < top {
			down[moves[i].Line] = true
		}
	}
	out := map[int]int{}
	for _, p := range a.rec.Pieces {
		if p.Freed <= 0 || p.Freed >= sweep.Never {
			continue
		}
		for i := int(math.Ceil(float64(p.Freed))) - 1; i < len(moves); i++ {
			if ends(i) && !down[moves[i].Line] {
				out[p.ID] = int(moves[i].Line)
				break
			}
		}
	}
	return out
}
