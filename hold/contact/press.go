package contact

import (
	"fmt"

	"github.com/paulmach/orb"
)

// Press is a clamp that presses the piece down at one point with a force that does not change: one that is screwed down
// presses harder as the piece comes up, which is left out. Below it the piece rubs on the table, and at its top on the
// clamp.
//
// By Jensen's inequality a point is the least that any spread of the force about it resists.
type Press struct {
	X, Y     float64 // mm
	ForceN   float64 // downward
	Friction float64 // piece on clamp; 0: the clamp keeps the piece in its place by the friction on the table alone
	// Face holds the corners, in any order, of the part of the face below the clamp: the piece rests on the table
	// there, so that it may tip about them.
	Face []orb.Point
}

func (p Press) validate() error {
	for _, q := range [...]quantity{{"X", p.X, maxMM}, {"Y", p.Y, maxMM}} {
		if err := q.check(-maxMM); err != nil {
			return err
		}
	}
	for _, q := range [...]quantity{{"ForceN", p.ForceN, maxN}, {"Friction", p.Friction, maxFriction}} {
		if err := q.check(0); err != nil {
			return err
		}
	}
	if len(p.Face) > maxOutline {
		return fmt.Errorf("face of %d points; give at most %d", len(p.Face), maxOutline)
	}
	return validatePoints("face", p.Face)
}

// clampRadius regularizes a clamp like regularRadius does a point, but less, since clamps may be far stronger than all
// else: it adds at most a ten thousandth of the clamp's friction times reach.
const clampRadius = 1e-4

// pointNode is what stands on one point, N, in the sums about a sliding center.
func (s *Support) pointNode(x, y, force, radius float64) node {
	return node{(x - s.origin[0]) / s.reach, (y - s.origin[1]) / s.reach, radius * radius, force}
}

// clampGrip gives the points where clamps press the piece on the table.
func (s *Support) clampGrip(presses []Press) []node {
	var points []node
	for _, p := range presses {
		if p.ForceN > 0 {
			points = append(points, s.pointNode(p.X, p.Y, p.ForceN, clampRadius))
		}
	}
	return points
}

// clampTops gives the friction of clamps on the top of the piece.
func (s *Support) clampTops(presses []Press) []node {
	var points []node
	for _, p := range presses {
		if f := p.Friction * p.ForceN; f > 0 {
			points = append(points, s.pointNode(p.X, p.Y, f, clampRadius))
		}
	}
	return points
}

// forceOnTops is the friction of all clamps on the top of the piece, N.
func forceOnTops(presses []Press) float64 {
	var sum float64
	for _, p := range presses {
		sum += p.Friction * p.ForceN
	}
	return sum
}
