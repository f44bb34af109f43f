// Package layer holds the laws of the layer's section: what its thickness does beside an edge, over grooves and under
// work that breathes.
//
//	  work      air   work          full vacuum is lost over a width beside the cut: 2 ln 2/pi of t s beside a surface
//	########         ########       that is only bared, 8 G/pi^2 (Catalan's G) where the cut goes through the layer
//	~~~~~~~~~~~~~~~~~~~~~~~~~  t
//	====  ======  ======  ===       plenum: grooves, or one open face a constriction further away
//
// The laws are those of a straight edge. It does not know where edges and zones are; for pieces narrower than the
// layer is thick they err to less hold.
package layer

import "math"

// Exact results for a layer of thickness t that lies on an open plenum, with s = sqrt(k_along/k_through). The full
// vacuum is lost over a width beside each edge of what is exposed. Source: conformal mapping of the half-covered strip,
// closed form.
const (
	// SurfaceLossWidth is that width over t s beside a surface that is only bared, (2 ln 2)/pi. The layer leaks
	// as if it were bared over the same width more.
	SurfaceLossWidth = 2 * math.Ln2 / math.Pi
	// FullLossWidth is that beside an edge that is open over all its thickness, 8 G/pi^2 with Catalan's constant G.
	FullLossWidth = 8 * 0.915965594177219 / (math.Pi * math.Pi)
	// GrooveLink serves the mirrored case: under a closed face, air goes from the land into a groove as if the land's
	// side were (2 ln 2)/pi t s further away. The loss at the face's own edge covers surfaceLossWidth of the
	// conductance 1/surfaceLossWidth.
	GrooveLink = 1/SurfaceLossWidth - SurfaceLossWidth
)

// EdgeLossWidth is the width over t s that is lost beside an edge cut to the given share of the thickness (1: all
// through). The exact value rises from surfaceLossWidth to fullLossWidth; sqrt bounds it from above to 0.02 (checked
// against finite differences of the section).
func EdgeLossWidth(share float64) float64 {
	return SurfaceLossWidth + (FullLossWidth-SurfaceLossWidth)*math.Min(1, 1.17*math.Sqrt(math.Max(0, share)))
}

// WallLeak is the width over t s by which such an edge leaks more than by the width it loses: the air that enters by
// the wall of the cut has a shorter way. It grows with the logarithm of what is left below; the constant bounds finite
// differences of the section from above. A cut through all the thickness would leak without bound on an ideal plenum;
// the rest is taken as 1 % of the thickness.
func WallLeak(share float64) float64 {
	return -0.88 * math.Log(math.Max(0.01, 1-share)) * EdgeLossWidth(share)
}

// RimLeak is the same for the layer's open rim where the plenum ends short of it, by a gap counted in t s: (2/pi)
// ln(8/(pi gap)) in all for gaps small against the thickness (conformal mapping); the hyperbolic tangent keeps wider
// ones on the safe side (checked against finite differences of the section).
func RimLeak(gap float64) float64 {
	return math.Max(0, 2/math.Pi*math.Log(4/math.Tanh(math.Pi*gap/2))-FullLossWidth)
}

// LeastRimGap is how near to the rim, in units of t s, the plenum of a zone without grooves is taken to come: chucks
// are closed along their rim (common practice, no source).
const LeastRimGap = 0.1

// wideStrip is the width, in t s, from which on the edges of a strip do not feel each other (by 3 in 10 000).
const wideStrip = 2.0

func arithmeticGeometricMean(a, b float64) float64 {
	for range 60 {
		if math.Abs(a-b) <= 1e-12*a {
			break
		}
		a, b = (a+b)/2, math.Sqrt(a*b)
	}
	return a
}
