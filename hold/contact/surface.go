package contact

import "math"

// wrench is a force in N with its moment about the origin, in N times reach.
type wrench struct{ x, y, turn float64 }

// twist is a motion in the plane: the velocity of the origin and the angular velocity times reach.
type twist struct{ x, y, spin float64 }

// surface is the limit surface of what resists sliding: every wrench at which the piece just begins to move.
//
// A twist v costs D(v) = sum k_i |v(x_i)| over the nodes, k_i being a node's friction force. D is convex and is the support function of
// the set of wrenches that are held. A load l can therefore grow by the least of D(v) over all twists with l.v = 1.
//
// Source: S. Goyal, A. Ruina, J. Papadopoulos, Wear 143 (1991) 307-330 (from memory).
type surface struct {
	fields [3]*field
	shares [3]float64 // of each field's weights that act
	point  node       // a further node: what the cutter presses down; weight 0 for none
}

// sums of one pass over the nodes at a twist v.
type sums struct {
	cost       float64    // D(v)
	slope      wrench     // gradient of D: the wrench on the limit surface whose outward normal is v
	a, b, c, d float64    // Q = [[a,0,-c],[0,a,b],[-c,b,d]] with slope = Q v: D <= v'Qv'/2 + v Q v/2 for all v'
	h          [6]float64 // second derivative of D: xx, xy, x spin, yy, y spin, spin spin
}

func (s surface) at(v twist) sums {
	var r sums
	for i, f := range s.fields {
		if k := s.shares[i]; f != nil && k > 0 {
			for j := range f.nodes {
				r.add(&f.nodes[j], k, v)
			}
		}
	}
	if s.point.weight > 0 {
		r.add(&s.point, 1, v)
	}
	r.slope = wrench{r.a*v.x - r.c*v.spin, r.a*v.y + r.b*v.spin, r.b*v.y - r.c*v.x + r.d*v.spin}
	r.cost = r.slope.x*v.x + r.slope.y*v.y + r.slope.turn*v.spin
	return r
}

// tiny keeps a node at rest from dividing by zero.
const tiny = 1e-300

func (r *sums) add(n *node, share float64, v twist) {
	ux, uy := v.x-v.spin*n.y, v.y+v.spin*n.x
	rest := n.s2 * v.spin
	m2 := ux*ux + uy*uy + rest*v.spin + tiny
	k := share * n.weight / math.Sqrt(m2)
	kx, ky := k*n.x, k*n.y
	r.a += k
	r.b += kx
	r.c += ky
	r.d += kx*n.x + ky*n.y + k*n.s2
	// The part of each node's curvature that lies across its own velocity; along it D does not curve.
	q := k / m2
	gs := n.x*uy - n.y*ux + rest
	qx, qy := q*ux, q*uy
	r.h[0] += qx * ux
	r.h[1] += qx * uy
	r.h[2] += qx * gs
	r.h[3] += qy * uy
	r.h[4] += qy * gs
	r.h[5] += q * gs * gs
}

// descents bounds the passes over the nodes of one search.
const descents = 60

// descend finds the least cost D(v) over twists with load.v = 1, from a start (scaled to fit).
//
// It takes Newton steps in the plane load.v = 1 and, where these do not go down, the step to the least of the quadratic that lies
// above D and touches it at v, which always does (Weiszfeld's method). After each step below gives a lower bound of the least cost from the
// value here and the part of the slope that is not along the load; the search ends when it is within gap of the value. The best lower bound,
// the least value found and its twist are returned, whether or not it got that far.
func (s surface) descend(load wrench, start twist, gap float64, below func(value float64, slope wrench) float64) (lower, upper float64, at twist) {
	v, ok := onPlane(load, start)
	if !ok {
		return 0, math.Inf(1), start
	}
	here := s.at(v)
	for pass := 0; ; pass++ {
		value := here.cost
		bound := below(value, wrench{here.slope.x - value*load.x, here.slope.y - value*load.y, here.slope.turn - value*load.turn})
		lower = math.Max(lower, bound)
		if value-lower <= gap*value || pass >= descents {
			return lower, value, v
		}
		next, ok := here.newton(load, v)
		var there sums
		if ok {
			there = s.at(next)
			ok = there.cost < value
			pass++
		}
		if !ok {
			if next, ok = here.weiszfeld(load); !ok {
				return lower, value, v
			}
			if there = s.at(next); !(there.cost < value) {
				return lower, value, v
			}
		}
		v, here = next, there
	}
}

// onPlane scales a twist so that the load's power on it is 1.
func onPlane(load wrench, v twist) (twist, bool) {
	p := load.x*v.x + load.y*v.y + load.turn*v.spin
	if !(p > 0) || math.IsInf(p, 1) {
		return v, false
	}
	return twist{v.x / p, v.y / p, v.spin / p}, true
}

// weiszfeld solves for the twist with the least v Q v on the plane: v proportional to the solution of Q v = load.
func (r sums) weiszfeld(load wrench) (twist, bool) {
	under := r.d - (r.b*r.b+r.c*r.c)/r.a
	if !(under > 0) {
		return twist{}, false
	}
	spin := (load.turn + (r.c*load.x-r.b*load.y)/r.a) / under
	return onPlane(load, twist{(load.x + r.c*spin) / r.a, (load.y - r.b*spin) / r.a, spin})
}

// newton gives the least of the second-order model of D in the plane load.v = 1.
func (r sums) newton(load wrench, v twist) (twist, bool) {
	// Two directions that span the plane.
	e, f := across(load)
	h := [6]float64{r.a - r.h[0], -r.h[1], -r.c - r.h[2], r.a - r.h[3], r.b - r.h[4], r.d - r.h[5]}
	form := func(p, q twist) float64 {
		return p.x*(h[0]*q.x+h[1]*q.y+h[2]*q.spin) + p.y*(h[1]*q.x+h[3]*q.y+h[4]*q.spin) + p.spin*(h[2]*q.x+h[4]*q.y+h[5]*q.spin)
	}
	ee, ef, ff := form(e, e), form(e, f), form(f, f)
	ge := r.slope.x*e.x + r.slope.y*e.y + r.slope.turn*e.spin
	gf := r.slope.x*f.x + r.slope.y*f.y + r.slope.turn*f.spin
	det := ee*ff - ef*ef
	if !(det > 1e-12*ee*ff) {
		return v, false
	}
	se, sf := (ef*gf-ff*ge)/det, (ef*ge-ee*gf)/det
	return twist{v.x + se*e.x + sf*f.x, v.y + se*e.y + sf*f.y, v.spin + se*e.spin + sf*f.spin}, true
}

// across gives two unit twists at right angles to each other on which the load has no power.
func across(load wrench) (e, f twist) {
	n := math.Sqrt(load.x*load.x + load.y*load.y + load.turn*load.turn)
	x, y, t := load.x/n, load.y/n, load.turn/n
	if ax, ay, at := math.Abs(x), math.Abs(y), math.Abs(t); at <= ax && at <= ay {
		k := math.Hypot(x, y)
		e = twist{-y / k, x / k, 0}
	} else if ay <= ax {
		k := math.Hypot(x, t)
		e = twist{-t / k, 0, x / k}
	} else {
		k := math.Hypot(y, t)
		e = twist{0, -t / k, y / k}
	}
	return e, twist{y*e.spin - t*e.y, t*e.x - x*e.spin, x*e.y - y*e.x}
}
