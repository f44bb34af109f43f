package pieces

import (
	"cmp"
	"math"
	"slices"

	"staydown/parse"
	"staydown/sweep"
)

// Retracts returns for each freed piece, by id, the first line after which the machine may wait: whenever the program
// passes it, the tool tip ends at or above the top of the stock. A piece without such a line is left out. It needs a
// byte per line and a few passes over the moves.
func Retracts(moves *parse.Moves, rec *sweep.Record) map[int]int {
	var freed []*sweep.Piece
	for i := range rec.Pieces {
		if p := &rec.Pieces[i]; p.ComesFree() {
			freed = append(freed, p)
		}
	}
	if len(freed) == 0 {
		return nil
	}
	slices.SortStableFunc(freed, func(p, q *sweep.Piece) int { return cmp.Compare(q.Freed, p.Freed) })
	top := rec.Stock.TopMM()
	ends := func(i int) bool { return i+1 == moves.Len() || moves.At(i+1).Line != moves.At(i).Line }
	var last int32
	for _, m := range moves.All() {
		last = max(last, m.Line)
	}
	down := make([]bool, last+1) // lines that the program leaves at least once with the tool below the top
	for i, m := range moves.All() {
		if m.End.Z < top && ends(i) {
			down[m.Line] = true
		}
	}
	out := map[int]int{}
	i, next := moves.Len()-1, 0
	for _, p := range freed { // from the last one back
		for from := int(math.Ceil(float64(p.Freed))) - 1; i >= from; i-- {
			if line := moves.At(i).Line; !down[line] && ends(i) {
				next = int(line)
			}
		}
		if next > 0 {
			out[p.ID] = next
		}
	}
	return out
}
