package airflow

import (
	"math"

	"staydown/hold/job"
	"staydown/sweep"
)

// pair counts the side (or corner) that two cells share, as far as they lie in the band.
func (g *rowBand) pair(a, b fineCell, how adjacency) {
	if a.alike(b.kind) && (how == cornerwise || g.cellOf(a) == g.cellOf(b)) {
		return
	}
	ownA, ownB := g.owns(a.row.iy), g.owns(b.row.iy)
	if ownA {
		g.face(a, b, how)
	}
	if ownB {
		g.face(b, a, how)
	}
	if how == cornerwise || !a.creeps() || !b.creeps() {
		return
	}
	switch {
	case a.support != breathing && b.support == breathing && ownA:
		g.rim[g.cellOf(a)]++
	case a.support == breathing && b.support != breathing && ownB:
		g.rim[g.cellOf(b)]++
	}
	if west := g.cellOf(b); ownA && west != g.cellOf(a) { // or south
		g.link(faceOf(west, how), 1, min(a.cut, b.cut), min(a.bin, b.bin))
	}
}

// face counts what the side of a cell towards another means to the first.
func (g *rowBand) face(at, other fineCell, how adjacency) {
	if g.layer != nil {
		g.wall(at, other, how)
	}
	if at.creeps() {
		g.side(at, g.mirrored(other, at, how), how)
	}
}

func faceOf(cell int32, how adjacency) int32 {
	if how == aboveEachOther {
		return 2*cell + 1
	}
	return 2 * cell
}

// link widens a face between two air cells by n cells, until the moment at.
func (g *rowBand) link(face int32, n int, at sweep.Progress, bin int64) {
	g.faceWidth[face] += uint16(n)
	if at >= sweep.Never {
		return
	}
	closures := g.pending[int(face)/2/g.grid.NX%2].closures
	key := faceBin{face, bin}
	c, ok := closures[key]
	if !ok {
		c = closure{at: at, face: face}
	}
	c.at = min(c.at, at)
	c.n += int32(n)
	closures[key] = c
}

// wall counts what the wall of a cut into the layer, or the layer's open rim, lets in beyond the width that is lost
// beside it: from the moment the deeper of two cells is exposed, for good.
func (g *rowBand) wall(at, other fineCell, how adjacency) {
	if at.support != breathing || at.cut == sweep.Never && other.inside {
		return
	}
	if other.inside && at.depthMM <= other.depthMM {
		return // the deeper one counts
	}
	wide, when := g.wallLeak(at.depthMM)-g.wallLeak(other.depthMM), at.cut
	if !other.inside {
		if g.layer.Edge == job.SealedEdge {
			return
		}
		gap := leastRimGap
		if groove := g.zones.zones[at.zone].Groove; groove != nil {
			gap = math.Max(gap, (groove.PitchMM-groove.WidthMM)/2/g.sheet.reach)
		}
		wide, when = rimLeak(gap)-g.wallLeak(at.depthMM), start
	}
	if wide <= 0 {
		return
	}
	side := how.side()
	leak := side.length() * g.fineMM * g.sheet.reach * wide
	if when == start {
		g.out.leakMM2[LayerRim] += leak
		g.out.byZone[at.zone+1].leakMM2 += leak
		return
	}
	g.add(at, at.bin, event{at: when, leakMM2: float32(leak)})
}

// wallLeak is that of a wall down to the given depth in the layer. Walls beside each other are mostly alike.
func (g *rowBand) wallLeak(depthMM float32) float64 {
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

// wayOf tells how air gets to the side of what lies beside a cell that was never covered.
func (g *rowBand) wayOf(other fineCell) Way {
	if !other.inside {
		return LayerRim
	}
	x, y := g.centre(other)
	if way := wayOfStart(g.src.stock, x, y); way != Bare {
		return way
	}
	return Rim
}

// mirrored gives what a side of a cell looks at. Across a taped rim a corner looks at the mirror image of what lies
// along the rim, so that edges which meet the tape keep their length.
func (g *rowBand) mirrored(other, at fineCell, how adjacency) fineCell {
	if how != cornerwise || other.inside || g.layer.Edge != job.SealedEdge {
		return other
	}
	above, beside := other.row.find(at.i), at.row.find(other.i)
	switch {
	case !above.inside && beside.inside:
		return beside
	case !beside.inside && above.inside:
		return above
	}
	return other
}

// side counts the side of a covered cell towards a neighbour, from the moment that one is exposed until it is itself.
func (g *rowBand) side(at, other fineCell, how adjacency) {
	from, to := other.cut, at.cut
	if from >= to {
		return
	}
	if !other.inside {
		g.atRim[g.cellOf(at)] = true
	}
	if other.bin == at.bin {
		return
	}
	if from == start || other.bin == startBin {
		g.out.edgeWays.add(g.cellOf(at), g.wayOf(other), how.side().length())
	}
	up, down := event{at: from, sides: how.side()}, event{at: to}
	down.sides.add(how.side(), -1)
	g.add(at, other.bin, up)
	if to < sweep.Never {
		g.add(at, at.bin, down)
	}
}
