package shape

import "math"

// profile is the lower surface of a turning tool: height above the tip as a function of the distance d from the
// axis. It is convex and does not fall with d for every Shape, which is what makes a sweep along a straight path
// a convex problem in one variable.
//
//	flat   p(d) = 0                                  d <= R
//	ball   p(d) = R - sqrt(R^2 - d^2)                d <= R
//	bull   p(d) = 0 for d <= R - c, then c - sqrt(c^2 - (d-R+c)^2)
//	vee    p(d) = d / tan(angle/2)                   d <= R, drill alike
//
// Above the profile the tool is a cylinder of radius R.
type profile struct {
	shape Shape
	R     float64 // mm
	round float64 // mm, corner radius of a bull, R of a ball
	flat  float64 // mm, radius of the flat bottom
	slope float64 // of the cone
}

func newProfile(t Tool) profile {
	p := profile{shape: t.Shape, R: t.DiameterMM / 2}
	switch t.Shape {
	case Flat:
		p.flat = p.R
	case Ball:
		p.round = p.R
	case Bull:
		p.round = min(t.CornerMM, p.R)
		p.flat = p.R - p.round
		if p.round <= 0 {
			p.shape, p.flat = Flat, p.R
		}
	case Vee, Drill:
		half := t.AngleRad / 2
		if half >= math.Pi/2-1e-9 {
			p.shape, p.flat = Flat, p.R
		} else {
			p.slope = 1 / math.Tan(half)
		}
	}
	return p
}

// At gives the height of the surface above the tip at distance d <= R.
func (p *profile) At(d float64) float64 {
	switch p.shape {
	case Ball, Bull:
		x := d - p.flat
		if x <= 0 {
			return 0
		}
		y := float64(p.round*p.round) - float64(x*x)
		if y <= 0 {
			return p.round
		}
		return p.round - math.Sqrt(y)
	case Vee, Drill:
		return d * p.slope
	}
	return 0
}

// Within gives the largest distance from the axis at which the surface lies at most h above the tip; negative
// when h is.
func (p *profile) Within(h float64) float64 {
	if h < 0 {
		return -1
	}
	switch p.shape {
	case Ball, Bull:
		if h >= p.round {
			return p.R
		}
		return p.flat + math.Sqrt(float64(h*(2*p.round-h)))
	case Vee, Drill:
		return min(p.R, h/p.slope)
	}
	return p.R
}

// Within2 is the square of within for h >= 0.
func (p *profile) Within2(h float64) float64 {
	switch p.shape {
	case Ball:
		if h >= p.R {
			return p.R * p.R
		}
		return h * (2*p.R - h)
	case Vee, Drill:
		w := min(p.R, h/p.slope)
		return w * w
	}
	w := p.Within(h)
	return w * w
}

// Behind bounds from above how far behind the tool, along the feed, it can be lowest over a point (see lowest) when it
// climbs by slope m.
func (p *profile) Behind(m float64) float64 {
	switch {
	case m >= 0:
		return 0
	case p.shape == Ball:
		return -p.R * m / math.Sqrt(1+float64(m*m))
	}
	return p.R
}

// Lowest gives the place of a point relative to the tool, counted along the feed, at which a tool that climbs by
// slope m is lowest above the point; s is the point's distance from the path, q = sqrt(R^2-s^2) bounds the answer.
// It is the root of p'(d) w/d = m with d^2 = s^2 + w^2.
func (p *profile) Lowest(s, q, m float64) float64 {
	if m == 0 {
		return 0
	}
	switch p.shape {
	case Ball:
		return q * m / math.Sqrt(1+float64(m*m))
	case Vee, Drill:
		t := m / p.slope
		if t >= 1 {
			return q
		}
		if t <= -1 {
			return -q
		}
		w := math.Abs(s) * t / math.Sqrt(1-float64(t*t))
		return max(-q, min(q, w))
	case Bull:
		return p.lowestBull(s, q, m)
	}
	if m > 0 {
		return q
	}
	return -q
}

// lowestBull brackets the root by halving: the slope of the surface along the feed grows with w. 30 halvings of
// at most R leave less than 1e-8 mm.
func (p *profile) lowestBull(s, q, m float64) float64 {
	sign, a := 1.0, m
	if m < 0 {
		sign, a = -1, -m
	}
	lo, hi := 0.0, q
	if x := float64(p.flat*p.flat) - float64(s*s); x > 0 {
		lo = math.Sqrt(x)
	}
	for i := 0; i < 30; i++ {
		w := (lo + hi) / 2
		d := math.Sqrt(float64(s*s) + float64(w*w))
		x := d - p.flat
		y := float64(p.round*p.round) - float64(x*x)
		if y > 0 && x*w < float64(a*d)*math.Sqrt(y) {
			lo = w
		} else {
			hi = w
		}
	}
	return sign * (lo + hi) / 2
}

// Square tells that the tool ends in a flat square to its axis.
func (p *profile) Square() bool { return p.shape == Flat }
