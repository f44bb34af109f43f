package suction

import (
	"math"

	"staydown/hold/internal/gas"
	"staydown/hold/job"
)

// Plenum is a zone's own part of the leak, behind its own ducts.
type Plenum struct {
	Opening
	ducts series
	Holds bool // material lies on it at the start
}

// Opening lets air in: a layer (and work) of a conductance (m3, permeability times area over length), and openings of
// an effective area.
type Opening struct {
	ConductanceM3 float64
	OrificeMM2    float64
}

// Plenums are the zones with ducts of their own, from 1; nil where no open zone has any. The first stands for what
// lies in no zone.
func Plenums(j *job.Job) []Plenum {
	all, any := make([]Plenum, len(j.Zones)+1), false
	for i, zone := range j.Zones {
		if zone.Open {
			all[i+1].ducts = toManifold(zone)
			any = any || len(all[i+1].ducts) > 0
		}
	}
	if !any {
		return nil
	}
	return all
}

// inflowKgS is what comes into the zone at an absolute pressure.
func (p *Plenum) inflowKgS(ambientPa, zonePa float64) float64 {
	return gas.LayerKgS(p.ConductanceM3, ambientPa, zonePa) + gas.OrificeKgS(p.OrificeMM2*gas.M2PerMM2, ambientPa,
		zonePa,
		gas.RoomK)
}

// pressurePa is that in the zone when it is manifoldPa where the zones meet: the higher it is the less comes in, and
// the less the ducts need, so there is one root.
func (p *Plenum) pressurePa(ambientPa, manifoldPa float64) float64 {
	if len(p.ducts) == 0 || manifoldPa >= ambientPa {
		return manifoldPa
	}
	return fallingRoot(manifoldPa, ambientPa, func(zonePa float64) float64 {
		return p.ducts.upstreamPa(manifoldPa, p.inflowKgS(ambientPa, zonePa)) - zonePa
	})
}

// fallingRoot is the root of a falling function that is not negative at low and not positive at high, to a relative
// 1e-12 (Illinois method: regula falsi that halves the value of an end that stays).
func fallingRoot(low, high float64, f func(float64) float64) float64 {
	const most = 100
	fLow, fHigh := f(low), f(high)
	for range most {
		if fLow <= 0 {
			return low
		}
		if fHigh >= 0 {
			return high
		}
		x := (low*-fHigh + high*fLow) / (fLow - fHigh)
		if !(x > low && x < high) || high-low <= 1e-12*high {
			return x
		}
		switch y := f(x); {
		case y > 0:
			low, fLow, fHigh = x, y, fHigh/2
		case y < 0:
			high, fHigh, fLow = x, y, fLow/2
		default:
			return x
		}
	}
	return low + (high-low)/2
}

// leaks are all that let air in, as the pump sees it from where the zones meet.
type leaks struct {
	ambientPa float64
	zones     []Plenum
	hoses     Opening
}

// inflowKgS is what comes in at an absolute pressure where the zones meet.
func (t *leaks) inflowKgS(manifoldPa float64) float64 {
	sum := gas.OrificeKgS(t.hoses.OrificeMM2*gas.M2PerMM2, t.ambientPa, manifoldPa, gas.RoomK)
	for i := range t.zones {
		z := &t.zones[i]
		sum += z.inflowKgS(t.ambientPa, z.pressurePa(t.ambientPa, manifoldPa))
	}
	return sum
}

// weakestPa is the highest pressure of the zones that hold something.
func (t *leaks) weakestPa(manifoldPa float64) float64 {
	weakest := manifoldPa
	for i := range t.zones {
		if z := &t.zones[i]; z.Holds {
			weakest = math.Max(weakest, z.pressurePa(t.ambientPa, manifoldPa))
		}
	}
	return weakest
}

// parts are the flows through the layer and through openings of the zones, and through the hoses, kg/s.
func (t *leaks) parts(manifoldPa float64) (layer, openings, hoses float64) {
	for i := range t.zones {
		z := &t.zones[i]
		at := z.pressurePa(t.ambientPa, manifoldPa)
		layer += gas.LayerKgS(z.ConductanceM3, t.ambientPa, at)
		openings += gas.OrificeKgS(z.OrificeMM2*gas.M2PerMM2, t.ambientPa, at, gas.RoomK)
	}
	return layer, openings, gas.OrificeKgS(t.hoses.OrificeMM2*gas.M2PerMM2, t.ambientPa, manifoldPa, gas.RoomK)
}
