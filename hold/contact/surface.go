package contact

import (
	"math"
	"slices"
	"sync"
)

// wrench is a force in N with its moment about the origin, in N times reach.
type wrench struct{ x, y, turn float64 }

// twist is a motion in the plane: the velocity of the origin and the angular velocity times reach.
type twist struct{ x, y, spin float64 }

// surface is the limit surface of what resists sliding: every wrench at which the piece just begins to move.
//
// A twist v costs D(v) = sum k_i |v(x_i)| over the nodes, k_i being a node's friction force. D is convex and is the
// support function of the set of wrenches that are held. A load l can therefore grow by the least of D(v) over all
// twists with l.v = 1.
//
// Source: S. Goyal, A. Ruina, J. Papadopoulos, Wear 143 (1991) 307-330 (from memory).
type surface struct {
	nodes []node
	// by node: in the twist that was kept last, and in the one looked at last
	motions [2][]motion
}

// motion is that of a node in a twist.
type motion struct {
	speed2 float64 // see node.speed2
	drag   float64 // its friction force over its speed
}

// surfaces keeps the memory of those that are done with.
var surfaces = sync.Pool{New: func() any { return new(surface) }}

func newSurface() *surface { return surfaces.Get().(*surface) }

func (s *surface) discard() {
	s.nodes = s.nodes[:0]
	surfaces.Put(s)
}

// add takes in a field, its weights times share and times 1 + tilt.(x - its center).
func (s *surface) add(f *field, share, tiltX, tiltY float64) {
	if share <= 0 {
		return
	}
	for _, n := range f.nodes {
		k := share
		if tiltX != 0 || tiltY != 0 {
			k *= 1 + tiltX*(n.x-f.x) + tiltY*(n.y-f.y)
		}
		// At the steepest tilt a rounding error may come out below nothing.
		if k > 0 {
			n.weight *= k
			s.nodes = append(s.nodes, n)
		}
	}
}

// addPoint takes in a point with its friction force, as what the cutter presses down or where the reaction stands.
func (s *surface) addPoint(x, y, force float64) {
	if force > 0 {
		s.nodes = append(s.nodes, node{x, y, regularRadius * regularRadius, force})
	}
}

// on is the power of a wrench on a twist.
func (w wrench) on(v twist) float64 { return w.x*v.x + w.y*v.y + w.turn*v.spin }

// sums of one pass over the nodes at a twist v.
type sums struct {
	cost       float64 // D(v)
	slope      wrench  // gradient of D: the wrench on the limit surface whose outward normal is v
	a, b, c, d float64 // Q = [[a,0,-c],[0,a,b],[-c,b,d]] with slope = Q v: D(u) <= (u Q u + v Q v)/2 for all u

	sharp      *node   // the node about which D curves most at v; nil when there is none
	most, slow float64 // its friction force and speed
}

func (s *surface) at(v twist) sums {
	var a, b, c, d, curve float64
	sharp, nodes := -1, s.nodes
	motions := slices.Grow(s.motions[1][:0], len(nodes))[:len(nodes)]
	s.motions[1] = motions
	for i := range nodes {
		n := &nodes[i]
		m2 := n.speed2(v)
		k := n.weight / math.Sqrt(m2)
		motions[i] = motion{m2, k}
		if k > curve {
			sharp, curve = i, k
		}
		kx, ky := k*n.x, k*n.y
		a += k
		b += kx
		c += ky
		d += kx*n.x + ky*n.y + k*n.s2
	}
	r := sums{a: a, b: b, c: c, d: d, slope: wrench{a*v.x - c*v.spin, a*v.y + b*v.spin, b*v.y - c*v.x + d*v.spin}}
	r.cost = r.slope.on(v)
	if sharp >= 0 {
		r.sharp = &s.nodes[sharp]
		r.most, r.slow = r.sharp.weight, math.Sqrt(r.sharp.speed2(v))
	}
	return r
}

// tiny keeps a node at rest from dividing by zero.
const tiny = 1e-300

// speed2 is the mean square speed of a node in a twist.
func (n *node) speed2(v twist) float64 {
	ux, uy := v.x-v.spin*n.y, v.y+v.spin*n.x
	return ux*ux + uy*uy + n.s2*v.spin*v.spin + tiny
}

