package cutload

import (
	"math"

	"staydown/hold/job"
	"staydown/sweep"
)

const (
	wallBands  = 6  // of a straight wall: only the height of the force depends on their number
	curveBands = 16 // of a quarter of a circle
)

// band is a part of the cutter's envelope between two heights above the tip, mm, with the same angle kappa between the
// normal of the envelope and the axis.
type band struct {
	low, high float64
	radius    float64 // mm, in the middle
	sin, cos  float64 // of kappa: sin 1 on a straight wall
	edge      float64 // length of edge, mm
	lift      float64 // tan(helix), negative where the flute presses down
	lagLow    float64 // angle by which its lower end trails the tip, rad
	lagHigh   float64 // the same of its upper end
}

// bands cuts the envelope of a tool between two heights above the tip into bands.
func bands(tool job.Tool, low, high float64) []band {
	var out []band
	if up := tool.UpcutMM; up > low && up < high {
		out = append(envelope(tool, low, up), envelope(tool, up, high)...)
	} else {
		out = envelope(tool, low, high)
	}
	for i := range out {
		out[i].twist(tool)
	}
	return out
}

// twist fills in what the helix does to a band, which lies on one side of the turning point of a compression tool. A
// cutter of constant lead is assumed: on a rounded or pointed end the flutes trail as on the shank.
func (b *band) twist(tool job.Tool) {
	b.lift = math.Tan(tool.HelixRad)
	perMM := b.lift / (tool.DiameterMM / 2)
	b.lagLow, b.lagHigh = b.low*perMM, b.high*perMM
	if up := tool.UpcutMM; up > 0 && b.low+b.high > 2*up {
		b.lift = -b.lift
		b.lagLow, b.lagHigh = (2*up-b.low)*perMM, (2*up-b.high)*perMM
	}
}

func envelope(tool job.Tool, low, high float64) []band {
	full := tool.DiameterMM / 2
	var out []band
	corner, centre := 0.0, full // radius of the rounding and distance of its center from the axis
	switch tool.Shape {
	case sweep.Ball:
		corner, centre = full, 0
	case sweep.Bull:
		corner = math.Min(tool.CornerMM, full)
		centre = full - corner
	case sweep.Vee, sweep.Drill:
		return cone(tool, low, high)
	}
	if corner > 0 && low < corner {
		out = rounding(corner, centre, low, math.Min(high, corner))
	}
	if high > corner {
		out = append(out, wall(full, math.Max(low, corner), high)...)
	}
	return out
}

func wall(radius, low, high float64) []band {
	out := make([]band, wallBands)
	step := (high - low) / wallBands
	for i := range out {
		z := low + float64(i)*step
		out[i] = band{low: z, high: z + step, radius: radius, sin: 1, edge: step}
	}
	out[wallBands-1].high = high
	return out
}

// rounding goes by equal steps of kappa, since edge length and chip change fastest near the tip.
func rounding(corner, centre, low, high float64) []band {
	kappa := func(z float64) float64 { return math.Acos(math.Min(1, math.Max(-1, 1-z/corner))) }
	from, to := kappa(low), kappa(high)
	n := int(math.Ceil((to - from) / (math.Pi / 2) * curveBands))
	n = min(max(n, wallBands), curveBands)
	out := make([]band, n)
	step := (to - from) / float64(n)
	z := low
	for i := range out {
		k := from + (float64(i)+0.5)*step
		sin, cos := math.Sincos(k)
		next := corner * (1 - math.Cos(from+float64(i+1)*step))
		out[i] = band{low: z, high: next, radius: centre + corner*sin, sin: sin, cos: cos, edge: corner * step}
		z = next
	}
	return out
}

func cone(tool job.Tool, low, high float64) []band {
	full := tool.DiameterMM / 2
	half := math.Min(tool.AngleRad/2, math.Pi/2-1e-3)
	sin, cos := math.Cos(half), math.Sin(half) // of kappa
	tip := full / math.Tan(half)               // length of the cone
	var out []band
	if low < tip {
		end := math.Min(high, tip)
		step := (end - low) / wallBands
		for i := 0; i < wallBands; i++ {
			z := low + float64(i)*step
			out = append(out, band{
				low: z, high: z + step, radius: (z + step/2) * math.Tan(half), sin: sin, cos: cos, edge: step / sin,
			})
		}
	}
	if high > tip {
		out = append(out, wall(full, math.Max(low, tip), high)...)
	}
	return out
}
