package suction

import (
	"math"

	"github.com/paulmach/orb/planar"

	"staydown/hold/internal/gas"
	"staydown/hold/job"
)

// conduit is a part of the way from a zone to the pump. Air of a mass flow that leaves it at a pressure enters it at a
// higher one.
type conduit interface {
	upstreamPa(downPa, massKgS float64) float64
}

// series are conduits one behind the other, the one nearest to the pump first.
type series []conduit

func (s series) upstreamPa(downPa, massKgS float64) float64 {
	for _, c := range s {
		downPa = c.upstreamPa(downPa, massKgS)
	}
	return downPa
}

// throttle is a valve, filter or port by ISO 6358: m = choked p1 for p2/p1 up to the critical ratio b, and beyond it
// that times sqrt(1 - ((p2/p1 - b)/(1 - b))^2). Solved for p1, which needs no care near p1 = p2.
type throttle struct {
	choked   float64 // kg/s per Pa of upstream pressure, at 20 C
	critical float64 // b
}

// densityANR is that of the standard's reference atmosphere, kg/m3 (ISO 6358-1:2013, from memory: 20 C, 100 kPa, 65 %
// humidity).
const densityANR = 1.185

// newThrottle takes a sonic conductance in m3/(s Pa).
func newThrottle(conductance, critical float64) throttle {
	return throttle{conductance * densityANR, critical}
}

// throttleOfKv takes a flow coefficient Kv, m3/h of water at 1 bar. With the density of the outflow m = Kv/36000
// sqrt(p2 (p1 - p2)/(R T)) (SI, VDI/VDE 2173 from memory), and no more than at p2 = p1/2: exactly the law above with b
// = 1/2.
func throttleOfKv(kvM3h float64) throttle {
	return throttle{kvM3h / 72000 / math.Sqrt(gas.ConstantJKgK*gas.RoomK), 0.5}
}

// portDischarge is the discharge coefficient of ports that air leaves the chuck by: sharp-edged, at low pressure
// difference (from memory: Perry, Shapiro). The lower figure loses more.
const portDischarge = 0.6

// newPort takes the area of openings in mm2. The ellipse of ISO 6358 with b = 0.528 is within 0.31 % of the law of the
// nozzle.
func newPort(areaMM2 float64) throttle {
	return throttle{gas.OrificeKgS(portDischarge*areaMM2*gas.M2PerMM2, 1, 0, gas.RoomK), gas.CriticalRatio}
}

func (t throttle) upstreamPa(downPa, massKgS float64) float64 {
	q, b := massKgS/t.choked, t.critical
	if q*b >= downPa {
		return q
	}
	// x^2 (1 - 2b) + 2 b p2 x - (p2^2 + q^2 (1-b)^2) = 0; this form of the root holds for every sign of 1 - 2b.
	c := downPa*downPa + q*q*(1-b)*(1-b)
	return math.Max(downPa, 2*c/(2*b*downPa+math.Sqrt(4*b*b*downPa*downPa+4*(1-2*b)*c)))
}

// pipe is a hose, or grooves side by side: isothermal flow with friction, p1^2 - p2^2 = G^2 R T (f L/D + K + 2
// ln(p1/p2)) with G the mass flow per area (from memory: Perry; White, Fluid Mechanics). Where p2 is less than G sqrt(R
// T) the flow chokes at its end.
//
// f is the larger of the laminar friction factor and that of Haaland (1983, from memory), which between them overstates
// it by up to 1.7 at Reynolds numbers from 1000 to 2300.
type pipe struct {
	lengthM, diameterM float64 // hydraulic diameter
	areaM2             float64 // in all
	laminar            float64 // f Re
	entries            float64 // K
}

const (
	// of hoses with a smooth bore and of milled grooves (common practice, no source); spiral hoses lose up to twice as
	// much
	roughnessM   = 1e-4
	hoseEntries  = 1.5 // entry 0.5 and exit 1 (from memory)
	roundLaminar = 64
	flatLaminar  = 96 // the most of a rectangle
)

func newHose(h job.Hose) pipe {
	d := h.BoreMM * gas.MPerMM
	return pipe{h.LengthMM * gas.MPerMM, d, math.Pi / 4 * d * d, roundLaminar, hoseEntries}
}

func (p pipe) friction(perAreaKgS float64) float64 {
	const leastTurbulent = 500 // below it the laminar factor is the larger one, and Haaland's formula ends
	re := perAreaKgS * p.diameterM / gas.ViscosityPaS
	root := -1.8 * math.Log10(math.Pow(roughnessM/p.diameterM/3.7, 1.11)+6.9/math.Max(re, leastTurbulent))
	return math.Max(p.laminar/re, 1/(root*root))
}

func (p pipe) upstreamPa(downPa, massKgS float64) float64 {
	if massKgS <= 0 {
		return downPa
	}
	g := massKgS / p.areaM2
	dynamic := g * g * gas.ConstantJKgK * gas.RoomK
	down := math.Max(downPa*downPa, dynamic)
	drag := p.friction(g)*p.lengthM/p.diameterM + p.entries
	up := down + dynamic*drag
	for range 100 {
		next := down + dynamic*(drag+math.Log(up/down))
		if math.Abs(next-up) <= 1e-14*up {
			break
		}
		up = next
	}
	return math.Max(downPa, math.Sqrt(up))
}

// valveAndHose are those of the pump, which all zones share, or of a zone; nil for what is not given.
func valveAndHose(v *job.Valve, h *job.Hose) (s series) {
	switch {
	case v == nil:
	case v.KvM3h > 0:
		s = append(s, throttleOfKv(v.KvM3h))
	default:
		s = append(s, newThrottle(v.Conductance, v.Critical))
	}
	if h != nil {
		s = append(s, newHose(*h))
	}
	return s
}

// toManifold are the conduits of a zone's own: valve, hose, ports, and the grooves that lead to them.
//
// Lumped: each port draws through four arms of groove half a pitch of ports long, each of which carries a quarter of
// its flow over all its length. The furthest corner loses less along the arm, a third of that, as the flow gathers, and
// the rest is for the grooves across. Without ports given, one in the middle of the zone is taken.
func toManifold(z job.Zone) series {
	s := valveAndHose(z.Valve, z.Hose)
	area := math.Abs(planar.Area(z.Area))
	count := 1.0
	if p := z.Port; p != nil {
		count = p.Count
		if p.PitchMM > 0 {
			count = math.Max(1, area/(p.PitchMM*p.PitchMM))
		}
		s = append(s, newPort(count*math.Pi/4*p.DiameterMM*p.DiameterMM))
	}
	if g := z.Groove; g != nil && g.DepthMM > 0 {
		s = append(s, arms(*g, count, area))
	}
	return s
}

// arms are the grooves that lead to a number of ports in a zone of the given area, mm2.
func arms(g job.Groove, count, areaMM2 float64) pipe {
	width, depth := g.WidthMM*gas.MPerMM, g.DepthMM*gas.MPerMM
	return pipe{math.Sqrt(areaMM2/count) / 2 * gas.MPerMM, 2 * width * depth / (width + depth),
		4 * count * width * depth,
		flatLaminar, 0}
}
