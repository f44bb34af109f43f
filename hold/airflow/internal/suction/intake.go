package suction

import (
	"math"

	"staydown/hold/internal/gas"
	"staydown/hold/job"
	"staydown/hold/material"
)

// FlowM3h is the volume that the pump takes in per hour, counted at its inlet pressure absPa (absolute), never
// below 0.
//
// A measured curve is interpolated in straight lines. Above its highest pressure the flow stays as it is there; below
// its lowest pressure it goes in a straight line to 0 at the ultimate pressure where the job names a lower one, and is
// 0 otherwise. Without a curve a displacement pump gives S0 (1 - p_ult/p), a side-channel blower or an ejector S0 (1 -
// dp/dp_max).
//
// Displacement pumps work alike at every altitude. What blowers and ejectors reach scales with the density of the air:
// their pressures are read as catalogue figures at 101325 Pa and scaled by ambientPa/101325.
func FlowM3h(pump job.Pump, ambientPa, absPa float64) float64 {
	return newIntake(pump, ambientPa).flowM3h(absPa)
}

// intake is a pump at one altitude.
type intake struct {
	job.Pump
	ambientPa float64
	straight  bool    // flow falls in a straight line with the pressure difference
	scale     float64 // ambient pressure over that of the catalogue; 1 for displacement pumps
}

func newIntake(pump job.Pump, ambientPa float64) intake {
	in := intake{Pump: pump, ambientPa: ambientPa, scale: 1}
	if family, ok := material.PumpNamed(pump.Kind.String()); ok && family.Shape.Likely == material.ShapeLine {
		in.straight, in.scale = true, ambientPa/gas.SeaLevelPa
	}
	return in
}

func (in intake) flowM3h(absPa float64) float64 {
	switch {
	case !(absPa > 0) || !(in.ambientPa > 0):
		return 0
	case len(in.Curve) > 0:
		return math.Max(0, curveM3h(in.Curve, in.UltimatePa, absPa/in.scale))
	case in.straight:
		most := gas.SeaLevelPa - in.UltimatePa
		if most <= 0 {
			return 0
		}
		difference := (in.ambientPa - absPa) / in.scale
		return math.Max(0, in.FlowM3h*math.Min(1, 1-difference/most))
	}
	return math.Max(0, in.FlowM3h*(1-in.UltimatePa/absPa))
}

// curveM3h reads a measured curve, whose points may stand in any order.
func curveM3h(curve []job.PumpPoint, ultimatePa, absPa float64) float64 {
	low, high := -1, -1 // nearest points at or below and at or above absPa
	for i, point := range curve {
		if point.AbsolutePa <= absPa && (low < 0 || point.AbsolutePa > curve[low].AbsolutePa) {
			low = i
		}
		if point.AbsolutePa >= absPa && (high < 0 || point.AbsolutePa < curve[high].AbsolutePa) {
			high = i
		}
	}
	switch {
	case low < 0:
		end := curve[high]
		if ultimatePa >= end.AbsolutePa || absPa <= ultimatePa {
			return 0
		}
		return end.FlowM3h * (absPa - ultimatePa) / (end.AbsolutePa - ultimatePa)
	case high < 0:
		return curve[low].FlowM3h
	}
	a, b := curve[low], curve[high]
	if a.AbsolutePa == b.AbsolutePa {
		return math.Min(a.FlowM3h, b.FlowM3h)
	}
	return a.FlowM3h + (b.FlowM3h-a.FlowM3h)*(absPa-a.AbsolutePa)/(b.AbsolutePa-a.AbsolutePa)
}
