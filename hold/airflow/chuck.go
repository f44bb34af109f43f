package airflow

import (
	"math"
	"slices"

	"staydown/hold/airflow/internal/suction"
	"staydown/hold/internal/gas"
)

// Chuck is the pressure below the layer or the work.
type Chuck struct {
	ChuckPa float64   // absolute, in the zone with the least vacuum of those on which material lies
	ZonesPa []float64 // absolute, of each zone, from 1; nil where all zones are at ChuckPa
}

// ChuckAt is the chuck at which the zone with the least vacuum of those on which material lies is at a pressure
// (absolute), whatever pump it takes.
func (l Leak) ChuckAt(ambientPa, chuckPa float64) Chuck {
	if l.zones == nil {
		return Chuck{ChuckPa: chuckPa}
	}
	return Chuck{ChuckPa: chuckPa, ZonesPa: suction.PressuresPa(ambientPa, chuckPa, *l.zones)}
}

// DifferencePa is the pressure that presses a patch down: pa - sqrt(pa^2 - w (pa^2 - pv^2)), from isothermal
// compressible Darcy flow, in which the square of the absolute pressure obeys the linear law. w lies in [0,1]; pv is
// that of the patch's own zone or, near the border of another, the higher of both.
func (c Chuck) DifferencePa(ambientPa float64, p Patch) float64 {
	pv := c.ChuckPa
	if c.ZonesPa != nil && p.Zone > 0 {
		pv = c.ZonesPa[p.Zone]
		if p.Beside > 0 {
			pv = math.Max(pv, c.ZonesPa[p.Beside])
		}
	}
	return gas.DifferencePa(ambientPa, pv, p.W)
}

// Same tells whether the pressures of two chucks are the same.
func (c Chuck) Same(o Chuck) bool {
	return c.ChuckPa == o.ChuckPa && slices.Equal(c.ZonesPa, o.ZonesPa)
}
