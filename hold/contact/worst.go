package contact

import "math"

// Worst gives the outcome with the least margin over many loads (rotor angles, directions) with its index, of equals the first. It is
// the least of Check over all of them, but looks closer only where a lower bound leaves a doubt. Without loads the margin is +Inf and the
// index -1; a load that is refused is the worst of all.
func (s *Support) Worst(loads []Load) (Outcome, int) {
	worst, at, _ := s.WorstBelow(loads, math.Inf(1))
	return worst, at
}

// WorstBelow is Worst as long as the least margin is below the limit. Else below is false, and outcome and index are of no use.
func (s *Support) WorstBelow(loads []Load, limit float64) (worst Outcome, at int, below bool) {
	if o, i, done := s.decided(loads); done {
		return o, i, o.Margin < limit
	}
	var kept [keptBounds]float64
	// The load that looks worst goes first: it rules out most of the others.
	bounds, at := s.bounds(loads, kept[:0])
	var k sketch
	s.sketch(&k, &loads[at])
	worst = s.conclude(&loads[at], &k, limit)
	for i, first := 0, at; i < len(loads); i++ {
		most := min(worst.Margin, limit)
		if i == first || bounds[i] > most {
			continue
		}
		s.sketch(&k, &loads[i])
		if k.least() > most {
			continue
		}
		if o := s.conclude(&loads[i], &k, most); o.Margin < worst.Margin || o.Margin == worst.Margin && i < at {
			worst, at = o, i
		}
	}
	return worst, at, worst.Margin < limit
}

// Stands tells whether Check gives a margin of at least so much for every load, mostly without finding the margins. Without loads it
// does, with one that is refused it does not.
func (s *Support) Stands(loads []Load, margin float64) bool {
	if o, _, done := s.decided(loads); done {
		return o.Margin >= margin
	}
	var kept [keptBounds]float64
	bounds, first := s.bounds(loads, kept[:0])
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
	var k sketch
	s.sketch(&k, l)
	if min(k.lift, k.tip, k.slip) < margin {
		return false
	}
	if line := k.line.margin(); line >= margin || s.enough > 0 && line >= s.enough {
		return line >= margin
	}
	slide, _ := s.critical(&k.pull, span{margin, margin})
	return slide >= margin
}

// decided gives the outcome of loads that need no computing.
func (s *Support) decided(loads []Load) (o Outcome, at int, done bool) {
	if len(loads) == 0 {
		return Outcome{Margin: math.Inf(1), Reason: "nothing loads the piece"}, -1, true
	}
	for i := range loads {
		if loads[i].Validate() != nil {
			o, done = s.settled(&loads[i])
			return o, i, done
		}
	}
	o, done = s.settled(&loads[0])
	return o, 0, done
}

// keptBounds is the number of loads up to which their bounds take no memory from the heap.
const keptBounds = 256

// bounds appends a lower bound of the margin of every load, and finds the load with the least.
func (s *Support) bounds(loads []Load, into []float64) (bounds []float64, first int) {
	for i := range loads {
		into = append(into, s.quick.bound(&loads[i]))
		if into[i] < into[first] {
			first = i
		}
	}
	return into, first
}
