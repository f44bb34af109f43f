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
// each zone's own. Each zone has a pressure of its own, which decides what it lets in and what it holds. What flows
// from zone to zone through a layer that they share is left out. Where a measured curve would allow several working
// points the one with the least vacuum is given.
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
		Ways: leak.Ways, Holds: true}}
	if leak.zones != nil {
		zones = *leak.zones
	}
	at := suction.WorkingPoint(p, ambientPa, zones)
	state := State{AmbientPa: ambientPa, PumpPa: at.PumpPa, Chuck: Chuck{ChuckPa: at.ChuckPa}, Leak: leak}
	if leak.zones != nil {
		state.ZonesPa = at.ZonesPa
	}
	state.LeakM3h, state.HosesM3h = gas.FreeAirM3h(at.LeakKgS, ambientPa), gas.FreeAirM3h(at.HosesKgS, ambientPa)
	for way, kgS := range at.WaysKgS {
		state.WaysM3h[way] = gas.FreeAirM3h(kgS, ambientPa)
	}
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
