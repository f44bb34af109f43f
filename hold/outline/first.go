package outline

import (
	"slices"

	"github.com/paulmach/orb"
	"github.com/paulmach/orb/planar"

	"staydown/parse/drawing"
)

// Of a drawing of many parts the first run cuts a few copies of each shape with care, so that one run tells how all of
// it fares in one pass and with every care. What is taken from it is confirmed by the last run, in which every copy is
// cut in its own way.
const (
	copiesForOne = 20 // of a shape, for each copy that tries a way
	copiesInWay  = 2  // that try it, at most
)

// firstWays are the ways of the items in the first run: one pass, but for those copies.
func (g *judge) firstWays() []Way {
	how := make([]Way, len(g.items))
	if len(g.paths) <= manyParts {
		return how
	}
	for _, list := range g.copies() {
		n := min(copiesInWay, len(list)/copiesForOne) * len(cares)
		for k := range n { // evenly among them
			i := list[(2*k+1)*len(list)/(2*n)]
			if !g.items[i].MilledAway {
				how[i] = g.inWay(i, cares[k%len(cares)])
			}
		}
	}
	return how
}

// copies are the items of each shape, by the first of them.
func (g *judge) copies() map[int][]int {
	out := map[int][]int{}
	for i, first := range g.alike {
		out[first] = append(out[first], i)
	}
	return out
}

// fewCopies are checked one by one.
const fewCopies = 10

// manyCopies tells whether some shape has so many that they are not.
func (g *judge) manyCopies() bool {
	for _, list := range g.copies() {
		if len(list) >= fewCopies {
			return true
		}
	}
	return false
}

// cutAlike are points in the items of each shape that are cut in the same way, where they are many.
func (g *judge) cutAlike(how []Way) (out [][]orb.Point) {
	type kind struct {
		first int
		way   Way
	}
	at := map[kind]int{}
	for i, first := range g.alike {
		k := kind{first, how[i]}
		if _, known := at[k]; !known {
			at[k] = len(out)
			out = append(out, nil)
		}
		out[at[k]] = append(out[at[k]], drawing.Inside(g.items[i].Outline...))
	}
	return slices.DeleteFunc(out, func(points []orb.Point) bool { return len(points) < fewCopies })
}

// shareOnePass gives the copies that were cut with care the worst trial in one pass of those that were not.
func (g *judge) shareOnePass(how []Way) {
	for _, list := range g.copies() {
		worst := g.worstOf(list, OnePass)
		for _, i := range list {
			if how[i] != OnePass {
				g.items[i].Trials[OnePass] = worst
			}
		}
	}
}

// unopened is the length of all kerfs over that of those that are open all through: what leaks grows by no more where
// the others are open as well.
func (g *judge) unopened(how []Way) float64 {
	all, open := 0.0, 0.0
	for i, p := range g.paths {
		length := 0.0
		for _, loop := range p.Loops {
			length += planar.Length(loop)
		}
		all += length
		if how[i] <= ThinPass {
			open += length
		}
	}
	return all / open
}

func onePassOnly(how []Way) bool {
	return !slices.ContainsFunc(how, func(w Way) bool { return w != OnePass })
}
