package hold

import (
	"math"

	"github.com/paulmach/orb/planar"

	"staydown/hold/airflow"
	"staydown/hold/job"
)

// friction is that between a piece and what it lies on, from the patches that open zones press down: of the layer, or of the chuck
// where a zone is gasketed. On several zones the lowest counts for all of it. What lies on no open zone may lie on any.
func (a *Analysis) friction(patches []airflow.Patch) float64 {
	lowest := math.Inf(1)
	for i := range a.job.Zones {
		z := &a.job.Zones[i]
		if mu := a.frictionOn(z); z.Open && mu < lowest && anyOn(z, patches) {
			lowest = mu
		}
	}
	if !math.IsInf(lowest, 1) {
		return lowest
	}
	if a.job.Layer != nil {
		lowest = a.job.Layer.Friction
	}
	for i := range a.job.Zones {
		lowest = math.Min(lowest, a.frictionOn(&a.job.Zones[i]))
	}
	if math.IsInf(lowest, 1) {
		return 0
	}
	return lowest
}

// frictionOn is the friction of a part on a zone; +Inf where the job does not tell it.
func (a *Analysis) frictionOn(z *job.Zone) float64 {
	switch {
	case z.Seal == job.GasketSeal && z.Friction > 0:
		return z.Friction
	case z.Seal == job.LayerSeal && a.job.Layer != nil:
		return a.job.Layer.Friction
	}
	return math.Inf(1)
}

// anyOn tells whether one of the patches, taken for squares, reaches into a zone.
func anyOn(z *job.Zone, patches []airflow.Patch) bool {
	bound := z.Area.Bound()
	for i := range patches {
		p := &patches[i]
		at, half := [2]float64{p.X, p.Y}, math.Sqrt(p.AreaMM2)/2*(1-roomOnTheSafe)
		if bound.Pad(half).Contains(at) && (planar.PolygonContains(z.Area, at) || planar.DistanceFrom(z.Area, at) < half) {
			return true
		}
	}
	return false
}
