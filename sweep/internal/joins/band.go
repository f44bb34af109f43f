package joins

import (
	"math"
	"slices"

	"github.com/paulmach/orb"
	"github.com/paulmach/orb/planar"

	"staydown/parse"
	"staydown/sweep/internal/pieces"
	"staydown/sweep/internal/raster"
)

// A piece is parted from the rest along a closed line round it. The line is looked for in a band between the piece's
// wall and the middle of the cut, which is the path of the tool that is nearest: spokes lead across the band, rows of
// places along it. Where the path breaks off, at a bridge, the row in the middle goes straight over to where it goes
// on, over the narrowest place between two round ends. Of all lines along rows and spokes the section takes the one
// with the least face: such a line is a way to break the piece off, so the section is never too small by the choice of
// lines, and too large by less than 1 % for ends that lie head-on and for floors along a cut.

const (
	bandRows   = 4        // steps across the band
	wallShare  = 0.02     // of the tool's radius: how far from the wall the row beside it runs
	wallCells  = 1.0 / 16 // likewise, of a cell at least: chords stray from an arc by less
	spokesIn   = 4        // spokes in a tool's radius
	chunkSpoke = 8        // spokes that share their strokes
	maxSpokes  = 1 << 14
	mostJoins  = 48 // parts in which a face is told, over the whole line
)

