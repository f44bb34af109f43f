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

// fringe is how much more than its lost width such an edge leaks: the air that enters by the wall of the cut has a shorter way. It
// grows with the logarithm of what is left below; the constant bounds finite differences of the section from above. An edge
// open through all the thickness would leak without bound on an ideal plenum; the rest is taken as 1 % of the
// thickness, the scale on which real chucks are closed beside an edge.
func fringe(share float64) float64 {
	return 1 - 0.88*math.Log(math.Max(0.01, 1-share))
}

// sheetMM is what the layer is to the field: lengths in mm, conductances divided by k_through/t.
type sheetMM struct {
	thickness float64
	reach     float64 // t s: the scale of sideways flow
}

func newSheetMM(l *job.Layer) sheetMM {
	return sheetMM{thickness: l.ThicknessMM, reach: l.ThicknessMM * math.Sqrt(l.AlongM2/l.ThroughM2)}
}

// lambda is the decay length of the field over a plenum beside a bared surface.
func (s sheetMM) lambda() float64 { return surfaceBand * s.reach }
