package contact

import (
	"math"

	"github.com/paulmach/orb"
)

// reaction is how the table's pressure on the face changes when the load lifts. What is left of the normal force must
// have its center where statics puts it, away from the lift; friction under the cutter goes first.
//
// The share (1 - pointShare) of it keeps the form of the pressure times 1 + tilt.x, as under a stiff piece on an even
// bed (the footing formula q = N/A + M x/I); pointShare stands on one point. The point comes in where tilt alone would
// have the table pull at the far side. By Jensen's inequality one point is the least that any spread about it resists.
type reaction struct {
	tiltX, tiltY float64 // per reach
	pointShare   float64 // share on the point, 0 to 1
	x, y         float64 // the point, relative to the origin, in reaches
	dx, dy       float64 // center of it all likewise
	steep        float64 // 0: even, 1: the tilt takes the last of the pressure off some place
}

// ways is the number of directions in which the steepest tilt is found beforehand.
const ways = 16

// kern describes the tilts under which the table need not pull anywhere.
type kern struct {
	// Inverse of the pressure's covariance over the nodes, in reaches; zero when they stand in line or at one place.
	// Then nothing tilts.
	xx, xy, yy float64
	// The tilts allowed are those with f.tilt <= 1 for all faces.
	faces [ways][2]float64
	// couple is a lower bound of the pure couple at the steepest tilts; in between it is no lower than the straight
	// line from that of the even field, since the couple, as the least of functions linear in the tilt, is concave in
	// it.
	couple float64
	// steepest is the most that a shift of the reaction by one reach adds to the steepness, whatever its direction.
	steepest float64
}

func newKern(f *field) kern {
	var xx, xy, yy float64
	for _, n := range f.nodes {
		x, y := n.x-f.x, n.y-f.y
		xx += n.weight * x * x
		xy += n.weight * x * y
		yy += n.weight * y * y
	}
	det := xx*yy - xy*xy
	if !(det > 1e-9*(xx+yy)*(xx+yy)) {
		return kern{}
	}
	k := kern{xx: f.force * yy / det, xy: -f.force * xy / det, yy: f.force * xx / det, couple: math.Inf(1)}
	var steepest [ways][2]float64
	for i := range steepest {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / ways)
		var most float64
		for _, n := range f.nodes {
			most = max(most, -(cos*(n.x-f.x) + sin*(n.y-f.y)))
		}
		steepest[i] = [2]float64{cos / most, sin / most}
		couple, _ := f.roughCouple(steepest[i][0], steepest[i][1], cutoff{high: k.couple})
		k.couple = min(k.couple, couple)
	}
	for i, p := range steepest {
		q := steepest[(i+1)%ways]
		// The face through p and q: n.p = n.q = 1.
		cross := p[0]*q[1] - p[1]*q[0]
		face := [2]float64{(q[1] - p[1]) / cross, (p[0] - q[0]) / cross}
		k.faces[i] = face
		k.steepest = max(k.steepest, hypot(k.xx*face[0]+k.xy*face[1], k.xy*face[0]+k.yy*face[1]))
	}
	return k
}

// steep is 1 at the steepest tilts allowed and grows with the tilt.
func (k *kern) steep(x, y float64) float64 {
	var most float64
	for _, f := range k.faces {
		most = max(most, f[0]*x+f[1]*y)
	}
	return most
}

// lifted gives the reaction that is left when upN is lifted at a place, out of the normal force. The height of the load
// is left out: its overturning moment moves the reaction along the force, which does not change the force's arm.
func (s *Support) lifted(upN, x, y float64) reaction {
	r := s.shifted(upN, x, y)
	if r.dx == 0 && r.dy == 0 {
		return r
	}
	out := s.exit(r.dx, r.dy)
	if out <= 1 {
		// The reaction would have to stand beyond the rim: the piece tips, and what friction is left acts at the rim.
		r.dx, r.dy = r.dx*out, r.dy*out
		r.pointShare, r.x, r.y = 1, r.dx, r.dy
		return r
	}
	r.tiltX, r.tiltY = s.kern.xx*r.dx+s.kern.xy*r.dy, s.kern.xy*r.dx+s.kern.yy*r.dy
	r.steep = s.kern.steep(r.tiltX, r.tiltY)
	if r.steep <= 1 && r.steep > 0 {
		return r
	}
	// As much tilt as there can be, and the rest on the farthest point in the same direction.
	part := 0.0
	if r.steep > 0 {
		part = 1 / r.steep
	}
	r.tiltX, r.tiltY, r.steep = r.tiltX*part, r.tiltY*part, min(r.steep, 1)
	r.pointShare = (1 - part) / (out - part)
	r.x, r.y = out*r.dx, out*r.dy
	return r
}

// shifted gives the reaction with the place of its center alone: moments about the pressure center move it away from
// the lift.
func (s *Support) shifted(upN, x, y float64) reaction {
	left := s.normalN - upN
	if upN <= 0 || left <= 0 || len(s.face) == 0 {
		return reaction{}
	}
	return reaction{dx: -(x - s.origin[0]) / s.reach * upN / left, dy: -(y - s.origin[1]) / s.reach * upN / left}
}

// exit tells how many times the way (dx, dy) in reaches leads from the pressure center to the rim of the face; 0 when
// the center is beyond the rim itself.
func (s *Support) exit(dx, dy float64) float64 {
	most := 0.0 // of the way to the rim that (dx, dy) is
	for i := range s.face {
		a := &s.axes[i]
		if away := a.nx*dx + a.ny*dy; away > 0 {
			most = max(most, away*a.nearness)
		}
	}
	return 1 / (most * s.reach)
}

// coupleOf is a lower bound of the pure couple of the grip field under the reaction, N times reach, for a coefficient
// of friction of 1.
func (s *Support) coupleOf(r reaction) float64 {
	if r.steep == 0 {
		return (1 - r.pointShare) * s.grip.couple
	}
	return (1 - r.pointShare) * ((1-r.steep)*s.grip.couple + r.steep*min(s.kern.couple, s.grip.couple))
}

// point is the reaction's point on the table, mm.
func (s *Support) point(r reaction) orb.Point {
	return orb.Point{s.origin[0] + r.x*s.reach, s.origin[1] + r.y*s.reach}
}
