package hold

import (
	"math"
	"staydown/hold/internal/steploads"
	"staydown/hold/result"
	"strings"
	"testing"
)

// besselI0 and besselI1 are the modified Bessel functions by their power series (Abramowitz and Stegun, 9.6.10).
func besselI0(x float64) float64 {
	sum, term := 1.0, 1.0
	for k := 1.0; term > 1e-17*sum; k++ {
		term *= x * x / 4 / (k * k)
		sum += term
	}
	return sum
}

func TestDiscOfTwelveMillimetresByHand(t *testing.T) {
	// The disc of the demo (12 mm across, 6 mm tall, wrought aluminium, two flutes at 1200 mm/min and 18000 1/min, last
	// pass 0.6 mm) on a chuck that is open everywhere, without helix and run-out, so that every number can be had by
	// hand.
	//
	// Area      A = pi 6^2 = 113.10 mm2. Vacuum    throughput S0 (p - pu) = Q pa (displacement law, Q the leak as free
	// air): p = pu + pa Q/S0, next to the ultimate
	//           pressure pu = 2 kPa for the little that such a tight layer lets through.
	// Pressure  lambda = 0.74245 t (open edge of isotropic material, 8 G / pi^2), w = 1 - I0(r/lambda) / I0(R/lambda)
	// (disc, closed
	//           form), p = sqrt(pa^2 - w (pa^2 - pv^2)); hold = integral of (pa - p) over the disc + weight.
	// Load      fz = 1200 / (2 x 18000) = 0.03333 mm, along the motion (660 fz + 15) x 0.6 mm (linear-edge law of the
	// built-in),
	//           outwards (0.3 x 660 fz + 0.8 x 15) x 0.6 mm.
	program := "G21 G90 G17\nT1 M6\nS18000 M3\nG0 X60 Y69 Z5\nG1 Z-5.4 F300\nG2 X60 Y51 I0 J-9 F1200\nX60 Y69 I0 " +
		"J9\nG1 Z-6.2 F300\nG2 X60 Y51 I0 J-9 F1200\nX60 Y69 I0 J9\nG0 Z5\nM30\n"
	p := aPlate()
	p.helixDeg, p.through = 0, "1e-15 m2"
	a := road(t, program, strings.Replace(p.on(0.1), `flow = "100 m3/h"`, "flow = \"100 m3/h\"\nultimate = \"20 mbar\"",
		1))
	f := riskOf(a.Result, 2)
	if len(f) == 0 || f[0].Line != 10 || f[0].Level != result.LevelError {
		t.Fatalf("findings %v, want an error at line 10, which frees the disc", f)
	}

	leak := a.Result.Timeline[len(a.Result.Timeline)-1].LeakM3h
	if leak > 1 {
		t.Fatalf("%.3f m3/h of leak: not next to nothing", leak)
	}
	const pa, R = 101325.0, 6.0
	pv := 2000 + pa*leak/100
	lambda := 0.74245 * 0.4
	hold, steps := 0.0, 4000
	for i := range steps {
		r := R * (float64(i) + 0.5) / float64(steps)
		w := 1 - besselI0(r/lambda)/besselI0(R/lambda)
		hold += (pa - math.Sqrt(pa*pa-w*(pa*pa-pv*pv))) * 2 * math.Pi * r * R / float64(steps) * 1e-6
	}
	hold += math.Pi * R * R * 6 * 1e-9 * 2700 * 9.80665
	if math.Abs(f[0].HoldN-hold) > 0.02*hold {
		t.Errorf("hold %.3f N, by hand %.3f N", f[0].HoldN, hold)
	}
	fz := 1200.0 / (2 * 18000)
	peak := 0.6 * math.Hypot(660*fz+15, 0.3*660*fz+0.8*15)
	_, cut, err := a.loads.All(a.rec.Steps.At(a.least[2].step), steploads.Change{}, nil)
	if err != nil || math.Abs(cut.Peak-peak) > 0.02*peak {
		t.Errorf("peak load %.2f N (%v), by hand %.2f N", cut.Peak, err, peak)
	}
	// The finding names the load at the rotor angle that the disc stands least, which need not be the peak.
	load := f[0].LoadN
	if load > peak*1.02 || load < peak*0.85 {
		t.Errorf("load %.2f N, at most %.2f N and near it", load, peak)
	}

	// Friction: at the closing stretch the axis of the tool stands 9 mm from the middle of the disc. Force and moment
	// together on the limit surface of a disc under uniform pressure, F = H, M about the middle: the sliding center on
	// the line through the middle at the distance d at which M/F of the surface equals that of the load (sums over the
	// disc, closed form of the check values: F = 8/(3 pi), M = 8/(9 pi) for d = R). The load's own moment lies between
	// H x 9 mm and H x 9 mm plus the couple of the two teeth, Ft x 3 mm; so does the margin.
	friction := 0.35 * hold
	margin := func(arm float64) float64 { // largest share of H with moment H arm
		best := math.Inf(1)
		for d := 0.05; d < 60; d *= 1.02 { // every sliding center gives an upper bound; the least is the surface
			resist := 0.0
			const n = 120
			for i := range n {
				for k := range n {
					x, y := (float64(i)+0.5)/n*2-1, (float64(k)+0.5)/n*2-1
					if x*x+y*y <= 1 {
						resist += math.Hypot(x*R+d, y*R)
					}
				}
			}
			resist *= friction / (math.Pi / 4 * n * n)
			best = math.Min(best, resist/(load*(d+arm)))
		}
		return best
	}
	low, high := margin(9+3), margin(9-3)
	if f[0].Margin < low*0.9 || f[0].Margin > high*1.1 {
		t.Errorf("margin %.4f, by hand between %.4f and %.4f", f[0].Margin, low, high)
	}
}
