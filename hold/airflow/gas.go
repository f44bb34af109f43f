package airflow

import "math"

// Air at 20 C, the temperature at which flows are quoted.
const (
	gasConstant  = 287.05287 // J/(kg K), ISO 2533:1975
	temperatureK = 293.15
	gamma        = 1.4
	// criticalRatio is (2/(gamma+1))^(gamma/(gamma-1)).
	criticalRatio = 0.52828178771747
	// viscosityPaS is that of air at 20 C (Sutherland's law).
	viscosityPaS = 1.813e-5
	// standardPa is the pressure at which catalogues rate pumps, ISO 2533:1975 at sea level.
	standardPa = 101325.0

	secondsPerHour = 3600.0
	m2PerMM2       = 1e-6
	mPerMM         = 1e-3
)

// dischargeCoefficient of a sharp-edged opening rises from 0.6 to 0.65 at low pressure difference to about 0.85 when
// choked (from memory: Perry, Shapiro). The higher figure leaks more and is used throughout.
const dischargeCoefficient = 0.85

// differencePa is the pressure that presses down what lies above a transmission w: pa - sqrt(pa^2 - w (pa^2 - pv^2)),
// from isothermal compressible Darcy flow, in which the square of the absolute pressure obeys the linear law. w lies in
// [0,1].
func differencePa(ambientPa, chuckPa, w float64) float64 {
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
	r := math.Max(p2Pa/p1Pa, criticalRatio)
	a := math.Pow(r, 2/gamma)
	b := math.Pow(r, (gamma+1)/gamma)
	return effectiveAreaM2 * p1Pa / math.Sqrt(gasConstant*tK) * math.Sqrt(2*gamma/(gamma-1)*math.Max(a-b, 0))
}

// layerKgS is the mass flow through the layer: (pa^2 - pv^2) G / (2 mu R T), compressible Darcy law.
func layerKgS(conductanceM3, ambientPa, chuckPa float64) float64 {
	return (ambientPa - chuckPa) * (ambientPa + chuckPa) * conductanceM3 /
		(2 * viscosityPaS * gasConstant * temperatureK)
}

// freeAirM3h turns a mass flow into the volume that this air takes at ambient pressure.
func freeAirM3h(massKgS, ambientPa float64) float64 {
	return massKgS * gasConstant * temperatureK / ambientPa * secondsPerHour
}

// chokedAreaM2 is the effective area through which a choked flow of freeM3h (at ambient pressure) passes. A choked
// opening takes the same volume of free air at every ambient pressure, so the figure does not depend on the altitude.
func chokedAreaM2(freeM3h float64) float64 {
	if freeM3h <= 0 {
		return 0
	}
	perArea := freeAirM3h(OrificeKgS(1, standardPa, 0, temperatureK), standardPa)
	return freeM3h / perArea
}
