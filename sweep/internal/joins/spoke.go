package joins

import (
	"github.com/paulmach/orb"
	"github.com/paulmach/orb/planar"

	"staydown/parse"
	"staydown/sweep/internal/raster"
)

// spoke leads from the wall of a piece to the middle of the cut beside it.
type spoke struct {
	wall, mid orb.Point
	outward   orb.Point   // unit length
	stepMM    float64     // along the wall to the next spoke
	reachMM   float64     // radius of the tool that cut here
	corner    bool        // of the piece, which juts out
	bare      bool        // no tool did: the rim of the blank, or a hole that was there before
	near      []strokeRun // strokes that come to this spoke or on the way to the next
	ends      []orb.Point // of paths near the middle, where either this spoke or the next is bare
	falls     []fall      // of the middle, in order of time
}

// fall is a moment at which the material at a place becomes less high.
type fall struct {
	at   raster.Tick
	left float64
}

// draw draws the spoke from the path that was found beside its place.
func (k *spoke) draw(cellMM float64) {
	p := k.wall
	if k.bare = k.reachMM == 0; k.bare {
		k.reachMM = 2 * cellMM
		k.mid = orb.Point{p[0] + k.reachMM*k.outward[0], p[1] + k.reachMM*k.outward[1]}
		return
	}
	if d := planar.Distance(p, k.mid); d > 0 {
		k.outward = orb.Point{(k.mid[0] - p[0]) / d, (k.mid[1] - p[1]) / d}
		if d < k.reachMM+2*cellMM {
			f := k.reachMM - max(wallShare*k.reachMM, wallCells*cellMM)
			k.wall = orb.Point{k.mid[0] - f*k.outward[0], k.mid[1] - f*k.outward[1]}
		}
	}
}

// point gives the place of a spoke in a row, 0 at the wall.
func (k *spoke) point(row int) orb.Point {
	return partWay(k.wall, k.mid, float64(row)/bandRows)
}

// partWay is the place a share of the way from p to q.
func partWay(p, q orb.Point, f float64) orb.Point {
	return orb.Point{p[0] + (q[0]-p[0])*f, p[1] + (q[1]-p[1])*f}
}

// cutMid is the middle of the one of two spokes that is not bare.
func cutMid(a, b *spoke) orb.Point {
	if a.bare {
		return b.mid
	}
	return a.mid
}

// meet is where lines across two spokes, through a place on each, meet between them.
func meet(a, b *spoke, onA, onB orb.Point) (orb.Point, bool) {
	turn := cross(a.outward, b.outward)
	way := orb.Point{onB[0] - onA[0], onB[1] - onA[1]}
	pastA := (way[0]*b.outward[0] + way[1]*b.outward[1]) / turn
	beforeB := -(way[0]*a.outward[0] + way[1]*a.outward[1]) / turn
	return orb.Point{onA[0] - pastA*a.outward[1], onA[1] + pastA*a.outward[0]},
		min(pastA, beforeB) > -onCornerMM && max(pastA, beforeB) < 2*max(a.reachMM, b.reachMM)
}

// onCornerMM is how far beyond a corner a place may lie that counts as on it.
const onCornerMM = 0.1

func cross(p, q orb.Point) float64 { return p[0]*q[1] - p[1]*q[0] }

// endsNear notes the ends of a path that lie near the middle of a spoke, or of the next where that one is bare.
func (k *spoke) endsNear(g *stroke, to parse.Point, next *spoke) {
	mid := cutMid(k, next)
	for _, end := range [2]orb.Point{{g.ax, g.ay}, {to.X, to.Y}} {
		if end != mid && planar.Distance(end, mid) < k.reachMM+next.reachMM {
			k.ends = append(k.ends, end)
		}
	}
}

const (
	bandRows  = 4        // steps across the band
	wallShare = 0.02     // of the tool's radius: how far from the wall the row beside it runs
	wallCells = 1.0 / 16 // likewise, of a cell at least: chords stray from an arc by less
	spokesIn  = 4        // spokes in a tool's radius
	maxSpokes = 1 << 14
	mostJoins = 48 // parts in which a face is told, over the whole line
)
