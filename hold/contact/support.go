package contact

import (
	"errors"
	"math"
	"slices"

	"github.com/paulmach/orb"
)

// Support is what holds one piece at one moment, ready for many loads. It does not change and may be used from many
// goroutines.
//
// What it takes for granted, and how far that may be off:
//   - A downward force adds friction at its own place. Lift moves what is left of the normal force away from it, as
//     statics demands, by a linear tilt of the pressure; where the table would have to pull, a part stands on one point
//     instead (see reaction). Beyond the middle third that comes out at most 3 % above an exact footing that bears in
//     part.
//   - The overturning moment of the load's height is not put into that tilt: up to 1.5 % of a twist margin, either way.
//   - Weight counts as standing on its center of gravity alone, a clamp as pressing at one point. By Jensen's
//     inequality that is the least that any spread of either resists.
//   - Elements count as discs of their area, gathered to a few hundred spots. For elements as compact as a square the
//     moment is never too high: on a 4 x 4 grid up to 0.3 % low, on one element 27 %.
//   - Margins on the limit surface are lower bounds, with rare exceptions within surfaceGap (0.2 %) of the sum over
//     those spots.
//   - The hull has at most maxCorners corners, all of them true ones: its edges lie inside the true hull.
//   - Webs hold in the plane with the least of shear, tension and bending edgewise, whatever the direction, and upright
//     with the lesser of shear and bending. What they carry upright, beyond pressure and weight, they lack in the plane
//     in the same proportion.
//   - A piece that neither elements nor an outline describe has no edge it could stand on: whatever would overturn it
//     has tip margin 0, unless three webs or more, not in line, keep it up.
type Support struct {
	body     Body
	anchored bool
	friction float64
	enough   float64

	pressureN float64
	weightN   float64
	clampN    float64
	normalN   float64   // all three
	centre    orb.Point // where their resultant goes through the face, mm
	areaMM2   float64

	origin orb.Point // of the nodes' coordinates
	reach  float64   // their unit, mm: the farthest that anything holds from the origin

	grip field // friction of pressure and weight: nodes weigh N, not mu N
	tack field // and the friction of clamps on the top: neither depends on the normal force
	webs field

	uprightN float64 // vertical strength of the webs
	axes     []axis  // the edges of the face first, then those through webs
	face     []orb.Point
	kern     kern
	bound    lowerBound
}

// regularRadius is the radius, in reaches, over which a point contact's resistance to turning about itself is rounded
// off, so that the search meets no kink. It adds at most 0.2 % of the point's own force times reach.
const regularRadius = 0.002

const minReachMM = 1e-6

// NewSupport prepares the checks of a piece. It fails only on input that is not a number, out of the limits, or an
// outline without area.
func NewSupport(b Body) (*Support, error) { return newSupport(b, nil) }

// With prepares the checks of the same piece with other webs and another tack, which is much quicker than from its
// elements.
func (s *Support) With(webs []Web, tackPa float64) (*Support, error) {
	b := s.body
	b.Webs, b.TackPa = webs, tackPa
	return newSupport(b, s)
}

// Varied prepares the checks of the same piece under other pressures, with another weight, friction and strength: the
// elements, what presses and the outline have their places and sizes. The hull is taken over, which takes a third of
// the time, and the sums about sliding centers where the pressures are the same.
func (s *Support) Varied(b Body) (*Support, error) { return newSupport(b, s) }

// newSupport takes over what it can from a support of the same elements in place and size; nil: none.
func newSupport(b Body, like *Support) (*Support, error) {
	if err := b.validate(); err != nil {
		return nil, err
	}
	s := &Support{body: b, anchored: b.Anchored, friction: b.Friction, enough: b.Enough, weightN: b.WeightN}
	var px, py, ax, ay float64
	for _, p := range b.Elements {
		n := pressureForce(p)
		s.pressureN += n
		px += n * p.X
		py += n * p.Y
		s.areaMM2 += p.AreaMM2
		ax += p.AreaMM2 * p.X
		ay += p.AreaMM2 * p.Y
	}
	for _, p := range b.Presses {
		s.clampN += p.ForceN
		px += p.ForceN * p.X
		py += p.ForceN * p.Y
	}
	s.normalN = s.pressureN + s.weightN + s.clampN
	switch {
	case s.normalN > 0:
		s.centre = orb.Point{(px + s.weightN*b.WeightX) / s.normalN, (py + s.weightN*b.WeightY) / s.normalN}
	case s.areaMM2 > 0:
		s.centre = orb.Point{ax / s.areaMM2, ay / s.areaMM2}
	case len(b.Webs) > 0:
		for _, w := range b.Webs {
			s.centre[0] += w.X / float64(len(b.Webs))
			s.centre[1] += w.Y / float64(len(b.Webs))
		}
	}
	level := hinges(b.Webs, Web.Level, s.centre[0], s.centre[1])
	upright := hinges(b.Webs, Web.Upright, s.centre[0], s.centre[1])
	s.uprightN = forceOf(upright)

	if like != nil {
		s.face = like.face
	} else if corner, err := face(b); err == nil {
		s.face = corner
	} else {
		return nil, err
	}
	s.axes = axes(s.face, upright, s.normalN, s.centre[0], s.centre[1])
	s.prepareFields(b, level, like)
	s.bound = newLowerBound(s)
	return s, nil
}

