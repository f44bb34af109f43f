package drawing

import (
	"cmp"
	"math"
	"slices"

	"github.com/paulmach/orb"
)

// sameMM is how far ends of lines may lie apart that are meant to be one point: rounding of four decimals in inches.
const sameMM = 0.005

// chains joins open curves end to end, those of each layer by themselves: first ends at the same place, then ends
// within the gap, nearest first, which is told. Where more than two ends meet, nobody can say which line goes on where:
// what hangs together there is told and left out, as is what stays open.
func (s *sketch) chains() (closed []curve) {
	byLayer := map[string][]curve{}
	var layers []string
	for _, c := range s.curves {
		switch {
		case c.closed:
			closed = append(closed, c)
			continue
		case byLayer[c.layer] == nil:
			layers = append(layers, c.layer)
		}
		byLayer[c.layer] = append(byLayer[c.layer], c)
	}
	for _, name := range layers {
		g := newGraph(s.withoutTwins(byLayer[name]))
		closed = append(closed, g.close(s)...)
	}
	slices.SortStableFunc(closed, func(a, b curve) int { return cmp.Compare(a.line, b.line) })
	return closed
}

// withoutTwins drops lines that are drawn twice, in the same sense or against it.
func (s *sketch) withoutTwins(curves []curve) (out []curve) {
	type key [6]int64
	seen := map[key]bool{}
	round := func(p orb.Point) (x, y int64) {
		return int64(math.Round(p[0] / sameMM)), int64(math.Round(p[1] / sameMM))
	}
	for _, c := range curves {
		a, b := c.points[0], c.points[len(c.points)-1]
		if cmp.Or(cmp.Compare(a[0], b[0]), cmp.Compare(a[1], b[1])) > 0 {
			a, b = b, a
		}
		var k key
		k[0], k[1] = round(a)
		k[2], k[3] = round(b)
		k[4], k[5] = round(middleOf(c.points))
		if seen[k] {
			s.leave(c.line, "line drawn twice")
			continue
		}
		seen[k] = true
		out = append(out, c)
	}
	return out
}

// middleOf is the point half way along a line.
func middleOf(points []orb.Point) orb.Point {
	total := 0.0
	for i := 1; i < len(points); i++ {
		total += distance(points[i-1], points[i])
	}
	left := total / 2
	for i := 1; i < len(points); i++ {
		d := distance(points[i-1], points[i])
		if left <= d && d > 0 {
			t := left / d
			return orb.Point{points[i-1][0] + t*(points[i][0]-points[i-1][0]), points[i-1][1] +
				t*(points[i][1]-points[i-1][1])}
		}
		left -= d
	}
	return points[0]
}

func distance(a, b orb.Point) float64 { return math.Hypot(a[0]-b[0], a[1]-b[1]) }

// graph holds curves by their ends: 2 i is the start of curve i, 2 i + 1 its end. partner gives the end at the same
// place, -1 for none; crowded are the ends where more than two meet.
type graph struct {
	curves  []curve
	partner []int
	crowded []bool
}

func newGraph(curves []curve) *graph {
	g := &graph{curves: curves, partner: make([]int, 2*len(curves)), crowded: make([]bool, 2*len(curves))}
	for i := range g.partner {
		g.partner[i] = -1
	}
	return g
}

func (g *graph) at(end int) orb.Point {
	points := g.curves[end/2].points
	if end&1 == 0 {
		return points[0]
	}
	return points[len(points)-1]
}

// pair is two ends and how far apart they are.
type pair struct {
	a, b int
	mm   float64
}

// pairs lists the pairs of free ends within a distance.
func (g *graph) pairs(mm float64) (out []pair) {
	type cell [2]int64
	cells := map[cell][]int{}
	of := func(p orb.Point) cell { return cell{int64(math.Floor(p[0] / mm)), int64(math.Floor(p[1] / mm))} }
	for end := range g.partner {
		if g.partner[end] >= 0 || g.crowded[end] {
			continue
		}
		at := g.at(end)
		c := of(at)
		for dx := int64(-1); dx <= 1; dx++ {
			for dy := int64(-1); dy <= 1; dy++ {
				for _, other := range cells[cell{c[0] + dx, c[1] + dy}] {
					if d := distance(at, g.at(other)); d <= mm {
						out = append(out, pair{other, end, d})
					}
				}
			}
		}
		cells[c] = append(cells[c], end)
		if len(out) > maxCrossings {
			fail(g.curves[end/2].line, "too many lines end in one place; clean up the drawing")
		}
	}
	return out
}

