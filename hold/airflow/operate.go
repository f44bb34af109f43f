package airflow

import (
	"fmt"
	"math"
	"sort"

	"staydown/hold/job"
)

// Operate finds the chuck's pressure at which the pump takes away just what leaks in: the layer, the openings, and the
// pump's own fixed leakage. At, and Breached of the answer are left to the caller.
//
// The fixed leakage is that of a sharp opening which at full vacuum (choked) lets in pump.LeakM3h of free air; at a
// weak vacuum it leaks more than a porous one with the same figure would.
//
// Between pump and table stand the ducts that the job names: valve and hose, which all zones share, and behind them
// each zone's own ports and grooves. Each zone has a pressure of its own, which decides what it lets in; hold counts
// the weakest vacuum of all zones on which material lies, so that it is exact for one zone, and for several with
// different ducts rather understated.
//
// Where a measured curve would allow several working points the one with the least vacuum is given, because that is
// where the pressure stops on its way down from ambient. The root is bracketed and bisected to the last bit; if the
// pump cannot lower the pressure at all the chuck is at ambient pressure. It fails only for figures that are not finite
// or not positive.
func Operate(pump job.Pump, ambientPa float64, leak Leak) (State, error) {
	if !(ambientPa > 0) || math.IsInf(ambientPa, 0) {
		return State{}, fmt.Errorf("the ambient pressure is %g Pa; give a positive one", ambientPa)
	}
	if !(leak.ConductanceM3 >= 0) || !(leak.OrificeMM2 >= 0) || math.IsInf(leak.ConductanceM3+leak.OrificeMM2, 0) {
		return State{}, fmt.Errorf("the leak (%g m3, %g mm2) is not a finite positive figure", leak.ConductanceM3,
			leak.OrificeMM2)
	}
	for _, figure := range []float64{pump.FlowM3h, pump.UltimatePa, pump.LeakM3h} {
		if !(figure >= 0) || math.IsInf(figure, 0) {
			return State{}, fmt.Errorf("a figure of the pump is %g; give flow, ultimate pressure and leak that are "+
				"not negative", figure)
		}
	}
	in, duct, table := newIntake(pump, ambientPa), toPump(pump), newTable(leak, pump, ambientPa)
	taken := func(pumpPa float64) float64 { // kg/s
		return in.flowM3h(pumpPa) / secondsPerHour * pumpPa / (gasConstant * temperatureK)
	}
	manifold := func(pumpPa float64) float64 {
		if len(duct) == 0 {
			return pumpPa
		}
		return math.Min(ambientPa, duct.upstreamPa(pumpPa, taken(pumpPa)))
	}
	surplus := func(pumpPa float64) float64 { return taken(pumpPa) - table.inflowKgS(manifold(pumpPa)) }
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
	for i := 0; i < 200; i++ {
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
	state := State{AmbientPa: ambientPa, PumpPa: high, ChuckPa: table.weakestPa(at), Leak: leak}
	state.splitLeak(table.parts(at))
	return state, nil
}

// splitLeak shares the leak out among its ways, given the flows through layers, openings and hoses in kg/s: in
// proportion to conductance and to area, as if all zones were at one pressure.
func (s *State) splitLeak(layer, openings, hoses float64) {
	s.LeakM3h, s.HosesM3h = freeAirM3h(layer+openings+hoses, s.AmbientPa), freeAirM3h(hoses, s.AmbientPa)
	for i, way := range s.Leak.Ways {
		if s.Leak.ConductanceM3 > 0 {
			s.WaysM3h[i] += freeAirM3h(layer, s.AmbientPa) * way.ConductanceM3 / s.Leak.ConductanceM3
		}
		if s.Leak.OrificeMM2 > 0 {
			s.WaysM3h[i] += freeAirM3h(openings, s.AmbientPa) * way.OrificeMM2 / s.Leak.OrificeMM2
		}
	}
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
