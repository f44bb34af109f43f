package cutload

import "math"

// feed is how far the teeth advance and stand out, which gives the thickness of their chips.
type feed struct {
	perTooth float64 // mm
	teeth    int
	runout   float64 // distance of the tool's center from the axis, mm
}

// chip is the thickness, measured across the axis, of the chip of the tooth that cuts deepest where the cosine of its
// angle from the feed is c: the least over k of k fz c + 2 e sin(pi k/z), mm.
//
// Neighbors that are k teeth apart differ in radius by at most 2 e sin(pi k/z); what the tooth k before it left is at
// most that much more than k feeds. The tooth itself, a turn before, left z feeds. So run-out rules where chips are
// thin, and goes to zero with the feed and at the ends of the arc. Every tooth is reckoned as if it stood out the most:
// where more than one cuts at once, the part of the run-out in their sum comes out too large by at most pi/2.
func (f feed) chip(c float64) float64 {
	if c <= 0 {
		return 0
	}
	least := f.perTooth * c * float64(f.teeth)
	for k := 1; k < f.teeth; k++ {
		least = math.Min(least, f.perTooth*c*float64(k)+f.out(k))
	}
	return least
}

// out is the largest difference in radius of teeth that are k apart, mm.
func (f feed) out(k int) float64 {
	if k == f.teeth {
		return 0
	}
	return 2 * f.runout * math.Sin(math.Pi*float64(k)/float64(f.teeth))
}

// turns lists where chip bends, as falling cosines below 1, each with the k that holds below it; the first has cosine
// 1.
func (f feed) turns() []turning {
	now := turning{from: 1, k: f.teeth}
	for k := f.teeth - 1; k >= 1; k-- {
		if f.perTooth*float64(k)+f.out(k) <= f.perTooth*float64(now.k)+f.out(now.k) {
			now.k = k
		}
	}
	out := []turning{now}
	for now.k < f.teeth {
		next := turning{k: now.k}
		for k := now.k + 1; k <= f.teeth; k++ {
			if c := (f.out(now.k) - f.out(k)) / (f.perTooth * float64(k-now.k)); c > 0 && c >= next.from {
				next = turning{math.Min(c, now.from), k}
			}
		}
		if next.k == now.k {
			break
		}
		out = append(out, next)
		now = next
	}
	return out
}

// turning is a cosine from which downwards the tooth k before limits the chip.
type turning struct {
	from float64
	k    int
}

// trio holds three functions of the angle phi from which the force of an edge follows, or integrals of them over phi: f
// cos, f sin and f, f being the force of the chip per mm of edge, or 1.
type trio struct{ cos, sin, one float64 }

func (a trio) minus(b trio) trio { return trio{a.cos - b.cos, a.sin - b.sin, a.one - b.one} }

func (a trio) plus(b trio, k float64) trio {
	return trio{a.cos + float64(k*b.cos), a.sin + float64(k*b.sin), a.one + float64(k*b.one)}
}

// basis is both: of the chip's force, and of 1 for the edge.
type basis struct{ chip, edge trio }

func (a basis) minus(b basis) basis { return basis{a.chip.minus(b.chip), a.edge.minus(b.edge)} }

func (a basis) plus(b basis, k float64) basis {
	return basis{a.chip.plus(b.chip, k), a.edge.plus(b.edge, k)}
}

const (
	// chordRatio is the ratio of neighboring chips between which the curved part of a law is taken as straight. The
	// chord lies below by at most m (1-m) ln(ratio)^2/8 of the force: 2e-4.
	chordRatio = 1.08

	// leastChord is the share of the largest chip below which the law is straight in any case.
	leastChord = 1e-3
)

// chord is a stretch of angles, away from the feed, on which the force of the chip is a + b cos(phi).
type chord struct {
	to    float64 // where it ends, rad
	a, b  float64
	start trio // running integral at its beginning less that of a + b cos there
}

// at is the antiderivative of (a + b cos) times cos, sin and 1.
func (c *chord) at(phi, sin, cos float64) trio {
	return trio{
		cos: float64(c.a*sin) + float64(c.b/2*(phi+float64(sin*cos))),
		sin: -float64(c.a*cos) - float64(c.b/2*cos*cos),
		one: float64(c.a*phi) + float64(c.b*sin),
	}
}

// chips is the force of the chip per mm of edge over the angle from the feed, and its running integral. It is even in
// the angle and 0 behind the cutter. It is read-only once made.
type chips struct {
	law    law
	feed   feed
	sin    float64 // of the angle between the axis and the normal of the edge
	chords []chord
	front  trio // integral from 0 to pi/2
}

