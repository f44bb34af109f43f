package contact

import (
	"math"

	"github.com/paulmach/orb"
)

// surfaceGap is how far, of its value, a margin on the limit surface may lie below the sum over the nodes.
const surfaceGap = 0.002

// twistShare is the part of the straight-line sum F/Fmax + M/Mmax from which on the moment gives the motion its name. A
// sixth is where a disc turns about a point two radii away; with less, every point of it moves within 30 degrees of the
// same way, which is called slip.
const twistShare = 1.0 / 6

// straight is the line between full slip and full twist.
type straight struct {
	force  float64 // F/Fmax
	moment float64 // M/Mmax
}

// margin is the factor by which force and moment can grow together up to the line. The limit surface bounds a convex
// set that holds both of the line's ends, so the line is always safe. Its ends are the sliding force through the center
// of all that resists, without a moment about it, and the pure couple, without a force.
func (t straight) margin() float64 {
	if sum := t.force + t.moment; sum > 0 {
		return 1 / sum
	}
	return math.Inf(1)
}

func (t straight) turns() bool { return (1-twistShare)*t.moment > twistShare*t.force }

// ratio is part/whole with 0/0 = 0 and x/0 = +Inf.
func ratio(part, whole float64) float64 {
	if part == 0 {
		return 0
	}
	return part / whole
}

// contactLoad is a load as seen by what resists sliding.
type contactLoad struct {
	shares
	stands reaction
	load   wrench // about the origin, in N and N times reach
	levelN float64
	couple float64 // lower bound of Mmax, N times reach
	cx, cy float64 // center of all that resists, relative to the origin, in reaches
	px, py float64 // point of action likewise
}

func (s *Support) contactLoad(p *contactLoad, l *Load) {
	s.enter(p, l)
	p.stands = s.lifted(l.ZN, l.X, l.Y)
	s.resist(p)
}

// enter enters a load.
func (s *Support) enter(p *contactLoad, l *Load) {
	p.shares = s.shares(l)
	p.levelN = hypot(l.XN, l.YN)
	p.px, p.py = (l.X-s.origin[0])/s.reach, (l.Y-s.origin[1])/s.reach
	p.load = wrench{l.XN, l.YN, p.px*l.YN - p.py*l.XN + l.TorqueNmm/s.reach}
}

// resist finds the center and the couple of all that resists, once it is known how the reaction stands.
func (s *Support) resist(p *contactLoad) {
	p.couple = p.friction*s.coupleOf(p.stands) + p.tack*s.tack.couple + p.webs*s.webs.couple
	if p.force > 0 {
		fg, ft, fw := p.friction*s.normalN, p.tack*s.tack.force, p.webs*s.webs.force
		gx, gy := s.grip.x+p.stands.dx, s.grip.y+p.stands.dy
		p.couple = max(p.couple, twoPointCouple(fg, gx, gy, fw, s.webs.x, s.webs.y), twoPointCouple(ft, s.tack.x,
			s.tack.y, fw, s.webs.x,
			s.webs.y),
			twoPointCouple(fg, gx, gy, ft, s.tack.x, s.tack.y), twoPointCouple(fg, gx, gy, p.press, p.px, p.py),
			regularRadius*max(fg*p.stands.pointShare, p.press)) // a point turning about itself
		p.cx = (fg*gx + ft*s.tack.x + fw*s.webs.x + p.press*p.px) / p.force
		p.cy = (fg*gy + ft*s.tack.y + fw*s.webs.y + p.press*p.py) / p.force
	} else {
		p.cx, p.cy = 0, 0
	}
}

// twoPointCouple is another lower bound of the couple that two fields resist together: by Jensen's inequality each
// resists a turn about any point at least as if it stood on its center, and for two points the least is the weaker
// force times their distance.
func twoPointCouple(f, fx, fy, g, gx, gy float64) float64 {
	if f <= 0 || g <= 0 {
		return 0
	}
	return min(f, g) * hypot(fx-gx, fy-gy)
}

// momentAbout is the moment of a wrench about the center of all that resists.
func (p *contactLoad) momentAbout(w wrench) float64 { return w.turn - (p.cx*w.y - p.cy*w.x) }

