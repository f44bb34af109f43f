package joins

import (
	"math"
	"slices"

	"github.com/paulmach/orb"
	"github.com/paulmach/orb/planar"

	"staydown/sweep/internal/pieces"
	"staydown/sweep/internal/raster"
)

// A piece is parted from the rest along a closed line round it. The line is looked for in a band between the piece's
// wall and the middle of the cut, which is the path of the tool that is nearest: spokes lead across the band, rows of
// places along it. Where the path breaks off, at a bridge, the row in the middle goes straight over to where it goes
// on, over the narrowest place between two round ends. Of all lines along rows and spokes, and of those that turn at a
// corner (see roundCorners), the section takes the one with the least face: such a line is a way to break the piece
// off, so the section is never too small by the choice of lines, and too large by less than 1 % for ends that lie
// head-on and for floors along a cut, by less than 2 % for tabs round a corner.

// band is the band round one piece.
type band struct {
	v      *heightField
	spokes []spoke
	// by spoke: from when on, at the latest, nothing stands in the middle between it and the next
	open    []raster.Progress
	roundMM float64

	all  []passes // scratch of way
	came [][bandRows + 1]int8
}

// newBand lays the band along a ring that has the piece on its left; nil if the ring is too short or too long for one.
// It lasts until the next one of the same height field.
func newBand(v *heightField, ring orb.Ring, slackMM float64) *band {
	l := &band{v: v}
	cell := v.s.Grid.CellMM
	step := max(cell, v.smallestR()/spokesIn)
	points := evenly(ring, step)
	n := len(points)
	if n < 8 || n > maxSpokes {
		return nil
	}
	l.spokes = make([]spoke, n)
	for first := 0; first < n; first += chunkSpoke {
		v.lookBeside(points, first, l.spokes[first:min(n, first+chunkSpoke)], slackMM)
	}
	l.spokes = v.withCorners(l.spokes)
	if n = len(l.spokes); n > len(points) {
		points = points[:0]
		for i := range l.spokes {
			points = append(points, l.spokes[i].wall)
		}
	}
	for i := range l.spokes {
		a, b := &l.spokes[i], &l.spokes[(i+1)%n]
		a.stepMM = planar.Distance(a.wall, b.wall)
		l.roundMM += a.stepMM
	}
	v.kept.n, v.list, v.before = 0, v.list[:0], v.before[:0]
	for first := 0; first < n; first += chunkSpoke {
		end := min(n, first+chunkSpoke)
		v.gather(l.spokes[first:end], &l.spokes[end%n], v.boxOf(points, first, slackMM))
	}
	l.open = make([]raster.Progress, n)
	for i := range l.open {
		l.open[i] = 2 * raster.Never
	}
	return l
}

// fall finds the moments at which the middle of a spoke becomes less high.
func (l *band) fall(k *spoke) {
	h := l.v.uncut(k.mid)
	if h == 0 {
		k.falls = append(k.falls, fall{0, 0})
		return
	}
	for _, r := range k.near {
		ss := l.v.kept.of(r)
		for i := range ss {
			if h = l.fallBy(k, &ss[i], h); h == 0 {
				return
			}
		}
	}
}

// fallBy enters what a stroke takes of the height of the middle, and gives what it leaves.
func (l *band) fallBy(k *spoke, g *stroke, h float64) float64 {
	if g.bz >= h && g.az >= h {
		return h
	}
	left := g.over(k.mid[0], k.mid[1], 1)
	if left > h-raster.ThroughMM/2 {
		return h
	}
	// The first moment at which most of the fall has happened.
	lo, hi := 0.0, 1.0
	for range 8 {
		if m := (lo + hi) / 2; g.over(k.mid[0], k.mid[1], m) <= left+raster.ThroughMM/2 {
			hi = m
		} else {
			lo = m
		}
	}
	if left <= raster.ThroughMM {
		left = 0
	}
	f0, f1 := g.fractions()
	k.falls = append(k.falls, fall{l.v.c.Clock.At(int(g.move), f0+(f1-f0)*hi), left})
	return left
}

// piece of a line, with the spoke it belongs to.
type leg struct {
	face
	from, to orb.Point
	spoke    int
}

// section finds the line with the least face at a moment.
func (l *band) section(at raster.Progress) pieces.Section {
	l.v.kept.each(func(ss []stroke) { advance(ss, at) })
	n := len(l.spokes)
	first := -1
	for i := range l.open {
		if at < l.open[i] && l.clear(i) {
			l.open[i] = at
		}
		if first < 0 && at >= l.open[i] {
			first = i
		}
	}
	s := pieces.Section{At: at, RoundMM: l.roundMM}
	if first < 0 { // no gap anywhere yet
		l.joins(&s, l.way(0, n, true))
		return s
	}
	for d := 1; d <= n; {
		i := (first + d) % n
		if at >= l.open[i] {
			d++
			continue
		}
		long := 1
		for at < l.open[(i+long)%n] {
			long++
		}
		l.joins(&s, l.straightEnds(i, long, at, l.roundCorners(i, long, at, l.way(i, long, false))))
		d += long
	}
	return s
}

