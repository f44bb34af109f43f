package suction

import (
	"math"

	"staydown/hold/airflow/internal/cells"
	"staydown/hold/internal/gas"
	"staydown/hold/job"
)

// Plenum is a zone's own part of the leak, behind its own ducts.
type Plenum struct {
	Opening                         // in all
	Ways    [cells.WayCount]Opening // the same by where the air gets in
	ducts   series
	Holds   bool // material lies on it at the start
}

// Let gives the plenum its leak, by where the air gets in.
func (p *Plenum) Let(ways [cells.WayCount]Opening) {
	p.Opening, p.Ways = Opening{}, ways
	for _, way := range ways {
		p.ConductanceM3 += way.ConductanceM3
		p.OrificeMM2 += way.OrificeMM2
	}
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

// inflowKgS is what comes in at an absolute pressure behind the opening.
func (o Opening) inflowKgS(ambientPa, insidePa float64) float64 {
	return gas.LayerKgS(o.ConductanceM3, ambientPa, insidePa) +
		gas.OrificeKgS(o.OrificeMM2*gas.M2PerMM2, ambientPa, insidePa, gas.RoomK)
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
	sum := t.hoses.inflowKgS(t.ambientPa, manifoldPa)
	for i := range t.zones {
		z := &t.zones[i]
		sum += z.inflowKgS(t.ambientPa, z.pressurePa(t.ambientPa, manifoldPa))
	}
	return sum
}

// ways are the flows of the zones by where the air gets in, kg/s, each zone at its own pressure.
func (t *leaks) ways(zonesPa []float64) (kgS [cells.WayCount]float64) {
	for i := range t.zones {
		for way, opening := range t.zones[i].Ways {
			kgS[way] += opening.inflowKgS(t.ambientPa, zonesPa[i])
		}
	}
	return kgS
}

// pressuresPa are those in the zones when it is manifoldPa where they meet, and the highest of those that hold
// something.
func pressuresPa(ambientPa, manifoldPa float64, zones []Plenum) (zonesPa []float64, weakestPa float64) {
	zonesPa, weakestPa = make([]float64, len(zones)), manifoldPa
	for i := range zones {
		z := &zones[i]
		zonesPa[i] = z.pressurePa(ambientPa, manifoldPa)
		if z.Holds {
			weakestPa = math.Max(weakestPa, zonesPa[i])
		}
	}
	return zonesPa, weakestPa
}

// PressuresPa are those in the zones when the highest of those that hold something is weakestPa (absolute). Where no
// pump could lower it that far, as the ducts choke, the other zones are at what they reach at most.
func PressuresPa(ambientPa, weakestPa float64, zones []Plenum) []float64 {
	manifold := fallingRoot(0, weakestPa, func(manifoldPa float64) float64 {
		_, highest := pressuresPa(ambientPa, manifoldPa, zones)
		return weakestPa - highest
	})
	zonesPa, _ := pressuresPa(ambientPa, manifold, zones)
	for i := range zones {
		if zones[i].Holds {
			zonesPa[i] = math.Min(zonesPa[i], weakestPa)
		}
	}
	return zonesPa
}
