package airflow

import (
	"fmt"
	"math"

	"staydown/hold/airflow/internal/suction"
	"staydown/hold/internal/gas"
	"staydown/hold/job"
	"staydown/parse/units"
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
func Operate(p job.Pump, ambientPa float64, leak Leak) (State, error) {
	if !(ambientPa > 0) || math.IsInf(ambientPa, 0) {
		return State{}, fmt.Errorf("the ambient pressure is %g Pa; give a positive one", ambientPa)
	}
	if !(leak.ConductanceM3 >= 0) || !(leak.OrificeMM2 >= 0) || math.IsInf(leak.ConductanceM3+leak.OrificeMM2, 0) {
		return State{}, fmt.Errorf("the leak (%g m3, %g mm2) is not a finite positive figure", leak.ConductanceM3,
			leak.OrificeMM2)
	}
	for _, figure := range []float64{p.FlowM3h, p.UltimatePa, p.LeakM3h} {
		if !(figure >= 0) || math.IsInf(figure, 0) {
			return State{}, fmt.Errorf("a figure of the pump is %g; give flow, ultimate pressure and leak that are "+
				"not negative", figure)
		}
	}
	zones := []suction.Plenum{{Opening: suction.Opening{ConductanceM3: leak.ConductanceM3, OrificeMM2: leak.OrificeMM2},
		Holds: true}}
	if leak.zones != nil {
		zones = *leak.zones
	}
	at := suction.WorkingPoint(p, ambientPa, zones)
	state := State{AmbientPa: ambientPa, PumpPa: at.PumpPa, ChuckPa: at.ChuckPa, Leak: leak}
	state.splitLeak(at.LayerKgS, at.OpeningsKgS, at.HosesKgS)
	return state, nil
}

// MissingDucts tells roughly, in words, what usual ducts would cost at a state where the job leaves them out, each on
// its own and with all the flow through it, where that is more than 2 % of the air pressure.
func MissingDucts(j *job.Job, s State, shop units.System) []string {
	return suction.MissingDucts(j, suction.Reached{AmbientPa: s.AmbientPa, PumpPa: s.PumpPa, VacuumPa: s.VacuumPa(),
		LeakM3h: s.LeakM3h}, shop)
}

// PumpFlowM3h is the volume that the pump takes in per hour, counted at its inlet pressure absPa (absolute), never
// below 0. What blowers and ejectors reach scales with the density of the air; displacement pumps work alike at every
// altitude.
func PumpFlowM3h(p job.Pump, ambientPa, absPa float64) float64 {
	return suction.FlowM3h(p, ambientPa, absPa)
}

// DifferencePa is the pressure that presses a patch down: pa - sqrt(pa^2 - w (pa^2 - pv^2)), from isothermal
// compressible Darcy flow, in which the square of the absolute pressure obeys the linear law. w lies in [0,1].
func DifferencePa(ambientPa, chuckPa, w float64) float64 {
	return gas.DifferencePa(ambientPa, chuckPa, w)
}

// splitLeak shares the leak out among its ways, given the flows through layers, openings and hoses in kg/s: in
// proportion to conductance and to area, as if all zones were at one pressure.
func (s *State) splitLeak(layer, openings, hoses float64) {
	s.LeakM3h, s.HosesM3h = gas.FreeAirM3h(layer+openings+hoses, s.AmbientPa), gas.FreeAirM3h(hoses, s.AmbientPa)
	for i, way := range s.Leak.Ways {
		if s.Leak.ConductanceM3 > 0 {
			s.WaysM3h[i] += gas.FreeAirM3h(layer, s.AmbientPa) * way.ConductanceM3 / s.Leak.ConductanceM3
		}
		if s.Leak.OrificeMM2 > 0 {
			s.WaysM3h[i] += gas.FreeAirM3h(openings, s.AmbientPa) * way.OrificeMM2 / s.Leak.OrificeMM2
		}
	}
}
