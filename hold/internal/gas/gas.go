// Package gas holds the laws of air at 20 C: nozzle, layer, free air.
//
//	101 kPa  | | | | |   layer:  m = (pa^2 - pv^2) G / (2 mu R T), in proportion to the difference of squares
//	---------========    nozzle: chokes below 0.528 of the upstream pressure
//	 30 kPa    chuck
//
// It does not know moisture, other temperatures, or what the air flows through.
package gas

import "math"

// Air at 20 C, the temperature at which flows are quoted.
const (
	ConstantJKgK = 287.05287 // J/(kg K), ISO 2533:1975
	RoomK        = 293.15
	gamma        = 1.4
	// CriticalRatio is (2/(gamma+1))^(gamma/(gamma-1)).
	CriticalRatio = 0.52828178771747
	// ViscosityPaS is that of air at 20 C (Sutherland's law).
	ViscosityPaS = 1.813e-5
	// SeaLevelPa is the pressure at which catalogues rate pumps, ISO 2533:1975 at sea level.
	SeaLevelPa = 101325.0

	SecondsPerHour = 3600.0
	M2PerMM2       = 1e-6
	MPerMM         = 1e-3
)

// DischargeCoefficient of a sharp-edged opening rises from 0.6 to 0.65 at low pressure difference to about 0.85 when
// choked (from memory: Perry, Shapiro). The higher figure leaks more and is used throughout.
const DischargeCoefficient = 0.85

// DifferencePa is the pressure that presses down what lies above a transmission w: pa - sqrt(pa^2 - w (pa^2 - pv^2)),
// from isothermal compressible Darcy flow, in which the square of the absolute pressure obeys the linear law. w lies in
// [0,1].
func DifferencePa(ambientPa, chuckPa, w float64) float64 {
	under := ambientPa*ambientPa - w*(ambientPa-chuckPa)*(ambientPa+chuckPa)
	if under <= 0 {
		return ambientPa
	}
	return ambientPa - math.Sqrt(under)
}

// OrificeKgS is the mass flow of air from p1Pa to p2Pa (absolute) through an opening of the given effective area
// (discharge coefficient times area) at the temperature tK upstream.
//
// Isentropic nozzle flow in closed form: m = A p1 / sqrt(R T) sqrt(2g/(g-1) (r^(2/g) - r^((g+1)/g))), r = p2/p1, with r
// not below the critical ratio (2/(g+1))^(g/(g-1)) = 0.528282, where the flow chokes. It is 0 unless p1 > p2.
func OrificeKgS(effectiveAreaM2, p1Pa, p2Pa, tK float64) float64 {
	if !(p1Pa > p2Pa) || effectiveAreaM2 <= 0 {
		return 0
	}
	r := math.Max(p2Pa/p1Pa, CriticalRatio)
	a := math.Pow(r, 2/gamma)
	b := math.Pow(r, (gamma+1)/gamma)
	return effectiveAreaM2 * p1Pa / math.Sqrt(ConstantJKgK*tK) * math.Sqrt(2*gamma/(gamma-1)*math.Max(a-b, 0))
}

// LayerKgS is the mass flow through the layer: (pa^2 - pv^2) G / (2 mu R T), compressible Darcy law.
func LayerKgS(conductanceM3, ambientPa, chuckPa float64) float64 {
	return (ambientPa - chuckPa) * (ambientPa + chuckPa) * conductanceM3 /
		(2 * ViscosityPaS * ConstantJKgK * RoomK)
}

// FreeAirM3h turns a mass flow into the volume that this air takes at ambient pressure.
func FreeAirM3h(massKgS, ambientPa float64) float64 {
	return massKgS * ConstantJKgK * RoomK / ambientPa * SecondsPerHour
}

// ChokedAreaM2 is the effective area through which a choked flow of freeM3h (at ambient pressure) passes. A choked
// opening takes the same volume of free air at every ambient pressure, so the figure does not depend on the altitude.
func ChokedAreaM2(freeM3h float64) float64 {
	if freeM3h <= 0 {
		return 0
	}
	perArea := FreeAirM3h(OrificeKgS(1, SeaLevelPa, 0, RoomK), SeaLevelPa)
	return freeM3h / perArea
}