func pressureForce(p Element) float64 { return p.PressurePa * p.AreaMM2 * 1e-6 }

// face gives the hull of what rests on the table; nothing when neither elements nor an outline nor a face below a clamp
// are known.
func face(b Body) ([]orb.Point, error) {
	if len(b.Outline) == 0 {
		points := corners(b.Elements)
		for _, p := range b.Presses {
			points = append(points, p.Face...)
		}
		if h := within(hull(points), b.Rim); len(h) >= 3 {
			return h, nil
		}
		return nil, nil // a clamp on a line has no edges about which anything could be told
	}
	h := hull(append([]orb.Point(nil), b.Outline...))
	if len(h) < 3 {
		return nil, errors.New("body: the outline has no area; give at least three corners that are not in line")
	}
	return h, nil
}

// prepareFields sets up the sums about a sliding center; those of pressure and weight are taken over where webs do not
// change their unit.
func (s *Support) prepareFields(b Body, level []hinge, like *Support) {
	s.origin = s.centre
	far := func(x, y, r float64) { s.reach = max(s.reach, hypot(x-s.origin[0], y-s.origin[1])+r) }
	for _, p := range b.Elements {
		far(p.X, p.Y, math.Sqrt(p.AreaMM2)/2)
	}
	for _, h := range level {
		far(h.x, h.y, h.spread)
	}
	if s.weightN > 0 {
		far(b.WeightX, b.WeightY, 0)
	}
	for _, p := range b.Presses {
		far(p.X, p.Y, 0)
	}
	for _, w := range b.Room {
		far(w.X, w.Y, w.WidthMM/webRegular)
	}
	if s.reach < minReachMM {
		s.reach = 1 // all at one point, but for rounding
	}
	if like != nil && like.origin == s.origin && like.reach == s.reach && like.pressedAs(b) {
		s.grip, s.kern = like.grip, like.kern
	} else {
		s.prepareGrip(b)
	}
	fast := s.clampTops(b.Presses)
	if b.TackPa > 0 {
		fast = append(gatherNodes(b.Elements, func(p Element) float64 { return b.TackPa * p.AreaMM2 * 1e-6 }, s.origin,
			s.reach), fast...)
	}
	if len(fast) > 0 {
		s.tack = newField(fast)
	}
	var posts []node
	for _, h := range level {
		r := max(h.spread/s.reach, 1e-6)
		posts = append(posts, node{(h.x - s.origin[0]) / s.reach, (h.y - s.origin[1]) / s.reach, r * r, h.force})
	}
	s.webs = newField(posts)
}

// pressedAs tells whether pressure, weight and clamps press the piece down as they do a body.
func (s *Support) pressedAs(b Body) bool {
	same := func(p, q Press) bool { return p.ForceN == q.ForceN && p.X == q.X && p.Y == q.Y }
	return s.weightN == b.WeightN && s.body.WeightX == b.WeightX && s.body.WeightY == b.WeightY &&
		slices.Equal(s.body.Elements, b.Elements) && slices.EqualFunc(s.body.Presses, b.Presses, same)
}

func (s *Support) prepareGrip(b Body) {
	grip := gatherNodes(b.Elements, pressureForce, s.origin, s.reach)
	if s.weightN > 0 {
		grip = append(grip, s.pointNode(b.WeightX, b.WeightY, s.weightN, regularRadius))
	}
	grip = append(grip, s.clampGrip(b.Presses)...)
	s.grip = newField(grip)
	s.kern = newKern(&s.grip)
}

// NormalN is what pressure, weight and clamps press the piece on the table with, N.
func (s *Support) NormalN() float64 { return s.normalN }

// Center is the pressure center, weight and clamps included, mm.
func (s *Support) Center() orb.Point { return s.centre }

// MaxTwistNmm is the moment that the piece resists when no horizontal force goes with it: mu N r for a uniform field, r
// being the mean distance of its points from its center. Where webs or tack hold besides friction, each about a center
// of its own, it is a lower bound.
func (s *Support) MaxTwistNmm() float64 {
	var p contactLoad
	s.contactLoad(&p, &Load{})
	return p.couple * s.reach
}