// clear tells whether nothing stands in the middle between a spoke and the next.
func (l *band) clear(i int) bool {
	a, b := &l.spokes[i], &l.spokes[(i+1)%len(l.spokes)]
	if a.mid != b.mid {
		return l.middle(i).areaMM2 == 0
	}
	n := len(l.v.pool)
	defer func() { l.v.pool = l.v.pool[:n] }()
	at := l.v.spot(a, a.mid)
	return at.height == 0
}

// middle is the leg from a spoke to the next along the middle. Where the path breaks off it may also go straight over
// to the side of another cut, or, beside the rim of the blank, from an end of the path to the rim: beyond the rim
// nothing stands.
func (l *band) middle(i int) leg {
	a, b := &l.spokes[i], &l.spokes[(i+1)%len(l.spokes)]
	g := leg{from: a.mid, to: b.mid, spoke: i}
	g.face = l.v.face(a, g.from, g.to)
	switch {
	case g.areaMM2 == 0:
	case a.bare != b.bare:
		l.toRim(&g, a, b)
	case planar.Distance(a.mid, b.mid) > breaksOff*a.stepMM:
		l.toSide(&g, a, a.mid, b.mid)
		l.toSide(&g, a, b.mid, a.mid)
	}
	return g
}

// breaksOff is how many steps along the wall the middle moves on where its path breaks off.
const breaksOff = 2

// toSide goes from the middle of a spoke the nearest way to the path that the middle of the other lies on, where that
// has less of a face.
func (l *band) toSide(g *leg, k *spoke, from, other orb.Point) {
	for _, r := range k.near {
		ss := l.v.kept.of(r)
		for n := range ss {
			if on, _ := ss[n].awayDone(other); on > onPathMM {
				continue
			}
			d, side := ss[n].awayDone(from)
			if d == 0 || d > nearerShare*planar.Distance(g.from, g.to) {
				continue
			}
			if f := l.v.face(k, from, side); f.areaMM2 < g.areaMM2 && l.v.face(k, side, other).areaMM2 == 0 {
				g.face, g.from, g.to = f, from, side
			}
		}
	}
}

const (
	onPathMM    = 1e-3
	nearerShare = 0.999 // of the way straight over, from which another is looked at
)

// toRim goes from an end of the path to the rim, where that has less of a face.
func (l *band) toRim(g *leg, a, b *spoke) {
	mid := cutMid(a, b)
	ends := []orb.Point{mid}
	for _, end := range a.ends {
		if l.v.face(a, mid, end).areaMM2 == 0 {
			ends = append(ends, end)
		}
	}
	for _, end := range ends {
		if rim, ok := l.v.rim(end); ok {
			if f := l.v.face(a, end, rim); f.areaMM2 < g.areaMM2 {
				g.face, g.from, g.to = f, end, rim
			}
		}
	}
}

// passes are the faces from one spoke to the next, row by row, and across the spoke, from each row to the next.
type passes struct {
	along  [bandRows + 1]leg
	across [bandRows]face
}

// faces finds the faces that belong to a spoke.
func (l *band) faces(i int, to *passes, onward bool) {
	v := l.v
	a, b := &l.spokes[i], &l.spokes[(i+1)%len(l.spokes)]
	n := len(v.pool)
	defer func() { v.pool = v.pool[:n] }()
	var here [bandRows + 1]spot
	for r := range here {
		here[r] = v.spot(a, a.point(r))
	}
	for r := range bandRows {
		to.across[r] = v.between(a, &here[r], &here[r+1])
	}
	for r := 0; r < bandRows && onward; r++ {
		there := v.spot(a, b.point(r))
		to.along[r] = leg{v.between(a, &here[r], &there), here[r].at, there.at, i}
	}
	if onward {
		to.along[bandRows] = l.middle(i)
	}
}

