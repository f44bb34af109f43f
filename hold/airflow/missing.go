package airflow

import (
	"fmt"
	"math"

	"staydown/hold/job"
)

const (
	// worthSaying is the share of the air pressure from which on the loss of a duct that the job leaves out is told.
	worthSaying = 0.02
	// usualSpeed is that in the inlet port of vacuum pumps at no vacuum, m/s, at most: hoses are often no wider, and usualHoseMM long (common
	// practice, no source).
	usualSpeed  = 36.0
	usualHoseMM = 5000.0
)

// usualBoresMM are those in which hoses are sold.
var usualBoresMM = [...]float64{19, 25, 32, 38, 50, 63, 76, 102, 127, 152, 203, 254, 305}

// usualBoreMM is the bore that is usual for a pump.
func usualBoreMM(pump job.Pump) float64 {
	for _, bore := range usualBoresMM {
		if pump.FlowM3h/secondsPerHour <= usualSpeed*math.Pi/4*bore*bore*m2PerMM2 {
			return bore
		}
	}
	return usualBoresMM[len(usualBoresMM)-1]
}

// MissingDucts tells roughly, in words, what usual ducts would cost at a state where the job leaves them out, each on its own and with
// all the flow through it, where that is more than 2 % of the air pressure.
func MissingDucts(j *job.Job, s State) []string {
	var all []string
	massKgS := s.LeakM3h / secondsPerHour * s.AmbientPa / (gasConstant * temperatureK)
	say := func(what, key string, downPa float64, duct conduit) {
		if loss := duct.upstreamPa(downPa, massKgS) - downPa; loss > worthSaying*s.AmbientPa {
			all = append(all, fmt.Sprintf("no pressure is lost in %s; at the %.3g m3/h reached it would be about %.2g kPa of the vacuum (%s)",
				what, s.LeakM3h, math.Min(loss, s.AmbientPa-downPa)/1000, key))
		}
	}
	bore := usualBoreMM(j.Pump)
	full := math.Pi / 4 * bore * bore
	if j.Pump.Hose == nil {
		say(fmt.Sprintf("the hose, which the job leaves out; usual for this pump is %g m of %g mm bore", usualHoseMM/1000, bore), "[pump] hose", s.PumpPa,
			newHose(job.Hose{LengthMM: usualHoseMM, BoreMM: bore}))
	}
	if j.Pump.Valve == nil {
		say(fmt.Sprintf("valve and filter, which the job leaves out; usual is half the section of a hose of %g mm bore", bore), "[pump] valve", s.PumpPa, newPort(full/2))
	}
	for _, zone := range j.Zones {
		if !zone.Open {
			continue
		}
		if zone.Port == nil {
			say(fmt.Sprintf("the ports of zone %s, which the job leaves out; usual is one of the hose's bore, %g mm", zone.Name, bore), "[[zone]] port", s.PumpPa, newPort(full))
		}
		if g := zone.Groove; g != nil && g.DepthMM == 0 {
			deep := zone
			deep.Groove = &job.Groove{PitchMM: g.PitchMM, WidthMM: g.WidthMM, DepthMM: g.WidthMM}
			ducts := toManifold(deep)
			say(fmt.Sprintf("the grooves of zone %s, whose depth the job leaves out; usual is as deep as wide", zone.Name), "groove.depth", s.PumpPa, ducts[len(ducts)-1])
		}
	}
	return all
}
