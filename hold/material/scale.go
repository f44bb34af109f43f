package material

import (
	"errors"
	"fmt"
	"math"
)

// ErrNoKnownCut says that a measured power or force cannot be used because the cut it belongs to is not one.
var ErrNoKnownCut = errors.New("no such cut")

// ScaledToPower gives the material in which a known side or slot cut takes powerW at the cutter, idle running taken
// off. KC11, Edge and Drill grow or shrink by the same factor; the exponent and the strengths stay.
//
// The power that w itself predicts is P = (kc ap ae vf + Edge ap z vc phi/(2 pi))/60e3, W; lengths in mm, vf in mm/min,
// vc in mm/min at the circumference, phi = arccos(1 - 2 ae/D) the arc of engagement. kc is the mean over that arc,
// weighted with the chip thickness, so that the relation P = kc ap ae vf is exact and not only good to the few per cent
// that kc at the mean chip gives. It fails with ErrNoKnownCut when a value is not positive and finite or the width
// exceeds the diameter.
func ScaledToPower(w Work, diameterMM, depthMM, widthMM, feedPerToothMM float64, flutes int, rpm, powerW float64) (Work, error) {
	if !(rpm > 0) || math.IsInf(rpm, 0) {
		return Work{}, fmt.Errorf("%w: the spindle speed must be above 0", ErrNoKnownCut)
	}
	speed := math.Pi * diameterMM * rpm / 60e3 // m/s
	scaled, err := ScaledToForce(w, diameterMM, depthMM, widthMM, feedPerToothMM, flutes, powerW/speed)
	if err != nil {
		return Work{}, err
	}
	from := fmt.Sprintf("scaled to a measured power of %.4g W", powerW)
	return sourced(scaled, w, from), nil
}

// ScaledToForce gives the material in which a known side or slot cut has the mean tangential force forceN: the torque on
// the cutter over its radius. See ScaledToPower, which is the same with power = force times cutting speed.
func ScaledToForce(w Work, diameterMM, depthMM, widthMM, feedPerToothMM float64, flutes int, forceN float64) (Work, error) {
	for _, v := range []struct {
		name  string
		value float64
	}{
		{"diameter", diameterMM}, {"depth", depthMM}, {"width", widthMM}, {"feed per tooth", feedPerToothMM},
		{"number of flutes", float64(flutes)}, {"measured value", forceN},
	} {
		if !(v.value > 0) || math.IsInf(v.value, 0) {
			return Work{}, fmt.Errorf("%w: the %s must be above 0", ErrNoKnownCut, v.name)
		}
	}
	if widthMM > diameterMM {
		return Work{}, fmt.Errorf("%w: the width exceeds the diameter", ErrNoKnownCut)
	}
	arc := math.Acos(1 - 2*widthMM/diameterMM)
	chip := w.KC11.Value * math.Pow(feedPerToothMM, 1-w.MC.Value) * sinePower(arc, 1-w.MC.Value)
	force := depthMM * float64(flutes) / (2 * math.Pi) * (chip + w.Edge.Value*arc)
	factor := forceN / force
	if !(factor > 0) || math.IsInf(factor, 0) {
		return Work{}, fmt.Errorf("%w: the material to scale has no cutting force", ErrNoKnownCut)
	}
	scaled := w
	scaled.KC11.Value *= factor
	scaled.Edge.Value *= factor
	scaled.Drill.Value *= factor
	return sourced(scaled, w, fmt.Sprintf("scaled to a measured tangential force of %.4g N", forceN)), nil
}

func sourced(scaled, from Work, how string) Work {
	scaled.KC11.Source = how + " from: " + from.KC11.Source
	scaled.Edge.Source = how + " from: " + from.Edge.Source
	scaled.Drill.Source = how + " from: " + from.Drill.Source
	return scaled
}

// sinePower is the integral of sin^p from 0 to arc, 0 < p, arc in [0, pi]. Substituting x = t^2 at the start takes away
// the weak singularity of sin^p at 0; the symmetry about pi/2 the one at pi. The error is below 1e-6.
func sinePower(arc, p float64) float64 {
	if arc > math.Pi/2 {
		return 2*sinePower(math.Pi/2, p) - sinePower(math.Pi-arc, p)
	}
	const n = 200 // intervals of Simpson's rule
	end := math.Sqrt(arc)
	f := func(t float64) float64 { return 2 * t * math.Pow(math.Sin(t*t), p) }
	sum := f(0) + f(end)
	for i := 1; i < n; i++ {
		sum += f(end*float64(i)/n) * float64(2+2*(i%2))
	}
	return sum * end / n / 3
}
