package airflow

import (
	"fmt"
	"math"

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
// different ducts rather understated. Where a measured curve would allow several working points the one with the least
// vacuum is given.
//
// It fails only for figures that are not finite or not positive.
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
	zones := []plenum{{Opening: Opening{leak.ConductanceM3, leak.OrificeMM2}, holds: true}}
	if leak.zones != nil {
		zones = *leak.zones
	}
	at := workingPoint(pump, ambientPa, zones)
	state := State{AmbientPa: ambientPa, PumpPa: at.pumpPa, ChuckPa: at.chuckPa, Leak: leak}
	state.splitLeak(at.layerKgS, at.openingsKgS, at.hosesKgS)
	return state, nil
}

// MissingDucts tells roughly, in words, what usual ducts would cost at a state where the job leaves them out, each on
// its own and with all the flow through it, where that is more than 2 % of the air pressure.
func MissingDucts(j *job.Job, s State) []string {
	return missingDucts(j, reached{s.AmbientPa, s.PumpPa, s.VacuumPa(), s.LeakM3h})
}

// PumpFlowM3h is the volume that the pump takes in per hour, counted at its inlet pressure absPa (absolute), never
// below 0. What blowers and ejectors reach scales with the density of the air; displacement pumps work alike at every
// altitude.
func PumpFlowM3h(pump job.Pump, ambientPa, absPa float64) float64 {
	return intakeM3h(pump, ambientPa, absPa)
}

// DifferencePa is the pressure that presses a patch down: pa - sqrt(pa^2 - w (pa^2 - pv^2)), from isothermal
// compressible Darcy flow, in which the square of the absolute pressure obeys the linear law. w lies in [0,1].
func DifferencePa(ambientPa, chuckPa, w float64) float64 { return differencePa(ambientPa, chuckPa, w) }

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