// keep keeps the motions in the twist looked at last.
func (s *surface) keep() { s.motions[0], s.motions[1] = s.motions[1], s.motions[0] }

// bend gives what Q has over the second derivative of D at v, the twist that was kept: xx, xy, x spin, yy, y spin, spin
// spin. It is the part of each node's curvature that lies across its own velocity; along it D does not curve.
func (s *surface) bend(v twist) [6]float64 {
	var xx, xy, xt, yy, yt, tt float64
	nodes := s.nodes
	motions := s.motions[0][:len(nodes)]
	for i := range nodes {
		n, m := &nodes[i], &motions[i]
		q := m.drag / m.speed2
		ux, uy := v.x-v.spin*n.y, v.y+v.spin*n.x
		turn := n.x*uy - n.y*ux + n.s2*v.spin
		qx, qy := q*ux, q*uy
		xx += qx * ux
		xy += qx * uy
		xt += qx * turn
		yy += qy * uy
		yt += qy * turn
		tt += q * turn * turn
	}
	return [6]float64{xx, xy, xt, yy, yt, tt}
}

// descents bounds the steps of one search; after the first patience of them a sharp node is tried as the sliding
// center.
const (
	descents = 60
	patience = 2
)

// cutoff is where the least cost has to lie to matter, from low to high; the zero value stands for everywhere.
type cutoff struct{ low, high float64 }

// out tells that a least cost between lower and upper matters no more. Values nearer to the ends than rounding errors
// are taken to lie inside.
func (s cutoff) out(lower, upper float64) bool {
	return s.high > 0 && lower > s.high*(1+rounding) || upper < s.low*(1-rounding)
}

// times scales the cutoff.
func (s cutoff) times(k float64) cutoff { return cutoff{s.low * k, s.high * k} }

// rounding is more than the relative error that the sums over all the nodes collect.
const rounding = 1e-8

// descend finds the least cost D(v) over twists with load.v = 1, from a start (scaled to fit). It also ends as soon as
// that is known to lie beyond the cutoff.
//
// It takes Newton steps in the plane load.v = 1 and, where these do not go down, the step to the least of the quadratic
// that lies above D and touches it at v, which always does (Weiszfeld's method). below gives a lower bound of the least
// cost from a wrench w = along load + off that is held; the search ends when the best of these is within gap of the
// least value. Both are returned with the twist, whether or not it got that far.
func (s *surface) descend(load wrench, start twist, gap float64, within cutoff, below func(along float64,
	off wrench) float64) (lower, upper float64, at twist) {
	v, ok := onPlane(load, start)
	if !ok {
		return 0, math.Inf(1), start
	}
	bound := func(w wrench, v twist) {
		along := w.on(v)
		lower = max(lower, below(along, wrench{w.x - along*load.x, w.y - along*load.y, w.turn - along*load.turn}))
	}
	here := s.at(v)
	s.keep()
	var tried *node
	for pass := 1; ; pass++ {
		bound(here.slope, v)
		if here.cost-lower > gap*here.cost && !within.out(lower, here.cost) {
			bound(here.eased(load, v), v)
		}
		if here.cost-lower <= gap*here.cost || pass >= descents || within.out(lower, here.cost) {
			return lower, here.cost, v
		}
		if pass > patience && here.sharp != tried {
			tried = here.sharp
			if next, ok := onPlane(load, turnAbout(tried, load)); ok {
				there := s.at(next)
				bound(there.eased(load, next), next)
				if there.cost < here.cost {
					v, here = next, there
					s.keep()
					continue
				}
			}
		}
		next, there, ok := s.newtonStep(load, v, here)
		if !ok {
			if next, ok = here.weiszfeld(load); !ok {
				return lower, here.cost, v
			}
			if there = s.at(next); !(there.cost < here.cost) {
				return lower, here.cost, v
			}
		}
		v, here = next, there
		s.keep()
	}
}

// newtonStep goes to the least of the second-order model or, where that is too far, part of the way; not ok when even a
// small part of it does not go down.
func (s *surface) newtonStep(load wrench, v twist, here sums) (next twist, there sums, ok bool) {
	far, ok := here.newton(load, v, s.bend(v))
	if !ok {
		return v, here, false
	}
	for part := 1.0; part > 0.01; part /= 4 {
		next = twist{v.x + part*(far.x-v.x), v.y + part*(far.y-v.y), v.spin + part*(far.spin-v.spin)}
		if there = s.at(next); there.cost < here.cost {
			return next, there, true
		}
	}
	return v, here, false
}

