package contact

import "math"

// lowerBound gives a lower bound of the margin of a load in a few dozen operations, without a look at every edge and
// every direction of tilt. It holds the figures of a support that this takes: places and levers in mm from the pressure
// center, forces in N, moments in N mm.
type lowerBound struct {
	friction       float64
	normalN, holdN float64 // without and with the webs' vertical strength
	x, y           float64 // the pressure center on the table

	gripX, gripY float64 // center of the grip field
	gripMM       float64 // its pure couple over its force
	blow         float64 // what a lift takes off that couple, at most, per moment of the lift about the pressure center
	// moment of a lift times this, over what is left of the normal force: below 1 no part of it stands on one point
	tilt float64

	fixedN, fixedNmm float64 // force and pure couple of tack and webs
	fixedX, fixedY   float64 // first moments of that force

	standing bool    // something resists a turn about every axis
	weakest  float64 // 1 over the least moment that does
	farthest float64 // the most distance of an axis over the moment that resists about it
}

func newLowerBound(s *Support) lowerBound {
	q := lowerBound{
		friction: s.friction, normalN: s.normalN, holdN: s.normalN + s.uprightN, x: s.origin[0], y: s.origin[1],
		gripX: s.grip.x * s.reach, gripY: s.grip.y * s.reach,
		fixedN: s.tack.force + s.webs.force, fixedNmm: (s.tack.couple + s.webs.couple) * s.reach,
		fixedX: (s.tack.force*s.tack.x + s.webs.force*s.webs.x) * s.reach, fixedY: (s.tack.force*s.tack.y +
			s.webs.force*s.webs.y) * s.reach,
		standing: len(s.axes) > 0,
	}
	for i := range s.axes {
		a := &s.axes[i]
		q.standing = q.standing && a.resist > 0
		q.weakest = max(q.weakest, 1/a.resist)
		q.farthest = max(q.farthest, math.Abs(a.inside(q.x, q.y))/a.resist)
	}
	if s.normalN > 0 {
		q.gripMM = s.grip.couple / s.normalN * s.reach
	}
	if s.kern.steepest > 0 && len(s.face) > 0 {
		q.tilt = s.kern.steepest / s.reach
		q.blow = q.tilt * max(0, q.gripMM-s.kern.couple/s.normalN*s.reach)
		for i := range s.face {
			q.tilt = max(q.tilt, s.axes[i].nearness)
		}
	} else {
		q.tilt = math.Inf(1)
	}
	return q
}

// of is not above what Check gives; 0 where it cannot say.
//
// It is the least of lift, the straight line between full slip and full twist, and tip. The line takes the steepness of
// the reaction's tilt for that of the worst direction.
func (q *lowerBound) of(l *Load) float64 {
	up, down := max(l.ZN, 0), max(-l.ZN, 0)
	left := q.normalN - up
	x, y := l.X-q.x, l.Y-q.y
	away := hypot(x, y)
	lifts := up * away
	if !(left > 0) || !q.standing || lifts > 0 && !(lifts*q.tilt < left*(1-rounding)) {
		return 0
	}
	level := hypot(l.XN, l.YN)
	force := q.friction*(left+down) + q.fixedN
	couple := q.friction*(q.gripMM*left-q.blow*lifts) + q.fixedNmm
	// First moments of all that resists; a lift moves what is left of the normal force by its own moment.
	momentX := q.friction*(left*q.gripX-l.ZN*x) + q.fixedX
	momentY := q.friction*(left*q.gripY-l.ZN*y) + q.fixedY
	turn := math.Abs((x*l.YN-y*l.XN+l.TorqueNmm)*force - (momentX*l.YN - momentY*l.XN)) // times force
	slides := (level*couple + turn) / (force * couple)
	return q.margin(l, level, slides)
}

// withoutFriction does so counting on tack and webs alone, wherever the reaction stands.
func (q *lowerBound) withoutFriction(l *Load) float64 {
	if !(l.ZN < q.normalN) {
		return 0
	}
	level := hypot(l.XN, l.YN)
	turn := math.Abs(((l.X-q.x)*l.YN-(l.Y-q.y)*l.XN+l.TorqueNmm)*q.fixedN - (q.fixedX*l.YN - q.fixedY*l.XN))
	return (1 - surfaceGap) * q.margin(l, level, (level*q.fixedNmm+turn)/(q.fixedN*q.fixedNmm))
}

// margin is that of lift, of sliding with a share of what resists it, and of tip.
func (q *lowerBound) margin(l *Load, levelN, slides float64) float64 {
	share := max(max(l.ZN, 0)/q.holdN, slides, q.tipShare(l, levelN))
	if !(share >= leastShare) {
		return 0
	}
	return (1 - rounding) / share
}

// leastShare is the share of what a support carries below which squares of forces may come out as nothing.
const leastShare = 1e-100

// tipShare is not below 1 over the margin of tip; +Inf where it cannot say. About each axis the load turns the piece up
// by no more than H h + |V| (d + d0), d being the distance of its place and d0 that of the axis from the pressure
// center.
func (q *lowerBound) tipShare(l *Load, levelN float64) float64 {
	up := math.Abs(l.ZN)
	share := (levelN*math.Abs(l.HeightMM)+up*hypot(l.X-q.x, l.Y-q.y))*q.weakest + up*q.farthest
	if !q.standing {
		share = math.Inf(1)
	}
	return share
}
