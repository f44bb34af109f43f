package hold

import (
	"math"
	"sync"

	"github.com/paulmach/orb/planar"
)

// likePieces are pieces of the same shape and size, cut out by the same tool, with findings. What takes long is looked
// for on the one with the least margin.
type likePieces struct {
	worst  []*stretch // the findings of that one
	once   sync.Once
	passMM float64 // its last pass; 0: none holds
}

// likeness is what like pieces have in common: the tool, and areas and lengths in steps of likeStep.
type likeness struct {
	tool                   int
	area, rim, long, short int
}

// likeStep is how far, as a share, like pieces may differ: a cell more or less at their sides.
const likeStep = 0.02

func (a *Analysis) likenessOf(runs []*stretch) likeness {
	p := &a.rec.Pieces[runs[0].piece-1]
	steps := func(x float64) int { return int(math.Round(math.Log(math.Max(x, 1)) / likeStep)) }
	bound := p.Outline.Bound()
	wide, high := bound.Max[0]-bound.Min[0], bound.Max[1]-bound.Min[1]
	return likeness{runs[0].worst.tool, steps(p.AreaMM2), steps(planar.Length(p.Outline)), steps(math.Max(wide, high)),
		steps(math.Min(wide, high))}
}

// groupLike gives every list of findings of a piece those of the pieces like it.
func (a *Analysis) groupLike(all [][]*stretch) []*likePieces {
	groups := map[likeness]*likePieces{}
	out := make([]*likePieces, len(all))
	for i, runs := range all {
		key := a.likenessOf(runs)
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
