package contact

import "math"

// lift compares pressure, weight and the webs' vertical strength with the upward force.
func (s *Support) lift(l *Load) float64 {
	if l.ZN <= 0 {
		return math.Inf(1)
	}
	return (s.normalN + s.uprightN) / l.ZN
}