// way is the line with the least face over some steps from a spoke on, between middles that are open or, if anywhere,
// between any places. It is found spoke by spoke: within a spoke the line runs along it at will (dynamic programming;
// Bellman, 1957).
func (l *band) way(first, steps int, anywhere bool) []leg {
	n := len(l.spokes)
	l.all, l.came = slices.Grow(l.all[:0], steps+1)[:steps+1], slices.Grow(l.came[:0], steps+1)[:steps+1]
	all, came := l.all, l.came // came: row in which a spoke is reached on the best way to each of its rows
	cost := [bandRows + 1]float64{}
	if !anywhere {
		for r := range bandRows {
			cost[r] = math.Inf(1)
		}
	}
	for d := 0; d <= steps; d++ {
		l.faces((first+d)%n, &all[d], d < steps)
		var sum, best [bandRows + 1]float64
		for r := range bandRows {
			sum[r+1] = sum[r] + all[d].across[r].areaMM2
		}
		for r := range best {
			best[r], came[d][r] = cost[r], int8(r)
			for q := range cost {
				if c := cost[q] + math.Abs(sum[q]-sum[r]); c < best[r] {
					best[r], came[d][r] = c, int8(q)
				}
			}
		}
		for r := range best {
			cost[r] = best[r]
			if d < steps {
				cost[r] += all[d].along[r].areaMM2
			}
		}
	}
	row := bandRows
	for r := range cost {
		if anywhere && cost[r] < cost[row] {
			row = r
		}
	}
	var back []leg
	for d := steps; d >= 0; d-- {
		i := (first + d) % n
		k := &l.spokes[i]
		for in := int(came[d][row]); row != in; {
			if in < row {
				back = append(back, leg{all[d].across[row-1], k.point(row - 1), k.point(row), i})
				row--
			} else {
				back = append(back, leg{all[d].across[row], k.point(row + 1), k.point(row), i})
				row++
			}
		}
		if d > 0 {
			back = append(back, all[d-1].along[row])
		}
	}
	slices.Reverse(back)
	return back
}

// joins enters the stretches of a line on which material stands.
func (l *band) joins(s *pieces.Section, way []leg) {
	for len(way) > 0 {
		n := 0
		for n < len(way) && way[n].areaMM2 > 0 {
			n++
		}
		if n > 0 {
			l.join(s, way[:n])
		}
		way = way[max(1, n):]
	}
}

// join enters one stretch, in an even number of parts: two points a quarter of its width from its middle resist turning
// about it as the stretch does.
func (l *band) join(s *pieces.Section, way []leg) {
	var whole, area float64
	for i := range way {
		whole += way[i].longMM
		area += way[i].areaMM2
	}
	if whole <= 0 {
		return
	}
	s.AreaMM2 += area
	parts := 2 * int(math.Ceil(whole*mostJoins/(4*l.roundMM)))
	width := whole / float64(parts)
	edgewise, upright := l.bendsMM(way, whole)
	next, along := 0, 0.0 // leg, and where it begins
	for k := range parts {
		from, to := float64(k)*width, float64(k+1)*width
		var x, y, high, got float64
		spoke := way[min(next, len(way)-1)].spoke
		for i := next; i < len(way) && along < to; i++ {
			g := &way[i]
			a, b := max(from, along), min(to, along+g.longMM)
			if b > a {
				p := g.place((a+b)/2 - along)
				x, y, got = x+(b-a)*p[0], y+(b-a)*p[1], got+b-a
				high += (b - a) * g.areaMM2 / g.longMM
				spoke = g.spoke
			}
			if along+g.longMM > to {
				break
			}
			next, along = i+1, along+g.longMM
		}
		if got <= 0 {
			continue
		}
		j := pieces.Join{At: orb.Point{x / got, y / got}, WidthMM: width, WholeMM: whole, HeightMM: high / got}
		j.LengthMM = l.acrossMM(&l.spokes[spoke], j.HeightMM)
		j.EdgewiseMM, j.UprightMM = min(j.LengthMM, edgewise), min(j.LengthMM, upright)
		s.Joins = append(s.Joins, j)
	}
}

// place gives the place on a leg some way along the part of it that stands.
func (g *leg) place(mm float64) orb.Point {
	c := orb.Point{g.x / g.areaMM2, g.y / g.areaMM2}
	long := planar.Distance(g.from, g.to)
	if long == 0 {
		return c
	}
	f := (mm - g.longMM/2) / long
	return orb.Point{c[0] + (g.to[0]-g.from[0])*f, c[1] + (g.to[1]-g.from[1])*f}
}

// acrossMM is the length of a join of some height: out from the piece to where the material is higher for good. A
// bridge as high as the sheet is as long as the cut beside it is wide.
func (l *band) acrossMM(k *spoke, highMM float64) float64 {
	uncut := l.v.uncut(k.mid)
	if highMM > uncut-raster.ThroughMM {
		return 2 * k.reachMM
	}
	cell := l.v.s.Grid.CellMM
	for d := k.reachMM / 2; d < mostAcross*k.reachMM; d += cell {
		p := orb.Point{k.mid[0] + k.outward[0]*d, k.mid[1] + k.outward[1]*d}
		if l.v.left(p) > highMM+raster.ThroughMM || l.v.uncut(p) == 0 {
			if d < k.reachMM+2*cell {
				d = k.reachMM
			}
			return k.reachMM + d
		}
	}
	return (1 + mostAcross) * k.reachMM
}

// mostAcross bounds how far, in radii of the tool, the far end of a join is looked for.
const mostAcross = 8
