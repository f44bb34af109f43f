package airflow

import (
	"math"

	"staydown/hold/job"
	"staydown/sweep"
)

// pair counts the side (or corner) that two fine cells share, as far as they lie in the stripe.
func (g *stripe) pair(ya, ia int, a *fineRow, yb, ib int, b *fineRow, how adjacency) {
	if a.slot[ia] == b.slot[ib] && a.depthMM[ia] == b.depthMM[ib] && a.ground[ia] == b.ground[ib] &&
		(a.cut[ia] == b.cut[ib] || a.inside[ia] && b.inside[ib]) && (how == cornerwise || g.cellOf(ya, ia) == g.cellOf(yb, ib)) {
		return
	}
	ownA, ownB := g.owns(ya), g.owns(yb)
	if ownA {
		if g.layer != nil {
			g.wall(ya, ia, a, ib, b, how)
		}
		if a.covered[ia] && a.ground[ia].onLayer() {
			g.side(ya, ia, a, g.mirrored(ib, b, ia, a, how), how)
		}
	}
	if ownB {
		if g.layer != nil {
			g.wall(yb, ib, b, ia, a, how)
		}
		if b.covered[ib] && b.ground[ib].onLayer() {
			g.side(yb, ib, b, g.mirrored(ia, a, ib, b, how), how)
		}
	}
	if how == cornerwise || !a.covered[ia] || !b.covered[ib] || !a.ground[ia].onLayer() || !b.ground[ib].onLayer() {
		return
	}
	if (a.ground[ia] == breathing) != (b.ground[ib] == breathing) {
		switch {
		case a.ground[ia] != breathing && ownA:
			g.rim[g.cellOf(ya, ia)]++
		case a.ground[ia] == breathing && ownB:
			g.rim[g.cellOf(yb, ib)]++
		}
	}
	ca, cb := g.cellOf(ya, ia), g.cellOf(yb, ib)
	if ca == cb || !ownA {
		return
	}
	face := 2 * cb // b lies west or south of a
	if ya != yb {
		face++
	}
	g.contact[face]++
	if at := min(a.cut[ia], b.cut[ib]); at < sweep.Never {
		key := partKey{face, min(a.slot[ia], b.slot[ib])}
		p, ok := g.parts[key]
		if !ok {
			p = parting{at: at, face: face}
		}
		p.at = min(p.at, at)
		p.n++
		g.parts[key] = p
	}
}

// wall counts what the wall of a cut into the layer, or the layer's open rim, lets in beyond the band beside it: from the moment the deeper
// of two cells is exposed, for good.
func (g *stripe) wall(iy, i int, row *fineRow, k int, other *fineRow, how adjacency) {
	if row.ground[i] != breathing || row.cut[i] == sweep.Never && other.inside[k] {
		return
	}
	if other.inside[k] && row.depthMM[i] <= other.depthMM[k] {
		return // the deeper one counts
	}
	wide, at := g.wallLeak(row.depthMM[i])-g.wallLeak(other.depthMM[k]), row.cut[i]
	if !other.inside[k] {
		if g.layer.Edge == job.SealedEdge {
			return
		}
		gap := leastRimGap
		if groove := g.region.zones[row.zone[i]].Groove; groove != nil {
			gap = math.Max(gap, (groove.PitchMM-groove.WidthMM)/2/g.reach)
		}
		wide, at = rimLeak(gap)-g.wallLeak(row.depthMM[i]), start
	}
	if wide <= 0 {
		return
	}
	side := how.side()
	leak := side.length() * g.fineMM * g.reach * wide
	if at == start {
		g.leakMM2 += leak
		return
	}
	g.add(iy, i, row, row.slot[i], event{at: at, leakMM2: float32(leak)})
}

// wallLeak is that of a wall down to the given depth in the layer. Walls beside each other are mostly alike.
func (g *stripe) wallLeak(depthMM float32) float64 {
	switch depthMM {
	case 0:
		return 0
	case g.lastWall.depthMM:
	default:
		g.lastWall.depthMM = depthMM
		g.lastWall.leak = wallLeak(math.Min(1, float64(depthMM)/g.layer.ThicknessMM))
	}
	return g.lastWall.leak
}

// neighbour is what a side looks at.
type neighbour struct {
	cut    sweep.Progress
	slot   int64
	inside bool
}

// mirrored gives the neighbour k in its row b of the cell i in its row a. Across a taped rim a corner looks at the mirror image of
// what lies along the rim, so that edges which meet the tape keep their length.
func (g *stripe) mirrored(k int, b *fineRow, i int, a *fineRow, how adjacency) neighbour {
	if how == cornerwise && !b.inside[k] && g.layer.Edge == job.SealedEdge {
		switch {
		case !b.inside[i] && a.inside[k]:
			return neighbour{a.cut[k], a.slot[k], true}
		case !a.inside[k] && b.inside[i]:
			return neighbour{b.cut[i], b.slot[i], true}
		}
	}
	return neighbour{b.cut[k], b.slot[k], b.inside[k]}
}

// side counts the side of the covered cell i towards a neighbour, from the moment that one is exposed until it is itself.
func (g *stripe) side(iy, i int, row *fineRow, other neighbour, how adjacency) {
	from, to := other.cut, row.cut[i]
	if from >= to {
		return
	}
	if !other.inside {
		g.atRim[g.cellOf(iy, i)] = true
	}
	if other.slot == row.slot[i] {
		return
	}
	up, down := event{at: from, sides: how.side()}, event{at: to}
	down.sides.add(how.side(), -1)
	g.add(iy, i, row, other.slot, up)
	if to < sweep.Never {
		g.add(iy, i, row, row.slot[i], down)
	}
}
