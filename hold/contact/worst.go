package contact

import "math"

// The worst of many loads is found by branch and bound: each rung costs some ten times the one before, and a load goes
// up to the next only while it may still be the worst:
//
//  1. lowerBound.of: a few dozen operations with figures that a support keeps (see lowerbound.go);
//  2. closer: lift, tip and slip exactly, sliding with a moment along the straight line between full slip and full
//     twist;
//  3. conclude: the search on the true limit surface, which ends as soon as it is known to lie above the worst so far.
//
// Stands asks the same rungs whether a margin is kept, which ends sooner than finding the margin.

// Worst gives the outcome with the least margin over many loads (rotor angles, directions) with its index, of equals
// the first. It is the least of Check over all of them, but looks closer only where a lower bound leaves a doubt.
// Without loads the margin is +Inf and the index -1; a load that is refused is the worst of all.
func (s *Support) Worst(loads []Load) (Outcome, int) {
	worst, at, _ := s.WorstBelow(loads, math.Inf(1))
	return worst, at
}

// WorstBelow is Worst as long as the least margin is below the limit. Else below is false, and outcome and index are of
// no use.
func (s *Support) WorstBelow(loads []Load, limit float64) (worst Outcome, at int, below bool) {
	if o, i, done := s.decided(loads); done {
		return o, i, o.Margin < limit
	}
	var kept [keptBounds]float64
	c := leastMargin{s: s, loads: loads, bounds: s.bounds(loads, kept[:0]), limit: limit, margin: math.Inf(1), at: -1}
	// The load that looks worst goes first: it rules out most of the others.
	c.try(c.next(), &worst)
	for i := range loads {
		if c.open(i) {
			c.bounds[i] = s.closer(&loads[i])
		}
	}
	for i := c.next(); c.open(i); i = c.next() {
		c.try(i, &worst)
	}
	return worst, c.at, c.margin < limit
}

// leastMargin looks for the load with the least margin below a limit.
type leastMargin struct {
	s      *Support
	loads  []Load
	bounds []float64 // lower bounds of their margins; +Inf once that is known
	limit  float64

	margin float64 // the least so far
	at     int     // its load, of equals the first
}

// next is the load with the least bound, of equals the first.
func (c *leastMargin) next() (i int) {
	for k := range c.bounds {
		if c.bounds[k] < c.bounds[i] {
			i = k
		}
	}
	return i
}

// open tells whether a load may take the place of the worst.
func (c *leastMargin) open(i int) bool {
	b := c.bounds[i]
	return b < c.limit && (b < c.margin || b == c.margin && i < c.at)
}

// try finds the margin of a load and keeps its outcome where that is the worst.
func (c *leastMargin) try(i int, worst *Outcome) {
	var k cheapChecks
	c.s.cheapChecks(&k, &c.loads[i])
	o := c.s.conclude(&c.loads[i], &k, min(c.margin, c.limit))
	c.bounds[i] = math.Inf(1)
	if c.at < 0 || o.Margin < c.margin || o.Margin == c.margin && i < c.at {
		*worst, c.margin, c.at = o, o.Margin, i
	}
}

// Stands tells whether Check gives a margin of at least so much for every load, mostly without finding the margins.
// Without loads it does, with one that is refused it does not.
func (s *Support) Stands(loads []Load, margin float64) bool {
	if o, _, done := s.decided(loads); done {
		return o.Margin >= margin
	}
	return s.othersStand(loads, -1, margin)
}

// othersStand tells so of all loads but one that is known to.
func (s *Support) othersStand(loads []Load, known int, margin float64) bool {
	var kept [keptBounds]float64
	bounds := kept[:0]
	for i := range loads {
		b := s.bound.of(&loads[i])
		if b == 0 {
			b = s.bound.withoutFriction(&loads[i])
		}
		bounds = append(bounds, b)
	}
	if known >= 0 {
		bounds[known] = math.Inf(1)
	}
	first := (&leastMargin{bounds: bounds}).next()
	if bounds[first] >= margin {
		return true
	}
	if !s.stands(&loads[first], margin) {
		return false
	}
	for i := range loads {
		if i != first && bounds[i] < margin && !s.stands(&loads[i], margin) {
			return false
		}
	}
	return true
}

func (s *Support) stands(l *Load, margin float64) bool {
	var k cheapChecks
	s.cheapChecks(&k, l)
	if min(k.lift, k.tip, k.slip) < margin {
		return false
	}
	if line := k.line.margin(); line >= margin || !s.exact(&k) {
		return line >= margin
	}
	slide, _ := s.critical(&k.contactLoad, cutoff{margin, margin})
	return slide >= margin
}

// decided gives the outcome of loads that need no computing.
func (s *Support) decided(loads []Load) (o Outcome, at int, done bool) {
	if len(loads) == 0 {
		return Outcome{Margin: math.Inf(1), Reason: "nothing loads the piece"}, -1, true
	}
	for i := range loads {
		if loads[i].validate() != nil {
			o, done = s.trivial(&loads[i])
			return o, i, done
		}
	}
	o, done = s.trivial(&loads[0])
	return o, 0, done
}

// keptBounds is the number of loads up to which their bounds take no memory from the heap.
const keptBounds = 256

// bounds appends a lower bound of the margin of every load.
func (s *Support) bounds(loads []Load, into []float64) []float64 {
	for i := range loads {
		b := s.bound.of(&loads[i])
		if b == 0 {
			var k cheapChecks
			s.cheapChecks(&k, &loads[i])
			b = k.least()
		}
		into = append(into, b)
	}
	return into
}

// closer is a lower bound nearer to the margin of a load.
func (s *Support) closer(l *Load) float64 {
	var k cheapChecks
	s.cheapChecks(&k, l)
	return k.least()
}
