package contact

import "math"

// LoadShare restates the margin of a piece that does not hold: as the largest share of the whole load, all components
// alike, at which lift, slip, twist and tip all keep a margin of 1. Under the whole load the margin would be 0 as soon
// as the piece lifts or tips, which says little. The mode is the one that fails first. At a margin of 1 both
// definitions agree. LoadN stays the force of the whole load.
//
// The share is exact to shareTolerance, and is the least of all loads.
func (s *Support) LoadShare(loads []Load, out Outcome, worst int) (Outcome, int) {
	share, missed := 1.0, out.Margin
	scaled := make([]Load, len(loads))
	for range maxShareRounds {
		share = shareOf(s, loads[worst], share, missed)
		if share == 0 {
			break
		}
		for i, l := range loads {
			scaled[i] = l.Part(share)
		}
		// At a share of the load another one may be the worst.
		if s.othersStand(scaled, worst, 1) {
			break
		}
		next, other, below := s.WorstBelow(scaled, 1)
		if !below || other == worst {
			break
		}
		worst, missed = other, next.Margin
	}
	// Just above the limit shows which mode fails first.
	first := s.Check(loads[worst].Part(share * (1 + 2*shareTolerance)))
	first.Margin = share
	first.LoadN = loadIn(first.Mode, loads[worst])
	if first.Mode == None {
		first.Mode = out.Mode
	}
	return first, worst
}

const (
	shareTolerance = 0.001
	leastLoadShare = 1e-3 // a smaller share counts as 0
	maxShareRounds = 4
)

// shareOf is the share of a load that a piece can take, 0 below leastLoadShare, where it has a margin below 1 at a
// share.
//
// The logarithm of the margin falls nearly straight with that of the share: the line through the ends of what is left
// leads to where the margin is about 1, and a step of the tolerance beyond that shows that it is there.
func shareOf(s *Support, l Load, share, atShare float64) float64 {
	margin := func(log float64) float64 { return math.Log(s.Check(l.Part(math.Exp(log))).Margin) }
	low, high := math.Log(leastLoadShare), math.Log(share)
	above, below := math.NaN(), math.Log(atShare)
	// What a lift leaves of the friction grows as the load falls: a share in proportion is mostly stood.
	if at := high + below; at > low {
		if log := margin(at); log >= 0 {
			low, above = at, log
		} else {
			high, below = at, log
		}
	}
	if math.IsNaN(above) {
		if above = margin(low); above < 0 {
			return 0
		}
	}
	for n := 1; high-low > shareTolerance; n++ {
		at := (low + high) / 2
		if part := above / (above - below); part > 0 && n%4 > 0 { // not so where a margin is 0
			const step = 0.9 * shareTolerance
			at = math.Min(math.Max(low+part*(high-low), low+step), high-step)
		}
		if log := margin(at); log >= 0 {
			low, above = at, log
		} else {
			high, below = at, log
		}
	}
	return math.Exp(low)
}

// Part is a share of a load at the same place.
func (l Load) Part(share float64) Load {
	l.XN, l.YN, l.ZN, l.TorqueNmm = share*l.XN, share*l.YN, share*l.ZN, share*l.TorqueNmm
	return l
}

// loadIn is the component of a load that a mode depends on.
func loadIn(m Mode, l Load) float64 {
	if m == Lift {
		return math.Max(0, l.ZN)
	}
	return math.Hypot(l.XN, l.YN)
}