// eased is a wrench that is held as well: the slope with the force at the sharpest node chosen anew, anything up to its
// strength, so as to leave as little as possible across the load. Where the piece turns about a single strong point, as
// about a tab, D has a kink there and the slope at a neighboring twist says little, but the eased slope does.
func (r *sums) eased(load wrench, v twist) wrench {
	n := r.sharp
	if n == nil {
		return r.slope
	}
	ux, uy := (v.x-v.spin*n.y)/r.slow, (v.y+v.spin*n.x)/r.slow
	deep := math.Sqrt(n.s2)
	g := deep * v.spin / r.slow
	fx, fy := ux-(r.slope.x-r.cost*load.x)/r.most, uy-(r.slope.y-r.cost*load.y)/r.most
	if f := hypot(fx, fy); f > 1 {
		fx, fy = fx/f, fy/f
	}
	if rest := math.Sqrt(max(0, 1-fx*fx-fy*fy)); math.Abs(g) > rest {
		deep *= 1 - rest/math.Abs(g)
	} else {
		deep = 0
	}
	fx, fy = r.most*(fx-ux), r.most*(fy-uy)
	return wrench{r.slope.x + fx, r.slope.y + fy, r.slope.turn + n.x*fy - n.y*fx - r.most*deep*g}
}

// turnAbout is the turning about a node in the sense of the load.
func turnAbout(n *node, load wrench) twist {
	spin := math.Copysign(1, load.turn-(n.x*load.y-n.y*load.x))
	return twist{spin * n.y, -spin * n.x, spin}
}

// leastPower is the share of its size times the load's that the power of a twist must have. Below it the load all but
// misses the sliding center: such a twist costs far too much for its work to be the least, and would scale to numbers
// out of range.
const leastPower = 1e-9

// onPlane scales a twist so that the load's power on it is 1.
func onPlane(load wrench, v twist) (twist, bool) {
	p := load.on(v)
	if !(p > leastPower*(math.Abs(load.x)+math.Abs(load.y)+math.Abs(load.turn))*(math.Abs(v.x)+math.Abs(v.y)+math.Abs(
		v.spin))) || math.IsInf(p, 1) {
		return v, false
	}
	return twist{v.x / p, v.y / p, v.spin / p}, true
}

// weiszfeld solves for the twist with the least v Q v on the plane: v proportional to the solution of Q v = load.
func (r *sums) weiszfeld(load wrench) (twist, bool) {
	under := r.d - (r.b*r.b+r.c*r.c)/r.a
	if !(under > 0) {
		return twist{}, false
	}
	spin := (load.turn + (r.c*load.x-r.b*load.y)/r.a) / under
	return onPlane(load, twist{(load.x + r.c*spin) / r.a, (load.y - r.b*spin) / r.a, spin})
}

// newton gives the least of the second-order model of D in the plane load.v = 1, bend being what Q has over its second
// derivative.
func (r *sums) newton(load wrench, v twist, bend [6]float64) (twist, bool) {
	// Two directions that span the plane.
	e, f := across(load)
	h := [6]float64{r.a - bend[0], -bend[1], -r.c - bend[2], r.a - bend[3], r.b - bend[4], r.d - bend[5]}
	form := func(p, q twist) float64 {
		return p.x*(h[0]*q.x+h[1]*q.y+h[2]*q.spin) + p.y*(h[1]*q.x+h[3]*q.y+h[4]*q.spin) +
			p.spin*(h[2]*q.x+h[4]*q.y+h[5]*q.spin)
	}
	ee, ef, ff := form(e, e), form(e, f), form(f, f)
	ge, gf := r.slope.on(e), r.slope.on(f)
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
		k := hypot(x, y)
		e = twist{-y / k, x / k, 0}
	} else if ay <= ax {
		k := hypot(x, t)
		e = twist{-t / k, 0, x / k}
	} else {
		k := hypot(y, t)
		e = twist{0, -t / k, y / k}
	}
	return e, twist{y*e.spin - t*e.y, t*e.x - x*e.spin, x*e.y - y*e.x}
}