func (p *contactLoad) straight() straight {
	return straight{ratio(p.levelN, p.force), ratio(math.Abs(p.momentAbout(p.load)), p.couple)}
}

// critical gives the radial factor by which force and moment can grow together on the limit surface, and the motion
// that then begins.
//
// From below: let w = a l + d be a held wrench. The held set is convex and holds w as well as the double cone of the
// straight line, whose gauge of d is g = |F(d)|/Fmax + |M(d)|/Mmax. So a/(1+g) l is held.
//
// A factor beyond the cutoff may come out anywhere beyond it on the same side.
func (s *Support) critical(p *contactLoad, within cutoff) (margin float64, at twist) {
	start := s.ellipse(p)
	if s.grip.clumps != nil || s.tack.clumps != nil {
		less := s.roughSurface(p)
		margin, _, start = s.search(p, less, start, roughGap, cutoff{high: within.high})
		less.discard()
		if within.high > 0 && margin > within.high*(1+rounding) {
			return min(margin, slip(&p.shares, p.levelN)), start
		}
	}
	r := s.surface(p)
	defer r.discard()
	lower, _, at := s.search(p, r, start, surfaceGap, within)
	return min(max(margin, lower, p.straight().margin()), slip(&p.shares, p.levelN)), at
}

// roughSurface resists any motion less than the limit surface under a load does.
func (s *Support) roughSurface(p *contactLoad) *surface {
	r := newSurface()
	r.addClumps(&s.grip, p.friction*(1-p.stands.pointShare), p.stands.tiltX, p.stands.tiltY)
	r.addClumps(&s.tack, p.tack, 0, 0)
	r.add(&s.webs, p.webs, 0, 0)
	s.addPoint(r, p)
	return r
}

// surface gives the limit surface under a load.
func (s *Support) surface(p *contactLoad) *surface {
	r := newSurface()
	r.add(&s.grip, p.friction*(1-p.stands.pointShare), p.stands.tiltX, p.stands.tiltY)
	r.add(&s.tack, p.tack, 0, 0)
	r.add(&s.webs, p.webs, 0, 0)
	s.addPoint(r, p)
	return r
}

// addPoint adds what stands on one point: a part of the reaction, or what the cutter presses down.
func (s *Support) addPoint(r *surface, p *contactLoad) {
	if p.stands.pointShare > 0 { // a lift, so nothing presses down
		r.addPoint(p.stands.x, p.stands.y, p.friction*s.normalN*p.stands.pointShare)
	} else {
		r.addPoint(p.px, p.py, p.press)
	}
}

// ellipse is the motion under a load that is square on the ellipse through full slip and full twist.
func (s *Support) ellipse(p *contactLoad) twist {
	spin := p.momentAbout(p.load) * (p.force / p.couple) * (p.force / p.couple)
	return twist{p.load.x + spin*p.cy, p.load.y - spin*p.cx, spin}
}

// search gives bounds of the radial factor on a surface, which may hold less than all that resists, from below and
// above, and the twist of the latter. It begins at a twist and ends within a gap of the value.
func (s *Support) search(p *contactLoad, r *surface, start twist, gap float64, within cutoff) (lower,
	upper float64, at twist) {
	below := func(along float64, off wrench) float64 {
		return along / (1 + ratio(hypot(off.x, off.y), p.force) + ratio(math.Abs(p.momentAbout(off)), p.couple))
	}
	size := max(math.Abs(p.load.x), math.Abs(p.load.y), math.Abs(p.load.turn))
	unit := wrench{p.load.x / size, p.load.y / size, p.load.turn / size}
	lower, upper, at = r.descend(unit, start, gap, within.times(size), below)
	return lower / size, upper / size, at
}

// slidingCentre is the point that rests in a twist; false when it slides straight on.
func (s *Support) slidingCentre(v twist) (orb.Point, bool) {
	x, y := s.origin[0]-v.y/v.spin*s.reach, s.origin[1]+v.x/v.spin*s.reach
	if math.Abs(x) <= maxMM && math.Abs(y) <= maxMM {
		return orb.Point{x, y}, true
	}
	return orb.Point{}, false
}
