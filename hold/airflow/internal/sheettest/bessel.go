package sheettest

import "math"

// BesselI0 is the modified Bessel function by its power series (Abramowitz and Stegun 9.6.12).
func BesselI0(x float64) float64 {
	term, sum := 1.0, 1.0
	for k := 1; k < 500; k++ {
		term *= x * x / 4 / float64(k*k)
		sum += term
		if term < 1e-17*sum {
			break
		}
	}
	return sum
}

// BesselI1 is the modified Bessel function by its power series (Abramowitz and Stegun 9.6.10).
func BesselI1(x float64) float64 {
	term, sum := x/2, x/2
	for k := 1; k < 500; k++ {
		term *= x * x / 4 / float64(k*(k+1))
		sum += term
		if term < 1e-17*sum {
			break
		}
	}
	return sum
}

// BesselK0 is the modified Bessel function by its integral (Abramowitz and Stegun 9.6.24).
func BesselK0(x float64) float64 {
	sum := 0.0
	const step = 5e-3
	for u := step / 2; u < 12; u += step {
		sum += math.Exp(-x*math.Cosh(u)) * step
	}
	return sum
}

// BesselK1 is the modified Bessel function by its integral (Abramowitz and Stegun 9.6.24).
func BesselK1(x float64) float64 {
	sum := 0.0
	const step = 5e-3
	for u := step / 2; u < 12; u += step {
		sum += math.Exp(-x*math.Cosh(u)) * math.Cosh(u) * step
	}
	return sum
}
