package contact

import "math"

// shares tells how much of each thing that resists sliding acts under a load.
type shares struct {
	friction float64 // of the grip field: mu times the share of the normal force that the lift leaves
	tack     float64 // 1, or 0 once the face is lifted off
	webs     float64 // share left of their strength in the plane
	press    float64 // friction of a downward force, N
	leftN    float64 // normal force left, downward force included, N
	force    float64 // all of it together in straight sliding, N
}

func (s *Support) shares(l *Load) shares {
	g := shares{tack: 1, webs: 1}
	up := max(l.ZN, 0)
	down := max(-l.ZN, 0)
	left := s.normalN - up
	switch {
	case left > 0:
		g.friction = s.friction * left / s.normalN
	case up > 0:
		g.tack = 0
		// Only the webs keep it down; what they carry upright they lack in the plane.
		g.webs = 0
		if s.uprightN > -left {
			g.webs = 1 + left/s.uprightN
		}
	}
	g.press = s.friction * down
	g.leftN = max(left, 0) + down
	g.force = g.friction*s.normalN + g.tack*s.tack.force + g.webs*s.webs.force + g.press
	return g
}

// slip compares all that resists straight sliding with the horizontal force.
func slip(g *shares, levelN float64) float64 {
	if levelN <= 0 {
		return math.Inf(1)
	}
	return g.force / levelN
}

// hypot is math.Hypot without its care for numbers near the ends of the range, which the limits on input exclude.
func hypot(x, y float64) float64 { return math.Sqrt(x*x + y*y) }