// newChips lays chords through the law at the chips of a feed. sin is that of the angle between the axis and the normal
// of the edge, which makes chips thinner.
func newChips(l law, f feed, sin float64) *chips {
	c := &chips{law: l, feed: f, sin: sin}
	if !(f.perTooth*sin > 1e-9) {
		c.chords = []chord{{to: math.Pi / 2}}
		return c
	}
	turns := f.turns()
	high, angle := 1.0, 0.0
	force := c.force(1)
	var sum trio
	for i, t := range turns {
		low := 0.0
		if i+1 < len(turns) {
			low = turns[i+1].from
		}
		for high > low {
			next := math.Max(low, c.below(high, t.k))
			nextForce := c.force(next)
			s := chord{to: math.Acos(next), b: (force - nextForce) / (high - next)}
			s.a = nextForce - float64(s.b*next)
			s.start = sum.minus(s.at(angle, math.Sqrt(math.Max(0, 1-high*high)), high))
			sum = s.start.plus(s.at(s.to, math.Sqrt(1-next*next), next), 1)
			c.chords = append(c.chords, s)
			high, angle, force = next, s.to, nextForce
		}
	}
	c.front = sum
	return c
}

// below is the cosine below c at which the next chord ends, while the tooth k before limits the chip.
func (c *chips) below(cos float64, k int) float64 {
	h := c.feed.chip(cos) * c.sin
	straight := math.Max(c.law.StraightTo(), leastChord*c.feed.chip(1)*c.sin)
	if h <= straight*(1+1e-9) {
		return 0
	}
	next := math.Max(straight, h/chordRatio)
	return math.Max(0, (next/c.sin-c.feed.out(k))/(c.feed.perTooth*float64(k)))
}

// force is that of the chip per mm of edge where the cosine of the angle from the feed is cos; exact.
func (c *chips) force(cos float64) float64 { return c.law.Chip(c.feed.chip(cos) * c.sin) }

// at is basis itself at an angle.
func (c *chips) at(phi float64) basis {
	sin, cos := math.Sincos(phi)
	b := basis{edge: trio{cos, sin, 1}}
	if cos > 1e-12 {
		b.chip = trio{}.plus(b.edge, c.force(cos))
	}
	return b
}

// to is the running integral of basis up to phi in [-2 pi, 2 pi]; only differences of it mean anything.
func (c *chips) to(phi float64) basis {
	sin, cos := math.Sincos(phi)
	b := basis{chip: c.front, edge: trio{sin, -cos, phi}}
	turns := math.Floor((phi + math.Pi/2) / (2 * math.Pi))
	x := phi - float64(turns*2*math.Pi)
	if x <= math.Pi/2 {
		b.chip = c.within(math.Abs(x), math.Abs(sin), cos)
	}
	if x < 0 {
		b.chip.cos, b.chip.one = -b.chip.cos, -b.chip.one
	}
	b.chip.cos += float64(2 * turns * c.front.cos)
	b.chip.one += float64(2 * turns * c.front.one)
	return b
}

// within is the running integral of the chip's force from 0 to phi in [0, pi/2].
func (c *chips) within(phi, sin, cos float64) trio {
	i := 0
	for i < len(c.chords)-1 && phi > c.chords[i].to {
		i++
	}
	s := &c.chords[i]
	return s.start.plus(s.at(phi, sin, cos), 1)
}

// window is what is seen of chips through an arc of engagement: outside the arc basis is 0. It repeats every 2 pi.
type window struct {
	chips       *chips
	right, left float64
	start, all  basis // running integral at right; integral over the arc
}

func newWindow(c *chips, right, left float64) *window {
	w := &window{chips: c, right: right, left: math.Min(left, right+2*math.Pi), start: c.to(right)}
	w.all = c.to(w.left).minus(w.start)
	return w
}

// slack makes the ends of the arc belong to it in spite of rounding.
const slack = 1e-9

func (w *window) at(phi float64) (basis, bool) {
	rest := phi - w.right + slack
	rest -= math.Floor(rest/(2*math.Pi)) * 2 * math.Pi
	if rest > w.left-w.right+2*slack {
		return basis{}, false
	}
	return w.chips.at(math.Min(math.Max(w.right+rest-slack, w.right), w.left)), true
}

// to is the running integral of what is seen, from right; phi may be any number of turns away.
func (w *window) to(phi float64) basis {
	turns := math.Floor((phi - w.right) / (2 * math.Pi))
	rest := phi - w.right - float64(turns*2*math.Pi)
	b := w.all
	if rest < w.left-w.right {
		b = w.chips.to(w.right + rest).minus(w.start)
	}
	if turns != 0 {
		b = b.plus(w.all, turns)
	}
	return b
}
