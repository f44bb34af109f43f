package hold

import (
	"math"

	"staydown/hold/contact"
)

// standing looks at a piece that does not stay down. How much of the load it would stand says more than what is left of
// its hold under all of it, which is nothing as soon as it lifts or tips: the margin becomes the share of the load, all
// its parts alike, at which the first of lift, slip, twist and tip reaches its limit, and the mode the one that does.
// At a margin of 1 both readings meet. The force is that of the whole load.
//
// The share is found to within shareTolerance, and is that of the load that stands least.
func standing(s *contact.Support, loads []contact.Load, out contact.Outcome, worst int) (contact.Outcome, int) {
	share := 1.0
	scaled := make([]contact.Load, len(loads))
	for range maxShareRounds {
		share = math.Min(share, shareOf(s, loads[worst]))
		if share == 0 {
			break
		}
		for i, l := range loads {
			scaled[i] = part(l, share)
		}
		// Others may stand less of their load than the one that is worst under the whole of it.
		_, other, below := s.WorstBelow(scaled, 1)
		if !below || other == worst {
			break
		}
		worst = other
	}
	// What gives way first shows just beyond the limit.
	first := s.Check(part(loads[worst], share*(1+2*shareTolerance)))
	first.Margin = share
	first.LoadN = loadIn(first.Mode, loads[worst])
	if first.Mode == contact.None {
		first.Mode = out.Mode
	}
	return first, worst
}

const (
	shareTolerance = 0.001
	leastShare     = 1e-3 // below it a piece counts as standing nothing
	maxShareRounds = 4
)

// shareOf is the share of a load that a piece stands, by bisection of its logarithm; 0 below leastShare.
func shareOf(s *contact.Support, l contact.Load) float64 {
	low, high := leastShare, 1.0
	if !s.Stands([]contact.Load{part(l, low)}, 1) {
		return 0
	}
	for high/low > 1+shareTolerance {
		mid := math.Sqrt(low * high)
		if s.Stands([]contact.Load{part(l, mid)}, 1) {
			low = mid
		} else {
			high = mid
		}
	}
	return low
}

// part is a share of a load at the same place.
func part(l contact.Load, share float64) contact.Load {
	l.XN, l.YN, l.ZN, l.TorqueNmm = share*l.XN, share*l.YN, share*l.ZN, share*l.TorqueNmm
	return l
}

// loadIn is the force of a load that a mode is about.
func loadIn(m contact.Mode, l contact.Load) float64 {
	if m == contact.Lift {
		return math.Max(0, l.ZN)
	}
	return math.Hypot(l.XN, l.YN)
}
