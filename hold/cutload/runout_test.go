package cutload

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"staydown/hold/material"
)

// deepest finds the largest horizontal force of a cutter with straight flutes whose center lies off the axis by e, by
// trying: tooth i has the radius R + e cos(2 pi i/z - way), and its chip ends where the last of the teeth before it has
// cut, h = min over k of (k fz cos(phi) + R_i - R_(i-k)), no chip where that is negative (tooth paths as circles: Kline
// and DeVor, Int. J. Mach. Tool Des. Res. 23 (1983) 123, from memory). Every way of the center and every rotor angle is
// tried.
func deepest(force func(h float64) (tangential, radial float64), fz, e, right, left float64, z int) float64 {
	const ways, angles = 90, 900
	most := 0.0
	for w := 0; w < ways; w++ {
		radius := make([]float64, z)
		for i := range radius {
			radius[i] = e * math.Cos(2*math.Pi*(float64(i)/float64(z)-float64(w)/ways))
		}
		for a := 0; a <= angles; a++ {
			first := right + (left-right)*float64(a)/angles
			var x, y float64
			for i := 0; i < z; i++ {
				phi := first - 2*math.Pi*float64(i)/float64(z)
				for phi < right-1e-12 {
					phi += 2 * math.Pi
				}
				if phi > left+1e-12 {
					continue
				}
				h := math.Inf(1)
				for k := 1; k <= z; k++ {
					h = math.Min(h, float64(k)*fz*math.Cos(phi)+radius[i]-radius[(i-k+z)%z])
				}
				if h <= 0 {
					continue
				}
				ft, fr := force(h)
				sin, cos := math.Sincos(phi)
				x += ft*sin + fr*cos
				y += fr*sin - ft*cos
			}
			most = math.Max(most, math.Hypot(x, y))
		}
	}
	return most
}

// The set of 6082-T6 (Chinese J. Mech. Eng. (2021), doi 10.1186/s10033-021-00536-9, Table 5), run-out 0.01 mm. The load
// is never below the one found by trying, and above it by what the model says of more than one tooth in the cut.
func TestRunoutAtEveryRotorAngle(t *testing.T) {
	work := linearWork(631, 13)
	work.Radial = material.Exact(99.0/631, "")
	for _, c := range []struct {
		name  string
		z     int
		ae    float64
		fz    float64
		above float64 // largest ratio to what was found by trying
	}{
		{"finishing wall of 0.1 mm, 4 flutes", 4, 0.1, 0.05, 1.05},
		{"finishing wall of 0.1 mm, 2 flutes", 2, 0.1, 0.05, 1.02},
		{"finishing wall of 0.1 mm, 4 flutes, little feed", 4, 0.1, 0.02, 1.1},
		{"wall of 1 mm, 3 flutes", 3, 1, 0.03, 1.05},
		{"slot, 1 flute", 1, 6, 0.05, 1.02},
		{"slot, 2 flutes", 2, 6, 0.05, 1.02},
		{"slot, 3 flutes", 3, 6, 0.05, 1.15},
		{"slot, 4 flutes", 4, 6, 0.05, 1.15},
		{"slot, 6 flutes", 6, 6, 0.02, 1.3},
	} {
		cut := side(6, c.ae, 1, c.fz*float64(c.z)*10000, 10000)
		tool := endMill(6, c.z)
		tool.RunoutMM = 0.01
		load, err := Cutting(work, tool, cut)
		if err != nil {
			t.Fatal(err)
		}
		force := func(h float64) (float64, float64) { return 631*h + 13, 99*h + 13 }
		want := deepest(force, c.fz, 0.01, cut.RightRad, cut.LeftRad, c.z)
		if load.Peak < 0.998*want || load.Peak > c.above*want {
			t.Errorf("%s: %.2f N, by trying %.2f N", c.name, load.Peak, want)
		}
	}
}

// By hand: 4 flutes, D 6, wall 0.1 mm, fz 0.05, run-out 0.01. The largest chip of a true tooth is 0.05 sin(acos(1 -
// 0.2/6)) =
// 0.012802 mm, a tooth that stands out cuts 2 x 0.01 sin(45 deg) = 0.014142 mm more.
func TestRunoutOfAThinWallByHand(t *testing.T) {
	tool := endMill(6, 4)
	tool.RunoutMM = 0.01
	load, err := Cutting(linearWork(631, 13), tool, side(6, 0.1, 1, 2000, 10000))
	if err != nil {
		t.Fatal(err)
	}
	near(t, "true chip", load.ChipMaxMM, 0.012802, 1e-6)
	near(t, "chip of the tooth that stands out", load.RunoutChipMM, 0.026944, 1e-6)
	near(t, "force", math.Abs(load.TorqueNmm)/3, 631*0.026944+13, 0.01)
}

// Run-out never lowers a load, and takes nothing away from a single flute, which has no neighbor.
func TestMoreRunoutNeverLowersThePeak(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		work, tool, cut := drawWork(t), drawTool(t), drawCut(t)
		tool.RunoutMM *= 0.5
		before := must(t, work, tool, cut)
		tool.RunoutMM *= 1 + rapid.Float64Range(0, 1).Draw(t, "more")
		after := must(t, work, tool, cut)
		if after.Peak < before.Peak*(1-1e-6) || tool.Flutes == 1 && after.Peak > before.Peak*(1+1e-9) {
			t.Fatalf("%g N with less, %g N with more", before.Peak, after.Peak)
		}
	})
}
