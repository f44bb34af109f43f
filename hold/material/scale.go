package material

import (
	"errors"
	"fmt"
	"math"
)

// ErrNoKnownCut says that a measured power or force cannot be used because the cut it belongs to is not one.
var ErrNoKnownCut = errors.New("no such cut")

// KnownCut is a side or slot cut of which the power or the force was measured.
type KnownCut struct {
	DiameterMM     float64 // of the cutter
	DepthMM        float64 // along the cutter's axis
	WidthMM        float64 // across the feed, at most the diameter
	FeedPerToothMM float64
	Flutes         int
	RPM            float64 // spindle speed; a measured force does not need it
}

// ScaledToPower gives the material in which a known cut takes powerW at the cutter, idle running taken off. KC11, Edge
// and Drill grow or shrink by the same factor; the exponent and the strengths stay.
//
// The power that w itself predicts is mean tangential force times cutting speed. The force is that of the law, averaged
// over the arc of engagement arccos(1 - 2 ae/D), so that the relation P = kc ap ae vf of a law without edge force is
// exact and not only good to the few per cent that kc at the mean chip gives. It fails with ErrNoKnownCut when a value
// is not positive and finite or the width exceeds the diameter.
func ScaledToPower(w Work, c KnownCut, powerW float64) (Work, error) {
	if !(c.RPM > 0) || math.IsInf(c.RPM, 0) {
		return Work{}, fmt.Errorf("%w: the spindle speed must be above 0", ErrNoKnownCut)
	}
	speed := math.Pi * c.DiameterMM * c.RPM / 60e3 // m/s
	scaled, err := ScaledToForce(w, c, powerW/speed)
	if err != nil {
		return Work{}, err
	}
	from := fmt.Sprintf("scaled to a measured power of %.4g W", powerW)
	return sourced(scaled, w, from), nil
}

// ScaledToForce gives the material in which a known cut has the mean tangential force forceN: the torque on the cutter
// over its radius. See ScaledToPower, which is the same with power = force times cutting speed.
func ScaledToForce(w Work, c KnownCut, forceN float64) (Work, error) {
	for _, v := range []struct {
		name  string
		value float64
	}{
		{"diameter", c.DiameterMM}, {"depth", c.DepthMM}, {"width", c.WidthMM}, {"feed per tooth", c.FeedPerToothMM},
		{"number of flutes", float64(c.Flutes)}, {"measured value", forceN},
	} {
		if !(v.value > 0) || math.IsInf(v.value, 0) {
			return Work{}, fmt.Errorf("%w: the %s must be above 0", ErrNoKnownCut, v.name)
		}
	}
	if c.WidthMM > c.DiameterMM {
		return Work{}, fmt.Errorf("%w: the width exceeds the diameter", ErrNoKnownCut)
	}
	arc := math.Acos(1 - 2*c.WidthMM/c.DiameterMM)
	force := c.DepthMM * float64(c.Flutes) / (2 * math.Pi) * overArc(w.Law(1), c.FeedPerToothMM, arc)
	factor := forceN / force
	if !(factor > 0) || math.IsInf(factor, 0) {
		return Work{}, fmt.Errorf("%w: the material to scale has no cutting force", ErrNoKnownCut)
	}
	return sourced(w.ForcesTimes(factor), w, fmt.Sprintf("scaled to a measured tangential force of %.4g N", forceN)),
		nil
}

func sourced(scaled, from Work, how string) Work {
	scaled.KC11.Source = how + " from: " + from.KC11.Source
	scaled.Edge.Source = how + " from: " + from.Edge.Source
	scaled.Drill.Source = how + " from: " + from.Drill.Source
	return scaled
}

// overArc is the integral of the law's force at the chip feedMM sin x from 0 to arc, arc in [0, pi]; N/mm. Substituting
// x = t^2 at the start takes away the weak singularity of Kienzle's law at 0; the symmetry about pi/2 the one at pi.
// The relative error is below 1e-5.
func overArc(law Law, feedMM, arc float64) float64 {
	if arc > math.Pi/2 {
		return 2*overArc(law, feedMM, math.Pi/2) - overArc(law, feedMM, math.Pi-arc)
	}
	const n = 400 // intervals of Simpson's rule
	end := math.Sqrt(arc)
	f := func(t float64) float64 { return 2 * t * (law.Edge + law.Chip(feedMM*math.Sin(t*t))) }
	sum := f(0) + f(end)
	for i := 1; i < n; i++ {
		sum += f(end*float64(i)/n) * float64(2+2*(i%2))
	}
	return sum * end / n / 3
}