// close joins the curves and gives the closed chains.
func (g *graph) close(s *sketch) (closed []curve) {
	same := g.pairs(sameMM)
	meet := make([]int, len(g.partner))
	for _, p := range same {
		meet[p.a]++
		meet[p.b]++
	}
	for _, p := range same {
		if meet[p.a] > 1 || meet[p.b] > 1 {
			g.crowded[p.a], g.crowded[p.b] = true, true
			continue
		}
		g.partner[p.a], g.partner[p.b] = p.b, p.a
	}
	near := g.pairs(s.opt.GapMM)
	slices.SortStableFunc(near, func(a, b pair) int { return cmp.Compare(a.mm, b.mm) })
	gaps := map[int]float64{} // by end
	for _, p := range near {
		if g.partner[p.a] < 0 && g.partner[p.b] < 0 && p.a != p.b && !g.short(p, s.opt.GapMM) {
			g.partner[p.a], g.partner[p.b] = p.b, p.a
			gaps[p.a], gaps[p.b] = p.mm, p.mm
		}
	}
	done := make([]bool, len(g.curves))
	crowded := tally{}
	for i := range g.curves {
		if done[i] {
			continue
		}
		chain, ends, whole := g.follow(i, done)
		switch jam := slices.ContainsFunc(ends, func(end int) bool { return g.crowded[end] }); {
		case whole:
			g.tellGaps(s, chain, ends, gaps)
			closed = append(closed, chain)
		case jam:
			if crowded.count++; crowded.count == 1 {
				crowded.first = chain.line
				at := g.at(ends[slices.IndexFunc(ends, func(end int) bool { return g.crowded[end] })])
				s.note(chain.line, "more than two lines meet at X%.3f Y%.3f, so it is not clear which outline they "+
					"belong to; "+
					"left out: draw the outlines as closed polylines, or on layers of their own", at[0], at[1])
			}
		default:
			from, to := chain.points[0], chain.points[len(chain.points)-1]
			s.note(chain.line, "open line from X%.3f Y%.3f to X%.3f Y%.3f is no outline; left out", from[0], from[1],
				to[0],
				to[1])
		}
	}
	if crowded.count > 1 {
		s.note(crowded.first, "%d lines in all are left out where more than two meet", crowded.count)
	}
	return closed
}

// short tells whether a pair would close a curve on itself that is no longer than a few gaps.
func (g *graph) short(p pair, gap float64) bool {
	if p.a/2 != p.b/2 {
		return false
	}
	length := 0.0
	points := g.curves[p.a/2].points
	for i := 1; i < len(points); i++ {
		length += distance(points[i-1], points[i])
	}
	return length < 4*gap
}

// follow walks from curve i to both sides and marks what it meets as done. ends are the ends of curves on the way;
// whole tells that it comes back to where it began.
func (g *graph) follow(i int, done []bool) (chain curve, ends []int, whole bool) {
	first := 2 * i
	for { // back to the free end, or once round
		back := g.partner[first]
		if back < 0 {
			break
		}
		if first = back ^ 1; first == 2*i {
			whole = true
			break
		}
	}
	chain = curve{closed: whole, layer: g.curves[i].layer, line: g.curves[i].line}
	for end := first; ; {
		c := &g.curves[end/2]
		done[end/2] = true
		chain.line = min(chain.line, c.line)
		ends = append(ends, end, end^1)
		points := slices.Clone(c.points)
		if end&1 == 1 {
			slices.Reverse(points)
		}
		chain.append(points)
		end = g.partner[end^1]
		if end < 0 || end == first {
			break
		}
	}
	if n := len(chain.points) - 1; whole && n > 0 {
		chain.points[0] = halfway(chain.points[0], chain.points[n])
		chain.points = chain.points[:n]
	}
	return chain, ends, whole
}

// append goes on with points; ends that are joined meet half-way.
func (c *curve) append(points []orb.Point) {
	if n := len(c.points); n > 0 {
		c.points[n-1] = halfway(c.points[n-1], points[0])
		points = points[1:]
	}
	c.points = append(c.points, points...)
}

func halfway(a, b orb.Point) orb.Point { return orb.Point{(a[0] + b[0]) / 2, (a[1] + b[1]) / 2} }

// tellGaps tells the gaps in an outline that were closed.
func (g *graph) tellGaps(s *sketch, chain curve, ends []int, gaps map[int]float64) {
	widest, at, count := 0.0, orb.Point{}, 0
	for _, end := range ends {
		if mm, ok := gaps[end]; ok {
			count++
			if mm > widest {
				widest, at = mm, g.at(end)
			}
		}
	}
	if count > 0 {
		s.note(chain.line, "gaps closed: %d, the widest %.3f mm at X%.3f Y%.3f", count/2, widest, at[0], at[1])
	}
}
