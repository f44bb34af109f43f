package gather

import (
	"math"

	"staydown/hold/airflow/internal/cells"
	"staydown/hold/airflow/internal/layer"
	"staydown/hold/job"
	"staydown/sweep"
)

// pair counts the side (or corner) that two cells share, as far as they lie in the band.
func (g *rowBand) pair(a, b fineCell, how cells.Adjacency) {
	if a.alike(b.kind) && (how == cells.Cornerwise || g.cellOf(a) == g.cellOf(b)) {
		return
	}
	ownA, ownB := g.owns(a), g.owns(b)
	if ownA {
		g.face(a, b, how)
	}
	if ownB {
		g.face(b, a, how)
	}
	if how == cells.Cornerwise || !a.creeps() || !b.creeps() {
		return
	}
	switch {
	case g.fromUncut:
	case a.Support != cells.Breathing && b.Support == cells.Breathing && ownA:
		g.Rim[g.cellOf(a)]++
	case a.Support == cells.Breathing && b.Support != cells.Breathing && ownB:
		g.Rim[g.cellOf(b)]++
	}
	if west := g.cellOf(b); ownA && west != g.cellOf(a) { // or south
		g.link(faceOf(west, how), 1, min(a.cut, b.cut), min(a.bin, b.bin))
	}
}

// face counts what the side of a cell towards another means to the first.
func (g *rowBand) face(at, other fineCell, how cells.Adjacency) {
	if g.layer != nil {
		g.wall(at, other, how)
	}
	if at.creeps() {
		g.side(at, g.mirrored(other, at, how), how)
	}
}

func faceOf(cell int32, how cells.Adjacency) int32 {
	if how == cells.AboveEachOther {
		return 2*cell + 1
	}
	return 2 * cell
}

// link widens a face between two air cells by n cells, until the moment at.
func (g *rowBand) link(face int32, n int, at sweep.Progress, bin int64) {
	if !g.fromUncut {
		g.FaceWidth[face] += uint16(n)
	}
	if at >= sweep.Never {
		return
	}
	row := int(face) / 2 / g.Grid.NX
	pending := &g.pending[row%2]
	latest := &pending.closed[int(face)-2*row*g.Grid.NX]
	for k := *latest; k >= 0; k = pending.closures[k].next {
		if c := &pending.closures[k]; c.Face == face && c.bin == bin {
			c.At = min(c.At, at)
			c.N += int32(n)
			return
		}
	}
	closure := cells.Closure{At: at, Face: face, N: int32(n)}
	pending.closures = append(pending.closures, rawClosure{closure, bin, *latest})
	*latest = int32(len(pending.closures)) - 1
}

// wall counts what the wall of a cut into the layer, or the layer's open rim, lets in beyond the width that is lost
// beside it: from the moment the deeper of two cells is exposed, for good.
func (g *rowBand) wall(at, other fineCell, how cells.Adjacency) {
	if at.Support != cells.Breathing || at.cut == sweep.Never && other.Inside {
		return
	}
	if other.Inside && at.depthMM <= other.depthMM {
		return // the deeper one counts
	}
	wide, when := g.wallLeak(at.depthMM)-g.wallLeak(other.depthMM), at.cut
	if !other.Inside {
		if g.layer.Edge == job.SealedEdge {
			return
		}
		gap := layer.LeastRimGap
		if groove := g.zones.Zones[at.Zone].Groove; groove != nil {
			gap = math.Max(gap, (groove.PitchMM-groove.WidthMM)/2/g.sheet.Reach)
		}
		wide, when = layer.RimLeak(gap)-g.wallLeak(at.depthMM), cells.Start
	}
	if wide <= 0 {
		return
	}
	side := how.Side()
	leak := side.Length() * g.FineMM * g.sheet.Reach * wide
	if when == cells.Start {
		g.out.LeakMM2[cells.LayerRim] += leak
		g.out.byZone[at.Zone+1].LeakMM2[cells.LayerRim] += leak
		return
	}
	g.add(at, at.bin, cells.Event{At: when, LeakMM2: float32(leak)})
}

// wallLeak is that of a wall down to the given depth in the layer. Walls beside each other are mostly alike.
func (g *rowBand) wallLeak(depthMM float32) float64 {
	switch depthMM {
	case 0:
		return 0
	case g.lastWall.depthMM:
	default:
		g.lastWall.depthMM = depthMM
		g.lastWall.leak = layer.WallLeak(math.Min(1, float64(depthMM)/g.layer.ThicknessMM))
	}
	return g.lastWall.leak
}

// wayOf tells how air gets to the side of what lies beside a cell that was never covered.
func (g *rowBand) wayOf(other fineCell) cells.Way {
	if !other.Inside {
		return cells.LayerRim
	}
	x, y := g.centre(other)
	if way := wayOfStart(g.src.Stock, x, y); way != cells.Bare {
		return way
	}
	return cells.Rim
}

// mirrored gives what a side of a cell looks at. Across a taped rim a corner looks at the mirror image of what lies
// along the rim, so that edges which meet the tape keep their length.
func (g *rowBand) mirrored(other, at fineCell, how cells.Adjacency) fineCell {
	if how != cells.Cornerwise || other.Inside || g.layer.Edge != job.SealedEdge {
		return other
	}
	above, beside := other.row.find(at.i), at.row.find(other.i)
	switch {
	case !above.Inside && beside.Inside:
		return beside
	case !beside.Inside && above.Inside:
		return above
	}
	return other
}

// side counts the side of a covered cell towards a neighbor, from the moment that one is exposed until it is itself.
func (g *rowBand) side(at, other fineCell, how cells.Adjacency) {
	from, to := other.cut, at.cut
	if from >= to {
		return
	}
	if !other.Inside {
		g.AtRim[g.cellOf(at)] = true
	}
	if other.bin == at.bin {
		return
	}
	if from == cells.Start || other.bin == startBin {
		g.out.edgeWays.Add(g.cellOf(at), g.wayOf(other), how.Side().Length())
	}
	up, down := cells.Event{At: from, Sides: how.Side()}, cells.Event{At: to}
	down.Sides.Add(how.Side(), -1)
	g.add(at, other.bin, up)
	if to < sweep.Never {
		g.add(at, at.bin, down)
	}
}
