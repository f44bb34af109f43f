package material

import "math"

// kcLimitMM is the chip thickness above which kc stays as it is there: tables state the law up to about 1 mm, and the
// constant lies above its continuation.
const kcLimitMM = 1.0

// linearMC is the exponent below which the law is a straight line.
const linearMC = 1e-12

// Law is the tangential force on a mm of cutting edge over the chip thickness h: Edge + Chip(h), in N/mm.
//
// Kienzle's law KC11 h^(1-MC) is stated from chips of about 0.02 mm up. It goes to zero with the chip, which an edge
// that rubs does not, and its exponent already holds most of what linear-edge models (Ktc h + Kte) give as edge force.
// So the force starts at Edge, follows the straight line from there that touches Kienzle's curve, and the curve beyond.
// With MC = 0 the line touches nowhere and the law is the linear-edge one, Edge + KC11 h; with Edge = 0 it is
// Kienzle's.
type Law struct {
	Edge float64 // N/mm

	kc, power float64 // KC11 and 1 - MC
	touchMM   float64 // where the line meets the curve; at most kcLimitMM
	slope     float64 // of the line, N/mm2
}

// Law is the likely law of the material with the specific cutting force times factor.
func (w Work) Law(factor float64) Law {
	l := Law{Edge: w.Edge.Likely, kc: w.KC11.Likely * factor, power: 1 - w.MC.Likely}
	m := w.MC.Likely
	if m < linearMC {
		l.slope, l.touchMM = l.kc, kcLimitMM
		return l
	}
	touch := math.Pow(l.Edge/(m*l.kc), 1/l.power)
	l.slope = l.power * l.kc * math.Pow(touch, -m)
	l.touchMM = math.Min(touch, kcLimitMM)
	return l
}

// Chip is the force without Edge at a chip of h mm, 0 or more; N/mm.
func (l Law) Chip(h float64) float64 {
	switch {
	case h <= 0:
		return 0
	case h <= l.touchMM:
		return l.slope * h
	case h <= kcLimitMM:
		return l.kc*math.Pow(h, l.power) - l.Edge
	}
	return l.Chip(kcLimitMM) + l.kc*(h-kcLimitMM)
}

// Specific is the whole force over the chip thickness, kc in N/mm2; 0 for no chip.
func (l Law) Specific(h float64) float64 {
	if h <= 0 {
		return 0
	}
	return (l.Edge + l.Chip(h)) / h
}

// Linear tells whether the law is a straight line throughout.
func (l Law) Linear() bool { return l.power > 1-linearMC }

// StraightTo is the chip thickness in mm up to which Chip is a straight line through 0.
func (l Law) StraightTo() float64 { return l.touchMM }
