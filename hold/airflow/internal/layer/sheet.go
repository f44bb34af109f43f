package layer

import (
	"math"
	"slices"

	"staydown/hold/job"
)

// Sheet is what the layer is to the field: lengths in mm, conductances divided by k_through/t.
type Sheet struct {
	Thickness float64
	Reach     float64 // t s: the scale of sideways flow
	// of each zone, from 1 (0: none): how much further away its grooves make the plenum seem, across the layer
	below  []float64
	shares []float64 // see Share
}

func NewSheet(j *job.Job) *Sheet {
	l := j.Layer
	n := len(j.Zones) + 1
	s := &Sheet{Thickness: l.ThicknessMM, Reach: l.ThicknessMM * stretchOf(l),
		below: make([]float64, n)}
	for i := range j.Zones {
		if g := Grooves(&j.Zones[i]); g != nil && Blurred(*g, l) {
			s.below[i+1] = Constriction(*g, l)
		}
	}
	for _, below := range s.below {
		s.shares = append(s.shares, s.Thickness/(s.Thickness+below))
	}
	return s
}

// stretchOf is s.
func stretchOf(l *job.Layer) float64 { return math.Sqrt(l.AlongM2 / l.ThroughM2) }

// belowIn is the constriction of a zone by its index, 0 for none (-1).
func (s *Sheet) belowIn(zone int) float64 { return s.below[zone+1] }

// Share is what the plenum of a zone takes up from an area under full difference, over what it would take without
// grooves.
func (s *Sheet) Share(zone int) float64 { return s.shares[zone+1] }

// ToldApart tells whether no zone has grooves that count as one plenum a little further away.
func (s *Sheet) ToldApart() bool {
	return !slices.ContainsFunc(s.shares, func(share float64) bool { return share != 1 })
}

// maxThinning bounds how much more a layer leaks where it is cut down to a thin rest.
const maxThinning = 100.0

// ThinningFactor is how much more than a whole layer one leaks that is cut to the given depth, over the constriction of
// a zone; the limit keeps a paper-thin rest finite.
func (s *Sheet) ThinningFactor(depthMM float64, zone int) float64 {
	return min(s.Thickness/(s.Thickness-max(0, depthMM)+s.belowIn(zone)), maxThinning)
}

// ReachIn is t s of the layer with the constriction of a zone.
func (s *Sheet) ReachIn(zone int) float64 { return s.Reach * (1 + s.belowIn(zone)/s.Thickness) }

// Lambda is the greatest decay length of the field over a plenum beside a bared surface. The loss width of a layer over
// a constriction is surfaceLossWidth of both together, as for the layer alone; that is exact for a thin constriction
// and up to 3 % too wide for one of 0.8 t (Wiener-Hopf solution of the layer over an even resistance).
func (s *Sheet) Lambda() float64 {
	most := s.Reach
	for zone := range s.below {
		most = math.Max(most, s.ReachIn(zone-1))
	}
	return SurfaceLossWidth * most
}

// Narrow is by how much the loss width beside a bared strip of the given width (0: wide) is narrower than that beside a
// wide surface, since its two edges draw from the same air: over a plenum the strip leaks 2 K(k)/K(k') with k = tanh(pi
// W/(4 t s)) (conformal mapping: the capacitance of a stripline). A constriction d below acts as if the layer were d/(1
// +
// 0.7 d/t) thicker: never narrower than the exact width, and at most 4 % wider for d to 1.5 t and strips from a
// twentieth of the thickness (spectral solution).
func (s *Sheet) Narrow(widthMM float64, zone int) float64 {
	below := s.belowIn(zone)
	x := widthMM / (s.Reach * (1 + below/(s.Thickness+0.7*below)))
	if x <= 0 || x > wideStrip {
		return 1
	}
	leak := 2 * arithmeticGeometricMean(1, math.Tanh(math.Pi*x/4)) / arithmeticGeometricMean(1,
		1/math.Cosh(math.Pi*x/4))
	return math.Min(1, (leak-x)/(2*SurfaceLossWidth))
}
