package hold

import (
	"math"

	"staydown/hold/contact"
)

// loadShare restates the margin of a piece that does not hold: as the largest share of the whole load, all components
// alike, at which lift, slip, twist and tip all keep a margin of 1. Under the whole load the margin would be 0 as soon
// as the piece lifts or tips, which says little. The mode is the one that fails first. At a margin of 1 both
// definitions agree. LoadN stays the force of the whole load.
//
// The share is exact to shareTolerance, and is the least of all loads.
func loadShare(s *contact.Support, loads []contact.Load, out contact.Outcome, worst int) (contact.Outcome, int) {
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
		// At a share of the load another one may be the worst.
		_, other, below := s.WorstBelow(scaled, 1)
		if !below || other == worst {
			break
		}
		worst = other
	}
	// Just above the limit shows which mode fails first.
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
	leastShare     = 1e-3 // a smaller share counts as 0
	maxShareRounds = 4
)

// shareOf is the share of a load that a piece can take, by bisection of its logarithm; 0 below leastShare.
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

// loadIn is the component of a load that a mode depends on.
func loadIn(m contact.Mode, l contact.Load) float64 {
	if m == contact.Lift {
		return math.Max(0, l.ZN)
	}
	return math.Hypot(l.XN, l.YN)
}
