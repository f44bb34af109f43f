package suction

import (
	"fmt"
	"math"
	"slices"

	"staydown/hold/internal/gas"
	"staydown/hold/job"
	"staydown/parse/units"
)

const (
	// worthSaying is the share of the air pressure from which on the loss of a duct that the job leaves out is told.
	worthSaying = 0.02
	// usualSpeed is that in the inlet port of vacuum pumps at no vacuum, m/s, at most: hoses are often no wider, and
	// usualHoseMM long (common practice, no source).
	usualSpeed  = 36.0
	usualHoseMM = 5000.0
)

// usualBoresMM are those in which hoses are sold.
var usualBoresMM = [...]float64{19, 25, 32, 38, 50, 63, 76, 102, 127, 152, 203, 254, 305}

// usualBoreMM is the bore that is usual for a pump.
func usualBoreMM(pump job.Pump) float64 {
	for _, bore := range usualBoresMM {
		if pump.FlowM3h/gas.SecondsPerHour <= usualSpeed*math.Pi/4*bore*bore*gas.M2PerMM2 {
			return bore
		}
	}
	return usualBoresMM[len(usualBoresMM)-1]
}

// Reached is where a pump works, and the free air that leaks in there.
type Reached struct {
	AmbientPa, PumpPa float64 // absolute
	VacuumPa          float64 // in the chuck, below ambient
	LeakM3h           float64
}

// MissingDucts tells roughly, in words, what usual ducts would cost where the job leaves them out, each on its own and
// with all the flow through it, where that is more than worthSaying.
func MissingDucts(j *job.Job, s Reached, shop units.System) []string {
	var all []string
	massKgS := s.LeakM3h / gas.SecondsPerHour * s.AmbientPa / (gas.ConstantJKgK * gas.RoomK)
	say := func(what, usual, key string, duct conduit) {
		loss := duct.upstreamPa(s.PumpPa, massKgS) - s.PumpPa
		if loss <= worthSaying*s.AmbientPa {
			return
		}
		all = append(all, fmt.Sprintf("no pressure is lost in %s, which the job leaves out; usual is %s, which at "+
			"the %s reached would cost about %s of the vacuum (%s)", what, usual, shop.Flow().Text(s.LeakM3h),
			shop.Pressure().Text(math.Min(loss, s.VacuumPa)/1000), key))
	}
	bore := usualBoreMM(j.Pump)
	full, wide := math.Pi/4*bore*bore, shop.Rough().Text(bore)
	own := func(has func(job.Zone) bool) bool { // every open zone has one of its own
		return !slices.ContainsFunc(j.Zones, func(z job.Zone) bool { return z.Open && !has(z) })
	}
	if j.Pump.Hose == nil && !own(func(z job.Zone) bool { return z.Hose != nil }) {
		say("the hose", fmt.Sprintf("%s of %s bore for this pump", shop.Path().Text(usualHoseMM), wide), "[pump] hose",
			newHose(job.Hose{LengthMM: usualHoseMM, BoreMM: bore}))
	}
	if j.Pump.Valve == nil && !own(func(z job.Zone) bool { return z.Valve != nil }) {
		say("valve and filter", fmt.Sprintf("half the section of a hose of %s bore", wide), "[pump] valve",
			newPort(full/2))
	}
	for _, zone := range j.Zones {
		if !zone.Open {
			continue
		}
		if zone.Port == nil {
			say("the ports of zone "+zone.Name, "one of the hose's bore, "+wide, "[[zone]] port",
				newPort(full))
		}
		if g := zone.Groove; g != nil && g.DepthMM == 0 {
			deep := zone
			deep.Groove = &job.Groove{PitchMM: g.PitchMM, WidthMM: g.WidthMM, DepthMM: g.WidthMM}
			ducts := toManifold(deep)
			say("the grooves of zone "+zone.Name, "a depth equal to the width", "groove.depth", ducts[len(ducts)-1])
		}
	}
	return all
}
