package machine

import (
	"math"

	"github.com/paulmach/orb/planar"

	"staydown/hold/airflow"
	"staydown/hold/job"
)

// Friction is that between a piece and what it lies on, from the patches that open zones press down: of the layer, or
// of the chuck where a zone is gasketed; wet once coolant has run. On several zones the lowest counts for all of it.
// What lies on no open zone may lie on any. open tells for each zone whether it is.
func Friction(j *job.Job, patches []airflow.Patch, wet bool, open []bool) float64 {
	lowest := math.Inf(1)
	for i := range j.Zones {
		z := &j.Zones[i]
		if mu := frictionOn(j, z, wet); open[i] && mu < lowest && anyOn(z, patches) {
			lowest = mu
		}
	}
	if !math.IsInf(lowest, 1) {
		return lowest
	}
	if j.Layer != nil {
		lowest = j.Layer.Friction.When(wet)
	}
	for i := range j.Zones {
		lowest = math.Min(lowest, frictionOn(j, &j.Zones[i], wet))
	}
	if math.IsInf(lowest, 1) {
		return 0
	}
	return lowest
}

// frictionOn is the friction of a part on a zone; +Inf where the job does not tell it.
func frictionOn(j *job.Job, z *job.Zone, wet bool) float64 {
	switch {
	case z.Seal == job.GasketSeal && z.Friction.Dry > 0:
		return z.Friction.When(wet)
	case z.Seal == job.LayerSeal && j.Layer != nil:
		return j.Layer.Friction.When(wet)
	}
	return math.Inf(1)
}

// touching is the share of a patch's width by which it may reach into a zone and only touch it.
const touching = 1e-9

// anyOn tells whether one of the patches, taken for squares, reaches into a zone.
func anyOn(z *job.Zone, patches []airflow.Patch) bool {
	bound := z.Area.Bound()
	for i := range patches {
		p := &patches[i]
		at, half := [2]float64{p.X, p.Y}, math.Sqrt(p.AreaMM2)/2*(1-touching)
		if bound.Pad(half).Contains(at) && (planar.PolygonContains(z.Area, at) || planar.DistanceFrom(z.Area,
			at) < half) {
			return true
		}
	}
	return false
}
