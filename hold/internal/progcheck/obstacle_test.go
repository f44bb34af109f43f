package progcheck

import (
	"math"
	"testing"

	"github.com/paulmach/orb"

	"staydown/hold/job"
	"staydown/sweep"
)

// TestLedgesAreNeverNarrower: closed forms of the radius at a height: ball sqrt(2Rh - h^2), vee h tan(angle/2), bull R
// - c + sqrt(2ch - h^2).
func TestLedgesAreNeverNarrower(t *testing.T) {
	for _, c := range []struct {
		name   string
		tool   sweep.Tool
		radius func(h float64) float64
		extra  float64 // greatest excess
	}{
		{"flat", sweep.Tool{Shape: sweep.Flat, DiameterMM: 8}, func(float64) float64 { return 4 }, 0},
		{"ball", sweep.Tool{Shape: sweep.Ball, DiameterMM: 8},
			func(h float64) float64 { return math.Sqrt(16 - math.Pow(4-min(h, 4), 2)) }, 4.0 / 32},
		{"bull", sweep.Tool{Shape: sweep.Bull, DiameterMM: 8, CornerMM: 1}, func(h float64) float64 {
			return 3 +
				math.Sqrt(1-math.Pow(1-min(h, 1), 2))
		}, 1.0 / 32},
		{"vee", sweep.Tool{Shape: sweep.Vee, DiameterMM: 8, AngleRad: math.Pi / 3},
			func(h float64) float64 { return min(4, h*math.Tan(math.Pi/6)) }, 4.0 / 32},
		{"drill", sweep.Tool{Shape: sweep.Drill, DiameterMM: 8, AngleRad: 2 * math.Pi / 3},
			func(h float64) float64 { return min(4, h*math.Tan(math.Pi/3)) }, 4.0 / 32},
	} {
		flight := ledges(job.Tool{Tool: c.tool})
		for h := 0.01; h < 12; h += 0.013 {
			got := 0.0
			for _, l := range flight {
				if h > l.aboveMM {
					got = max(got, l.radiusMM)
				}
			}
			if want := c.radius(h); got < want-1e-9 || got > want+c.extra+1e-9 {
				t.Errorf("%s %.3f mm up: %g, true %g, at most %g more", c.name, h, got, want, c.extra)
			}
		}
	}
}

// TestPolygonObstacle: an L of 40 x 40 mm with arms of 10 mm leaves room in its corner.
func TestPolygonObstacle(t *testing.T) {
	ring := orb.Ring{{0, 0}, {40, 0}, {40, 10}, {10, 10}, {10, 40}, {0, 40}, {0, 0}}
	o := obstacle{ring: ring, bound: ring.Bound(), topMM: 10}
	for _, c := range []struct {
		p, q orb.Point
		want bool
	}{
		{orb.Point{20, 20}, orb.Point{20, 60}, false},      // 10 mm beside the arm
		{orb.Point{20, 14.9}, orb.Point{20, 60}, true},     // 4.9 mm above the other
		{orb.Point{-10, -10}, orb.Point{60, 60}, true},     // across
		{orb.Point{45.1, -20}, orb.Point{45.1, 60}, false}, // past its end
		{orb.Point{5, 5}, orb.Point{5, 5}, true},
	} {
		if got := o.meets(c.p, c.q, 5); got != c.want {
			t.Errorf("%v to %v: %v", c.p, c.q, got)
		}
	}
}
