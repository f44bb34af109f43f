package joins

import (
	"math"
	"slices"

	"github.com/paulmach/orb"

	"staydown/sweep/internal/raster"
)

// Lines along rows and spokes turn square, and none lies beyond the middle of the cut. Round a corner the least face
// lies on lines that run straight from the middle of the cut to the corner and straight on to the middle behind it:
// the corner of the piece where it juts out, that of what is outside where that does.

const (
	// cornerSpokes is the longest stretch, in spokes, that is looked at: 16 radii of the tool. In longer ones, floors
	// and skins, the corner is a small part.
	cornerSpokes = 16 * spokesIn
	// leastTurnCos bounds the turns of a path at which a corner outside is looked for: where it turns back, there is
	// none.
	leastTurnCos = 0.3
)

// roundCorners gives the line over some steps from a spoke on, between middles that are open, that turns at a corner,
// where that has less of a face than the way found.
func (l *band) roundCorners(first, steps int, at raster.Progress, way []leg) []leg {
	if steps > cornerSpokes {
		return way
	}
	least := areaOf(way)
	for d := 1; d < steps; d++ {
		corner, ok := l.corner(first+d, steps-d)
		if !ok {
			continue
		}
		before, after := l.toCorner(first+d, d, -1, at, corner), l.toCorner(first+d, steps-d, 1, at, corner)
		if area := areaOf(before) + areaOf(after); area < least {
			least, way = area, append(before, after...)
		}
	}
	return way
}

// corner is the corner at a spoke: its wall where the piece juts out. Where the wall runs round the middle of a cut
// that turns, over at most so many spokes, it is that of the far wall.
func (l *band) corner(i, most int) (at orb.Point, ok bool) {
	n := len(l.spokes)
	k := &l.spokes[i%n]
	if k.corner {
		return k.wall, true
	}
	a, same := &l.spokes[(i+n-1)%n], 0
	if k.bare || a.mid == k.mid {
		return at, false
	}
	for same < most && l.spokes[(i+same+1)%n].mid == k.mid {
		same++
	}
	b := &l.spokes[(i+same+1)%n]
	if same == 0 || b.bare {
		return at, false
	}
	x, y := a.outward[0]+b.outward[0], a.outward[1]+b.outward[1]
	cos := math.Hypot(x, y) / 2 // of half of the turn
	if cross(a.outward, b.outward) > -cornerSin || cos < leastTurnCos {
		return at, false
	}
	f := k.reachMM / (2 * cos * cos)
	return orb.Point{k.mid[0] + x*f, k.mid[1] + y*f}, true
}

// toCorner is the straight line with the least face between a corner at a spoke and a middle that lies so many spokes
// away (side 1: onward, -1: back), or up to a radius farther where the middle is open all the way. Its legs stand in
// the order of the spokes.
func (l *band) toCorner(spoke, away, side int, at raster.Progress, corner orb.Point) (best []leg) {
	n := len(l.spokes)
	least := math.Inf(1)
	for more := 0; more <= spokesIn && away+more < n; more++ {
		end := spoke + side*(away+more) + n
		if more > 0 && at < l.open[(end+min(0, -side))%n] {
			break
		}
		from, to, first := l.spokes[end%n].mid, corner, end
		if side > 0 {
			from, to, first = corner, from, spoke+n
		}
		legs := l.straight(first, away+more, from, to)
		if area := areaOf(legs); area < least {
			least, best = area, legs
		}
	}
	return best
}

// straight is the straight line between two places beside some steps from a spoke on.
func (l *band) straight(first, steps int, from, to orb.Point) []leg {
	legs := make([]leg, steps)
	at := from
	for d := range legs {
		f := float64(d+1) / float64(steps)
		g := &legs[d]
		g.spoke, g.from = (first+d)%len(l.spokes), at
		at = partWay(from, to, f)
		g.to = at
		g.face = l.v.face(&l.spokes[g.spoke], g.from, g.to)
	}
	return legs
}

func areaOf(way []leg) (mm2 float64) {
	for i := range way {
		mm2 += way[i].areaMM2
	}
	return mm2
}

// longestEnd is the longest straight end, in spokes, of a line that is looked at where no corner comes first.
const longestEnd = 64

// straightEnds pulls both ends of a long line straight, over floors and skins: from the wall, at the first corner that
// juts out or on the way there, to the middle of the cut that is open.
func (l *band) straightEnds(first, steps int, at raster.Progress, way []leg) []leg {
	if steps <= cornerSpokes {
		return way
	}
	for _, side := range [2]int{-1, 1} {
		end := first
		if side > 0 {
			end += steps
		}
		var best, rest []leg
		least := areaOf(way)
		for _, away := range l.endsToTry(end, steps, -side) {
			spoke := end - side*away
			wall := l.spokes[(spoke+len(l.spokes))%len(l.spokes)].wall
			kept, ok := beyond(way, wall, side)
			if !ok {
				continue
			}
			legs := l.toOpen(spoke, away, side, at, wall)
			if area := areaOf(legs) + areaOf(kept); area < least {
				least, best, rest = area, legs, kept
			}
		}
		switch {
		case best == nil:
		case side < 0:
			way = slices.Concat(best, rest)
		default:
			way = slices.Concat(rest, best)
		}
	}
	return way
}

// endsToTry lists how many spokes from an end of a line its straight part may reach, in a direction.
func (l *band) endsToTry(end, steps, way int) (away []int) {
	n := len(l.spokes)
	most := min(longestEnd, steps/2)
	for d := 1; d <= most; d++ {
		if l.spokes[((end+way*d)%n+n)%n].corner {
			return append(away, d)
		}
	}
	for d := 4; d <= most; d += d / 2 {
		away = append(away, d)
	}
	return away
}

// beyond is the part of a line behind (side -1: from there on, 1: up to there) its passage of a place of the wall.
func beyond(way []leg, wall orb.Point, side int) ([]leg, bool) {
	for i := range way {
		if side < 0 && way[i].from == wall {
			return way[i:], true
		}
		if k := len(way) - 1 - i; side > 0 && way[k].to == wall {
			return way[:k+1], true
		}
	}
	return nil, false
}

// toOpen is the straight line between a place of the wall at a spoke and the middle that lies so many spokes away, or
// up to a radius farther where it is open all the way: the middle of the tool, to whose edge the way is shortest.
func (l *band) toOpen(spoke, away, side int, at raster.Progress, wall orb.Point) []leg {
	n := len(l.spokes)
	more := 0
	for more < spokesIn && away+more+1 < n && at >= l.open[(spoke+side*(away+more+1)+n+min(0, -side))%n] {
		more++
	}
	end := spoke + side*(away+more) + n
	if side > 0 {
		return l.straight(spoke+n, away+more, wall, l.spokes[end%n].mid)
	}
	return l.straight(end, away+more, l.spokes[end%n].mid, wall)
}