// spoke leads from the wall of a piece to the middle of the cut beside it.
type spoke struct {
	wall, mid orb.Point
	outward   orb.Point   // unit length
	stepMM    float64     // along the wall to the next spoke
	reachMM   float64     // radius of the tool that cut here
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

// band is the band round one piece.
type band struct {
	v       *heightField
	spokes  []spoke
	open    []raster.Progress // by spoke: from when on, at the latest, nothing stands in the middle between it and the next
	roundMM float64

	all  []passes // scratch of way
	came [][bandRows + 1]int8
}

// newBand lays the band along a ring that has the piece on its left; nil if the ring is too short or too long for one.
// It lasts until the next one of the same carving.
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

func (v *heightField) smallestR() float64 {
	_, d := v.s.Smallest()
	return d / 2
}

// cornerSin is the sine of the turn of a wall between two spokes from which it counts as a corner.
const cornerSin = 0.2

// sharpCos is the cosine of the turn from which a corner of a ring has a place of its own.
const sharpCos = 0.9

// evenly gives places along a closed ring, at its sharp corners and about a step apart between them.
func evenly(ring orb.Ring, stepMM float64) (out []orb.Point) {
	n := len(ring) - 1
	sharp := func(i int) bool {
		p, q, r := ring[(i+n-1)%n], ring[i%n], ring[(i+1)%n]
		ax, ay, bx, by := q[0]-p[0], q[1]-p[1], r[0]-q[0], r[1]-q[1]
		return ax*bx+ay*by < sharpCos*math.Hypot(ax, ay)*math.Hypot(bx, by)
	}
	first := 0
	for first < n-1 && !sharp(first) {
		first++
	}
	for i := 0; i < n; {
		run := orb.LineString{ring[(first+i)%n]}
		for i++; ; i++ {
			run = append(run, ring[(first+i)%n])
			if i >= n || sharp(first+i) {
				break
			}
		}
		out = append(out, along(run, stepMM)...)
		if len(out) > maxSpokes {
			return nil
		}
	}
	return out
}

// along gives the beginning of a line and places about a step apart, without its end.
func along(run orb.LineString, stepMM float64) (out []orb.Point) {
	total := planar.Length(run)
	n := math.Ceil(total / stepMM)
	if !(n >= 1) || n > maxSpokes {
		return run[:1]
	}
	step, next, along := total/n, 0.0, 0.0
	for i := 1; i < len(run); i++ {
		p, q := run[i-1], run[i]
		d := planar.Distance(p, q)
		for next < along+d-step*1e-6 && next < total-step/2 {
			f := (next - along) / d
			out = append(out, orb.Point{p[0] + (q[0]-p[0])*f, p[1] + (q[1]-p[1])*f})
			next += step
		}
		along += d
	}
	return out
}

// boxOf bounds what may lie beside the places that share their strokes.
func (v *heightField) boxOf(points []orb.Point, first int, slackMM float64) orb.Bound {
	n := len(points)
	box := orb.Bound{Min: points[first], Max: points[first]}
	for i := first; i <= min(n, first+chunkSpoke); i++ {
		box = box.Extend(points[i%n])
	}
	return box.Pad(v.s.Largest/2 + slackMM)
}

// lookBeside finds the paths beside places of the wall, from one of them on.
func (v *heightField) lookBeside(points []orb.Point, first int, spokes []spoke, slackMM float64) {
	n := len(points)
	var least [chunkSpoke]float64
	for i := range spokes {
		before, p, after := points[(first+i+n-1)%n], points[first+i], points[(first+i+1)%n]
		dx, dy := after[0]-before[0], after[1]-before[1]
		long := math.Hypot(dx, dy)
		spokes[i] = spoke{wall: p, outward: orb.Point{dy / long, -dx / long}}
		least[i] = slackMM
	}
	v.eachStroke(v.boxOf(points, first, slackMM), func(g *stroke, _ parse.Point) {
		for i := range spokes {
			k := &spokes[i]
			d, at := g.away(k.wall)
			if d-g.tool.R >= least[i] {
				continue
			}
			// What was cut inside the piece is not beside it.
			if (at[0]-k.wall[0])*k.outward[0]+(at[1]-k.wall[1])*k.outward[1] < -0.3*d {
				continue
			}
			least[i], k.mid, k.reachMM = d-g.tool.R, at, g.tool.R
		}
	})
	for i := range spokes {
		spokes[i].draw(v.s.Grid.CellMM)
	}
}

// resolveOverlaps draws the spoke from the path that was found beside its place.
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

// withCorners adds spokes at the corners of a piece that jut out, where a line straight from one spoke to the next would
// go through the piece: from where the walls beside both meet to where the middles of the cut do.
func (v *heightField) withCorners(spokes []spoke) []spoke {
	out := make([]spoke, 0, len(spokes)+len(spokes)/spokesIn)
	for i := range spokes {
		a, b := &spokes[i], &spokes[(i+1)%len(spokes)]
		out = append(out, *a)
		if a.bare || b.bare || cross(a.outward, b.outward) < cornerSin {
			continue
		}
		wall, okWall := meet(a, b, a.wall, b.wall)
		mid, okMid := meet(a, b, a.mid, b.mid)
		if okWall && okMid && v.led(mid) {
			out = append(out, spoke{wall: wall, mid: mid, outward: a.outward, reachMM: a.reachMM})
		}
	}
	return out
}

// led tells whether the path of a tool comes near a place: none does between the two sides of a bridge.
func (v *heightField) led(at orb.Point) (yes bool) {
	v.eachStroke(orb.Bound{Min: at, Max: at}, func(g *stroke, _ parse.Point) {
		d, _ := g.away(at)
		yes = yes || d < g.tool.R/2
	})
	return yes
}

// mergeSets is where lines across two spokes, through a place on each, meet between them.
func meet(a, b *spoke, onA, onB orb.Point) (orb.Point, bool) {
	turn := cross(a.outward, b.outward)
	way := orb.Point{onB[0] - onA[0], onB[1] - onA[1]}
	pastA := (way[0]*b.outward[0] + way[1]*b.outward[1]) / turn
	beforeB := -(way[0]*a.outward[0] + way[1]*a.outward[1]) / turn
	return orb.Point{onA[0] - pastA*a.outward[1], onA[1] + pastA*a.outward[0]},
		pastA > 0 && beforeB > 0 && max(pastA, beforeB) < 2*max(a.reachMM, b.reachMM)
}

func cross(p, q orb.Point) float64 { return p[0]*q[1] - p[1]*q[0] }

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

// point gives the place of a spoke in a row, 0 at the wall.
func (k *spoke) point(row int) orb.Point {
	f := float64(row) / bandRows
	return orb.Point{k.wall[0] + (k.mid[0]-k.wall[0])*f, k.wall[1] + (k.mid[1]-k.wall[1])*f}
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
		if at < l.open[i] && l.middle(i).areaMM2 == 0 {
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
		l.joins(&s, l.way(i, long, false))
		d += long
	}
	return s
}

// middle is the leg from a spoke to the next along the middle. Where the path of a tool ends beside the rim of the
// blank, it takes the shortest way from an end of the path to the rim instead if that has less of a face: beyond the
// rim nothing stands.
func (l *band) middle(i int) leg {
	a, b := &l.spokes[i], &l.spokes[(i+1)%len(l.spokes)]
	g := leg{from: a.mid, to: b.mid, spoke: i}
	g.face = l.v.face(a, g.from, g.to)
	if a.bare == b.bare || g.areaMM2 == 0 {
		return g
	}
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
	return g
}

// cutMid is the middle of the one of two spokes that is not bare.
func cutMid(a, b *spoke) orb.Point {
	if a.bare {
		return b.mid
	}
	return a.mid
}

// passes are the faces from one spoke to the next, row by row, and across the spoke, from each row to the next.
type passes struct {
	along  [bandRows + 1]leg
	across [bandRows]face
}

// Rasterize finds the faces that belong to a spoke.
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
		s.Joins = append(s.Joins, j)
	}
}

// Place gives the place on a leg some way along the part of it that stands.
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
