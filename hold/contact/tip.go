package contact

import "math"

// tip compares, about each axis, the moment that holds the piece down with the moment of the load, and gives the least
// with the axis;
// -1 when the load turns it about none.
//
// The horizontal force acts at its height, the vertical one at its distance from the axis. Of these the part that turns
// the piece up is the demand and the part that presses it down adds to the capacity, so that a load that nearly
// balances itself does not pass for harmless.
func (s *Support) tip(l *Load) (margin float64, at int) {
	margin, at = math.Inf(1), -1
	if len(s.axes) == 0 {
		// No face and no webs that could stand against it.
		if l.ZN > 0 || hypot(l.XN, l.YN)*l.HeightMM > 0 {
			return 0, -1
		}
		return margin, at
	}
	for i := range s.axes {
		capacity, demand := s.axes[i].turning(l)
		if demand > 0 && capacity < margin*demand {
			margin, at = capacity/demand, i
		}
	}
	return margin, at
}

// turning gives what holds the piece down about the axis, and what turns it up, N mm.
func (a *axis) turning(l *Load) (capacity, demand float64) {
	capacity = a.resist
	for _, m := range [2]float64{(l.XN*a.nx + l.YN*a.ny) * l.HeightMM, l.ZN * a.inside(l.X, l.Y)} {
		if m > 0 {
			demand += m
		} else {
			capacity -= m
		}
	}
	return max(capacity, 0), demand
}
