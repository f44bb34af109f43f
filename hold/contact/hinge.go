package contact

import (
	"cmp"
	"math"
	"slices"
)

// maxHinges bounds the places at which webs act in the sums, so that a check stays cheap.
const maxHinges = 16

// webRegular is the part of a web's width over which its resistance to turning about itself is rounded off. Its true
// own moment is that of a quarter of its width; a fiftieth never overstates it and overstates a nearby center's moment
// by less than 0.1 %.
const webRegular = 50

// hinge is a place where webs hold with a force in N; spread is the regularization radius, mm.
type hinge struct{ x, y, force, spread float64 }

// hinges gives the places where the webs act, at most maxHinges, with the strength asked for. When there are more,
// neighbors round the center are joined at the center of their strength: what webs resist is a convex function of
// where they stand, so by Jensen's inequality joining them never adds strength.
func hinges(webs []Web, strength func(Web) float64, cx, cy float64) []hinge {
	all := make([]hinge, 0, len(webs))
	for _, w := range webs {
		if f := strength(w); f > 0 {
			all = append(all, hinge{w.X, w.Y, f, w.WidthMM / webRegular})
		}
	}
	if len(all) <= maxHinges {
		return merged(all)
	}
	slices.SortStableFunc(all, func(p, q hinge) int {
		return cmp.Compare(math.Atan2(p.y-cy, p.x-cx), math.Atan2(q.y-cy, q.x-cx))
	})
	joined := make([]hinge, maxHinges)
	for i := range joined {
		joined[i] = join(all[i*len(all)/maxHinges : (i+1)*len(all)/maxHinges])
	}
	return joined
}

// merged joins webs that stand on one another, nearer than an eighth of their widths together: the search for the limit
// surface expects one sharp point at a place.
func merged(hs []hinge) []hinge {
	for i := 0; i < len(hs); i++ {
		for j := i + 1; j < len(hs); j++ {
			if hypot(hs[i].x-hs[j].x, hs[i].y-hs[j].y) <= (hs[i].spread+hs[j].spread)*webRegular/8 {
				hs[i] = join([]hinge{hs[i], hs[j]})
				hs = append(hs[:j], hs[j+1:]...)
				j = i
			}
		}
	}
	return hs
}

func join(hs []hinge) hinge {
	var j hinge
	for _, h := range hs {
		j.force += h.force
		j.x += h.force * h.x
		j.y += h.force * h.y
		j.spread += h.force * h.spread
	}
	j.x, j.y, j.spread = j.x/j.force, j.y/j.force, j.spread/j.force
	return j
}

// forceOf sums up what the hinges carry.
func forceOf(hs []hinge) float64 {
	var sum float64
	for _, h := range hs {
		sum += h.force
	}
	return sum
}
