package hold

import "sync"

// likePieces are pieces of the same shape (see markAlike), cut out by the same tool, with findings. What takes long is
// looked for on the one with the least margin.
type likePieces struct {
	worst  []*stretch // the findings of that one
	once   sync.Once
	passMM float64 // its last pass; 0: none holds
}

// groupLike gives every list of findings of a piece the pieces like it.
func (a *Analysis) groupLike(all [][]*stretch) []*likePieces {
	type likeness struct{ shape, tool int }
	groups := map[likeness]*likePieces{}
	out := make([]*likePieces, len(all))
	for i, runs := range all {
		key := likeness{a.Result.Pieces[runs[0].piece-1].Shape, runs[0].worst.tool}
		g := groups[key]
		if g == nil {
			g = &likePieces{worst: runs}
			groups[key] = g
		}
		if worstOf(runs).worse(worstOf(g.worst)) {
			g.worst = runs
		}
		out[i] = g
	}
	return out
}

func worstOf(runs []*stretch) trial {
	worst := runs[0].worst
	for _, run := range runs[1:] {
		if run.worst.worse(worst) {
			worst = run.worst
		}
	}
	return worst
}
