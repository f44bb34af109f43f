package outline

import (
	"fmt"
	"slices"

	"github.com/paulmach/orb"
	"github.com/paulmach/orb/planar"

	"staydown/hold/dryrun"
	"staydown/parse/drawing"
	"staydown/sweep/parallel"
)

// layOut makes items and paths of the parts: the holes of a part before its outline.
func (g *judge) layOut(d *drawing.Drawing) {
	var all []Item
	for n, p := range d.Parts {
		area := planar.Area(p.Ring)
		outline := orb.Polygon{p.Ring}
		for h, hole := range p.Holes {
			i := newItem(OffcutItem, n+1, hole, offcutOf(hole.Ring, d.Parts))
			i.Hole = h + 1
			for _, inner := range i.Outline[1:] {
				i.AreaMM2 += planar.Area(inner) // clockwise
			}
			all = append(all, i)
			area -= planar.Area(hole.Ring)
			outline = append(outline, reversed(hole.Ring))
		}
		i := newItem(PartItem, n+1, p.Outline, outline)
		i.AreaMM2 = area
		all = append(all, i)
	}
	paths := g.follow(all)
	for i := range all {
		g.tooTight(&all[i], paths[i])
		if len(paths[i].Loops) > 0 {
			g.drawn, g.paths = append(g.drawn, all[i]), append(g.paths, paths[i])
		}
	}
	g.alike = newShapes(g.drawn).of
	g.drawn = append(g.drawn, Item{Kind: SheetItem})
}

// offcutOf is what falls out of a hole: without the parts that lie in it.
func offcutOf(hole orb.Ring, parts []drawing.Part) orb.Polygon {
	out := orb.Polygon{hole}
	box := hole.Bound()
	within := func(ring, p orb.Ring) bool { return planar.RingContains(ring, drawing.Inside(p)) }
	var inner []orb.Ring
	for _, p := range parts {
		if b := p.Ring.Bound(); box.Contains(b.Min) && box.Contains(b.Max) && planar.Area(p.Ring) < planar.Area(hole) &&
			within(hole, p.Ring) {
			inner = append(inner, p.Ring)
		}
	}
	for _, ring := range inner { // those in a hole of another part that lies in this hole are no holes of the offcut
		if !slices.ContainsFunc(inner, func(o orb.Ring) bool {
			return planar.Area(o) > planar.Area(ring) && within(o, ring)
		}) {
			out = append(out, reversed(ring))
		}
	}
	return out
}

// clearedDiameters: a hole into which no tool of so many diameters goes would leave an offcut narrower than the tool.
const clearedDiameters = 3

// follow gives the path of the tool for each item; those of the same shape share one.
func (g *judge) follow(all []Item) []dryrun.Path {
	paths := make([]dryrun.Path, len(all))
	alike := newShapes(all)
	parallel.For(max(1, g.workers), len(alike.firsts), func(_, k int) {
		i := alike.firsts[k]
		ring, diameter := all[i].Outline[0], g.tool.DiameterMM
		switch {
		case all[i].Kind != OffcutItem:
			paths[i] = dryrun.Follow(ring, false, diameter)
		case len(dryrun.Follow(ring, true, clearedDiameters*diameter).Loops) == 0:
			paths[i] = dryrun.Clear(ring, diameter)
		default:
			paths[i] = dryrun.Follow(ring, true, diameter)
		}
	})
	for i, first := range alike.of {
		if first != i {
			from, to := all[first].Outline.Bound().Min, all[i].Outline.Bound().Min
			paths[i] = paths[first].Moved(to[0]-from[0], to[1]-from[1])
		}
	}
	return paths
}

func newItem(k Kind, part int, o drawing.Outline, outline orb.Polygon) Item {
	b := o.Ring.Bound()
	return Item{Kind: k, Part: part, Layer: o.Layer, Line: o.Line, Outline: outline, AreaMM2: planar.Area(o.Ring),
		SizeMM: [2]float64{b.Max[0] - b.Min[0], b.Max[1] - b.Min[1]}}
}

func reversed(r orb.Ring) orb.Ring {
	r = r.Clone()
	r.Reverse()
	return r
}

// fresh gives the items where they lie now, without trials.
func (g *judge) fresh() []Item {
	out := slices.Clone(g.drawn)
	for i := range out {
		var moved orb.Polygon
		for _, ring := range out[i].Outline {
			r := ring.Clone()
			for k := range r {
				r[k][0] += g.offset[0]
				r[k][1] += g.offset[1]
			}
			moved = append(moved, r)
		}
		out[i].Outline = moved
	}
	return out
}

// tooTight notes where the tool is too wide.
func (g *judge) tooTight(i *Item, p dryrun.Path) {
	name := fmt.Sprintf("part %d", i.Part)
	if i.Kind == OffcutItem {
		name = fmt.Sprintf("hole %d of part %d", i.Hole, i.Part)
	}
	i.UncutMM2, i.MilledAway = p.UncutMM2, p.Clears()
	switch {
	case len(p.Loops) == 0:
		g.notes = append(g.notes, Note{i.Line, fmt.Sprintf("%s (%.4g x %.4g mm) is too narrow for the tool of %.4g "+
			"mm; it is not cut", name, i.SizeMM[0], i.SizeMM[1], g.tool.DiameterMM)})
	case p.UncutMM2 > 0:
		g.notes = append(g.notes, Note{i.Line, fmt.Sprintf("%s is too tight for the tool of %.4g mm, which leaves "+
			"%.0f mm2 of slots and inner corners standing", name, g.tool.DiameterMM, p.UncutMM2)})
	}
}
