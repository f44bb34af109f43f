package airflow

import (
	"math"

	"staydown/hold/job"
)

// Exact results for a layer of thickness t that lies on an open plenum, with s = sqrt(k_along/k_through). The full vacuum is lost
// over a band beside each edge of what is exposed. Source: conformal mapping of the half-covered strip, closed form.
const (
	// surfaceBand is the width of that band over t s beside a surface that is only bared, (2 ln 2)/pi. The layer leaks as if it were bared
	// over the same width more.
	surfaceBand = 2 * math.Ln2 / math.Pi
	// fullBand is that beside an edge that is open over all its thickness, 8 G/pi^2 with Catalan's constant G.
	fullBand = 8 * 0.915965594177219 / (math.Pi * math.Pi)
	// grooveLink serves the mirrored case: under a closed face, air goes from the land into a groove as if the land's
	// side were (2 ln 2)/pi t s further away. The face's own band law covers surfaceBand of the conductance 1/surfaceBand.
	grooveLink = 1/surfaceBand - surfaceBand
)

// band is the width over t s that is lost beside an edge cut to the given share of the thickness (1: all through). The exact value
// rises from surfaceBand to fullBand; sqrt bounds it from above to 0.02 (checked against finite differences of the section).
func band(share float64) float64 {
	return surfaceBand + (fullBand-surfaceBand)*math.Min(1, 1.17*math.Sqrt(math.Max(0, share)))
}

// wallLeak is the width over t s by which such an edge leaks more than the band it loses: the air that enters by the wall of the cut has
// a shorter way. It grows with the logarithm of what is left below; the constant bounds finite differences of the section
// from above. A cut through all the thickness would leak without bound on an ideal plenum; the rest is taken as 1 % of the thickness.
func wallLeak(share float64) float64 {
	return -0.88 * math.Log(math.Max(0.01, 1-share)) * band(share)
}

// rimLeak is the same for the layer's open rim where the plenum ends short of it, by a gap counted in t s: (2/pi) ln(8/(pi gap)) in
// all for gaps small against the thickness (conformal mapping); the hyperbolic tangent keeps wider ones on the safe side (checked
// against finite differences of the section).
func rimLeak(gap float64) float64 {
	return math.Max(0, 2/math.Pi*math.Log(4/math.Tanh(math.Pi*gap/2))-fullBand)
}

// leastRimGap is how near to the rim, in units of t s, the plenum of a zone without grooves is taken to come: chucks are closed
// along their rim (common practice, no source).
const leastRimGap = 0.1

// sheetMM is what the layer is to the field: lengths in mm, conductances divided by k_through/t.
type sheetMM struct {
	thickness float64
	reach     float64 // t s: the scale of sideways flow, grooves below a thick layer included
}

func newSheetMM(j *job.Job) sheetMM {
	l := j.Layer
	stretch := math.Sqrt(l.AlongM2 / l.ThroughM2)
	s := sheetMM{thickness: l.ThicknessMM, reach: l.ThicknessMM * stretch}
	below := 0.0
	for _, zone := range j.Zones {
		if g := zone.Groove; g != nil && zone.Open && zone.Seal == job.LayerSeal && blurred(*g, l) {
			below = math.Max(below, constriction(*g, stretch))
		}
	}
	s.reach += below * stretch
	return s
}

// lambda is the decay length of the field over a plenum beside a bared surface.
func (s sheetMM) lambda() float64 { return surfaceBand * s.reach }

// blurred tells grooves that lie so close under so thick a layer that it takes them for one plenum a little further away. The
// finer grooves are then not resolved.
func blurred(g job.Groove, l *job.Layer) bool {
	return l.ThicknessMM*math.Sqrt(l.AlongM2/l.ThroughM2) >= (g.PitchMM-g.WidthMM)/3
}

// constriction is how much further away, in mm across the layer, that plenum seems: (p/pi) ln(1/sin(pi c/(2 p))) for slots of width c
// at a pitch p in one direction (conformal mapping, closed form for a layer thicker than half a pitch). Grooves both ways hold more;
// the tenth on top covers layers of a third of a pitch (checked against finite differences of the section). The leak is
// reckoned without it.
func constriction(g job.Groove, stretch float64) float64 {
	if g.WidthMM >= g.PitchMM {
		return 0
	}
	return 1.1 * g.PitchMM / stretch / math.Pi * math.Log(1/math.Sin(math.Pi*g.WidthMM/(2*g.PitchMM)))
}
