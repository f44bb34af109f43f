// Package suction finds where a pump takes away just what leaks in, with the ducts between pump and table.
//
//	zone A  --grooves, port, hose, valve--+
//	                                      +--hose, valve--> pump
//	zone B  --grooves, port, hose, valve--+
//
//	flow |\   leak /           the pump takes less the deeper the vacuum, the leak grows with it: one root, found by
//	     | \     /             bisection
//	     |   \ /
//	     |   / \
//	     +----------> vacuum
//
// Conduits are lumped, air is at 20 C. It does not know where on the table a leak is.
package suction

import (
	"math"
	"sort"

	"staydown/hold/airflow/internal/cells"
	"staydown/hold/internal/gas"
	"staydown/hold/job"
)

// Point is where a pump works.
type Point struct {
	PumpPa  float64 // absolute, at the pump's inlet
	ChuckPa float64 // absolute, in the zone with the least vacuum of those on which material lies

	ZonesPa  []float64               // absolute, in each zone
	LeakKgS  float64                 // what comes in
	WaysKgS  [cells.WayCount]float64 // of it, into the zones, by where it gets in
	HosesKgS float64                 // of it, through the pump's own leakage
}

// WorkingPoint finds where the pump takes away just what leaks in.
//
// Where a measured curve would allow several working points the one with the least vacuum is given, because that is
// where the pressure stops on its way down from ambient. The root is bracketed and bisected to the last bit; if the
// pump cannot lower the pressure at all the chuck is at ambient pressure.
func WorkingPoint(pump job.Pump, ambientPa float64, zones []Plenum) Point {
	in, duct := newIntake(pump, ambientPa), valveAndHose(pump.Valve, pump.Hose)
	all := leaks{ambientPa: ambientPa, zones: zones,
		hoses: Opening{OrificeMM2: gas.ChokedAreaM2(pump.LeakM3h) / gas.M2PerMM2}}
	taken := func(pumpPa float64) float64 { // kg/s
		return in.flowM3h(pumpPa) / gas.SecondsPerHour * pumpPa / (gas.ConstantJKgK * gas.RoomK)
	}
	manifold := func(pumpPa float64) float64 {
		if len(duct) == 0 {
			return pumpPa
		}
		return math.Min(ambientPa, duct.upstreamPa(pumpPa, taken(pumpPa)))
	}
	surplus := func(pumpPa float64) float64 { return taken(pumpPa) - all.inflowKgS(manifold(pumpPa)) }
	low, high := 0.0, ambientPa
	for _, at := range in.curveStops() {
		if surplus(at) <= 0 {
			low = at
			break
		}
		high = at
	}
	if high == ambientPa && surplus(ambientPa) <= 0 {
		low = ambientPa
	}
	for range 200 {
		middle := low + (high-low)/2
		if middle <= low || middle >= high {
			break
		}
		if surplus(middle) > 0 {
			high = middle
		} else {
			low = middle
		}
	}
	at := manifold(high)
	p := Point{PumpPa: high, LeakKgS: all.inflowKgS(at), HosesKgS: all.hoses.inflowKgS(ambientPa, at)}
	p.ZonesPa, p.ChuckPa = pressuresPa(ambientPa, at, zones)
	p.WaysKgS = all.ways(p.ZonesPa)
	return p
}

// curveStops are the pressures of the measured points below ambient, from the highest down.
func (in intake) curveStops() []float64 {
	var stops []float64
	for _, point := range in.Curve {
		if at := point.AbsolutePa * in.scale; at > 0 && at < in.ambientPa {
			stops = append(stops, at)
		}
	}
	sort.Sort(sort.Reverse(sort.Float64Slice(stops)))
	return stops
}
