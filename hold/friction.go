package hold

import (
	"fmt"
	"math"
	"strings"

	"github.com/paulmach/orb/planar"

	"staydown/hold/airflow"
	"staydown/hold/job"
	"staydown/sweep"
)

// friction is that between a piece and what it lies on, from the patches that open zones press down: of the layer, or
// of the chuck where a zone is gasketed; wet once coolant has run. On several zones the lowest counts for all of it.
// What lies on no open zone may lie on any. open tells for each zone whether it is.
func (a *Analysis) friction(patches []airflow.Patch, wet bool, open []bool) float64 {
	lowest := math.Inf(1)
	for i := range a.job.Zones {
		z := &a.job.Zones[i]
		if mu := a.frictionOn(z, wet); open[i] && mu < lowest && anyOn(z, patches) {
			lowest = mu
		}
	}
	if !math.IsInf(lowest, 1) {
		return lowest
	}
	if a.job.Layer != nil {
		lowest = a.job.Layer.Friction.When(wet)
	}
	for i := range a.job.Zones {
		lowest = math.Min(lowest, a.frictionOn(&a.job.Zones[i], wet))
	}
	if math.IsInf(lowest, 1) {
		return 0
	}
	return lowest
}

// frictionOn is the friction of a part on a zone; +Inf where the job does not tell it.
func (a *Analysis) frictionOn(z *job.Zone, wet bool) float64 {
	switch {
	case z.Seal == job.GasketSeal && z.Friction.Dry > 0:
		return z.Friction.When(wet)
	case z.Seal == job.LayerSeal && a.job.Layer != nil:
		return a.job.Layer.Friction.When(wet)
	}
	return math.Inf(1)
}

// anyOn tells whether one of the patches, taken for squares, reaches into a zone.
func anyOn(z *job.Zone, patches []airflow.Patch) bool {
	bound := z.Area.Bound()
	for i := range patches {
		p := &patches[i]
		at, half := [2]float64{p.X, p.Y}, math.Sqrt(p.AreaMM2)/2*(1-roomOnTheSafe)
		if bound.Pad(half).Contains(at) && (planar.PolygonContains(z.Area, at) || planar.DistanceFrom(z.Area,
			at) < half) {
			return true
		}
	}
	return false
}

// wetting gives the moment from which the work lies wet, with the line and the code that turn the coolant on; Never
// when none does. It stays wet for the rest of the program: paper and board do not dry in minutes, and under a part
// nothing does.
func (a *Analysis) wetting() (at sweep.Progress, line int, code string) {
	for _, c := range a.prog.Coolant {
		for _, output := range []struct {
			on   bool
			does job.Coolant
			code string
		}{{c.Mist, a.job.Machine.M7, "M7"}, {c.Flood, a.job.Machine.M8, "M8"}} {
			if output.on && output.does.Wets() {
				return sweep.Progress(c.Move), c.Line, output.code
			}
		}
	}
	return sweep.Never, 0, ""
}

// assumedCoolant tells what the program's coolant is taken to be where the job does not say.
func (a *Analysis) assumedCoolant() (out []string) {
	if at, line, code := a.wetting(); at < sweep.Never {
		out = append(out, fmt.Sprintf("parts are wet, with wet friction, from line %d (%s) to the end", line, code))
	}
	var mist, flood bool
	for _, c := range a.prog.Coolant {
		mist, flood = mist || c.Mist, flood || c.Flood
	}
	for _, output := range []struct {
		used bool
		does job.Coolant
		key  string
	}{{mist, a.job.Machine.M7, "m7"}, {flood, a.job.Machine.M8, "m8"}} {
		if output.used && output.does == job.CoolantUnknown {
			out = append(out, fmt.Sprintf("%s is assumed to turn on flood coolant ([machine] %s)",
				strings.ToUpper(output.key), output.key))
		}
	}
	return out
}
