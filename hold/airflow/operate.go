package airflow

import (
	"fmt"
	"math"
	"sort"

	"staydown/hold/job"
)

// Operate finds the chuck's pressure at which the pump takes away just what leaks in: the layer, the openings, and the pump's own
// fixed leakage. At, and Breached of the answer are left to the caller.
//
// The fixed leakage is that of a sharp opening which at full vacuum (choked) lets in pump.LeakM3h of free air; at a weak vacuum it
// leaks more than a porous one with the same figure would.
//
// Where a measured curve would allow several working points the one with the least vacuum is given, because that is where
// the pressure stops on its way down from ambient. The root is bracketed and bisected to the last bit; if the pump
// cannot lower the pressure at all the chuck is at ambient pressure. It fails only for figures that are not finite or not positive.
func Operate(pump job.Pump, ambientPa float64, leak Leak) (State, error) {
	if !(ambientPa > 0) || math.IsInf(ambientPa, 0) {
		return State{}, fmt.Errorf("the ambient pressure is %g Pa; give a positive one", ambientPa)
	}
	if !(leak.ConductanceM3 >= 0) || !(leak.OrificeMM2 >= 0) || math.IsInf(leak.ConductanceM3+leak.OrificeMM2, 0) {
		return State{}, fmt.Errorf("the leak (%g m3, %g mm2) is not a finite positive figure", leak.ConductanceM3, leak.OrificeMM2)
	}
	for _, figure := range []float64{pump.FlowM3h, pump.UltimatePa, pump.LeakM3h} {
		if !(figure >= 0) || math.IsInf(figure, 0) {
			return State{}, fmt.Errorf("a figure of the pump is %g; give flow, ultimate pressure and leak that are not negative", figure)
		}
	}
	orificeM2 := leak.OrificeMM2*m2PerMM2 + chokedAreaM2(pump.LeakM3h)
	in := newIntake(pump, ambientPa)
	inflow := func(chuckPa float64) float64 {
		return layerKgS(leak.ConductanceM3, ambientPa, chuckPa) +
			OrificeKgS(orificeM2, ambientPa, chuckPa, temperatureK)
	}
	surplus := func(chuckPa float64) float64 { // of the pump over the leak, kg/s
		takenM3s := in.flowM3h(chuckPa) / secondsPerHour
		return takenM3s*chuckPa/(gasConstant*temperatureK) - inflow(chuckPa)
	}
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
	state := State{AmbientPa: ambientPa, ChuckPa: high, LeakM3h: freeAirM3h(inflow(high), ambientPa), Leak: leak}
	state.splitLeak(pump)
	return state, nil
}

// splitLeak shares the leak out among its ways. Flow through the layer is in proportion to conductance, and that through openings, the
// pump's own among them, to area.
func (s *State) splitLeak(pump job.Pump) {
	through := freeAirM3h(layerKgS(1, s.AmbientPa, s.ChuckPa), s.AmbientPa)
	in := freeAirM3h(OrificeKgS(m2PerMM2, s.AmbientPa, s.ChuckPa, temperatureK), s.AmbientPa)
	s.HosesM3h = chokedAreaM2(pump.LeakM3h) / m2PerMM2 * in
	for i, way := range s.Leak.Ways {
		s.WaysM3h[i] = way.ConductanceM3*through + way.OrificeMM2*in
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
