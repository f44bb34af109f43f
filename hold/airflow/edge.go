package airflow

import (
	"math"

	"staydown/hold/job"
)

// Exact results for a layer of thickness t that lies on an open plenum, with s = sqrt(k_along/k_through). The full
// vacuum is lost over a band beside each edge of what is exposed. Source: conformal mapping of the half-covered strip,
// closed form.
const (
	// surfaceBand is the width of that band over t s beside a surface that is only bared, (2 ln 2)/pi. The layer leaks
	// as if it were bared over the same width more.
	surfaceBand = 2 * math.Ln2 / math.Pi
	// fullBand is that beside an edge that is open over all its thickness, 8 G/pi^2 with Catalan's constant G.
	fullBand = 8 * 0.915965594177219 / (math.Pi * math.Pi)
	// grooveLink serves the mirrored case: under a closed face, air goes from the land into a groove as if the land's
	// side were (2 ln 2)/pi t s further away. The face's own band law covers surfaceBand of the conductance
	// 1/surfaceBand.
	grooveLink = 1/surfaceBand - surfaceBand
)

// band is the width over t s that is lost beside an edge cut to the given share of the thickness (1: all through). The
// exact value rises from surfaceBand to fullBand; sqrt bounds it from above to 0.02 (checked against finite differences
// of the section).
func band(share float64) float64 {
	return surfaceBand + (fullBand-surfaceBand)*math.Min(1, 1.17*math.Sqrt(math.Max(0, share)))
}

// wallLeak is the width over t s by which such an edge leaks more than the band it loses: the air that enters by the
// wall of the cut has a shorter way. It grows with the logarithm of what is left below; the constant bounds finite
// differences of the section from above. A cut through all the thickness would leak without bound on an ideal plenum;
// the rest is taken as 1 % of the thickness.
func wallLeak(share float64) float64 {
	return -0.88 * math.Log(math.Max(0.01, 1-share)) * band(share)
}

// rimLeak is the same for the layer's open rim where the plenum ends short of it, by a gap counted in t s: (2/pi)
// ln(8/(pi gap)) in all for gaps small against the thickness (conformal mapping); the hyperbolic tangent keeps wider
// ones on the safe side (checked against finite differences of the section).
func rimLeak(gap float64) float64 {
	return math.Max(0, 2/math.Pi*math.Log(4/math.Tanh(math.Pi*gap/2))-fullBand)
}

// leastRimGap is how near to the rim, in units of t s, the plenum of a zone without grooves is taken to come: chucks
// are closed along their rim (common practice, no source).
const leastRimGap = 0.1

// sheetMM is what the layer is to the field: lengths in mm, conductances divided by k_through/t.
type sheetMM struct {
	thickness float64
	reach     float64 // t s: the scale of sideways flow
	// of each zone, from 1 (0: none): how much further away its grooves make the plenum seem, across the layer
	below  []float64
	shares []float64 // see share
}

func newSheetMM(j *job.Job) *sheetMM {
	l := j.Layer
	s := &sheetMM{thickness: l.ThicknessMM, reach: l.ThicknessMM * stretchOf(l), below: make([]float64, len(j.Zones)+1)}
	for i, zone := range j.Zones {
		if g := zone.Groove; g != nil && zone.Open && zone.Seal == job.LayerSeal && blurred(*g, l) {
			s.below[i+1] = constriction(*g, l)
		}
	}
	for _, below := range s.below {
		s.shares = append(s.shares, s.thickness/(s.thickness+below))
	}
	return s
}

// stretchOf is s.
func stretchOf(l *job.Layer) float64 { return math.Sqrt(l.AlongM2 / l.ThroughM2) }

// belowIn is the constriction of a zone by its index, 0 for none (-1).
func (s *sheetMM) belowIn(zone int) float64 { return s.below[zone+1] }

// share is what the plenum of a zone takes up from an area under full difference, over what it would take without
// grooves.
func (s *sheetMM) share(zone int) float64 { return s.shares[zone+1] }

// reachIn is t s of the layer with the constriction of a zone.
func (s *sheetMM) reachIn(zone int) float64 { return s.reach * (1 + s.belowIn(zone)/s.thickness) }

// lambda is the greatest decay length of the field over a plenum beside a bared surface. The band of a layer over a
// constriction is surfaceBand of both together, as for the layer alone; that is exact for a thin constriction and up to
// 3 % too wide for one of 0.8 t (Wiener-Hopf solution of the layer over an even resistance).
func (s *sheetMM) lambda() float64 {
	most := s.reach
	for zone := range s.below {
		most = math.Max(most, s.reachIn(zone-1))
	}
	return surfaceBand * most
}

// narrow is by how much the band beside a bared strip of the given width (0: wide) is narrower than that beside a wide
// surface, since its two edges draw from the same air: over a plenum the strip leaks 2 K(k)/K(k') with k = tanh(pi W/(4
// t s)) (conformal mapping: the capacitance of a stripline). A constriction d below acts as if the layer were d/(1 +
// 0.7 d/t) thicker: never narrower than the exact band, and at most 4 % wider for d to 1.5 t and strips from a
// twentieth of the thickness (spectral solution).
func (s *sheetMM) narrow(widthMM float64, zone int) float64 {
	below := s.belowIn(zone)
	x := widthMM / (s.reach * (1 + below/(s.thickness+0.7*below)))
	if x <= 0 || x > wideStrip {
		return 1
	}
	leak := 2 * arithmeticGeometricMean(1, math.Tanh(math.Pi*x/4)) / arithmeticGeometricMean(1,
		1/math.Cosh(math.Pi*x/4))
	return math.Min(1, (leak-x)/(2*surfaceBand))
}

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

// blurredShare is how thick a layer (t s) must be, over the land between two grooves, for them to be taken together. A
// cut that runs along a groove then leaks up to 8 % more than the model says, one along a land up to 14 % less; over
// the pattern it is right within 4 %, and so is the hold everywhere (checked against three dimensions). Grooves told
// apart below layers that are not much thinner leak up to 1.6 times too much.
const blurredShare = 0.3

// blurred tells grooves that lie so close under so thick a layer that it takes them for one plenum a little further
// away.
func blurred(g job.Groove, l *job.Layer) bool {
	return l.ThicknessMM*stretchOf(l) >= blurredShare*(g.PitchMM-g.WidthMM)
}

// constriction is how much further away, in mm across the layer, that plenum seems.
//
// For slots of width c at a pitch p in one direction below a thick layer it is (p/pi) ln(1/sin(pi c/(2 p))) (conformal
// mapping). Slots both ways draw from all sides of each land: 0.48 - 0.41 c/p of it. A layer that is thinner than half
// a pitch spreads the flow less: sqrt(tanh(2 pi t s/p)). Both factors are fits to finite volumes of one pitch, to 1 %
// of layer and constriction for c/p from 0.1 to 0.5 and t s/p from 0.2 up.
func constriction(g job.Groove, l *job.Layer) float64 {
	c := g.WidthMM / g.PitchMM
	if c >= 1 {
		return 0
	}
	stretch := stretchOf(l)
	slots := g.PitchMM / math.Pi * math.Log(1/math.Sin(math.Pi/2*c))
	spread := math.Sqrt(math.Tanh(2 * math.Pi * l.ThicknessMM * stretch / g.PitchMM))
	return slots * math.Max(0, 0.48-0.41*c) * spread / stretch
}
