package job

import (
	"math"
	"testing"

	"staydown/hold/internal/gas"
)

// Flow of free air through sheets of known permeability, 101325 to 30000 Pa, from Darcy's law for a gas,
// k (p1^2 - p2^2)/(2 mu R T t), computed apart from this program with mu 1.813e-5 Pa s and 293.15 K.
func TestFlowTestGivesPermeabilityBack(t *testing.T) {
	for _, c := range []struct{ k, thicknessM, freeM3hM2 float64 }{
		{1e-13, 12e-3, 76.483},
		{6.26e-13, 12e-3, 478.78},
		{0.38e-13, 12e-3, 29.064},
		{1e-14, 0.75e-3, 122.37},
		{1e-12, 0.75e-3, 12237},
	} {
		const areaM2 = 0.02
		got := flowTestM2(areaM2, 101325-30000, c.freeM3hM2*areaM2/3600, c.thicknessM, 101325)
		if math.Abs(got-c.k) > 1e-4*c.k {
			t.Errorf("%g m3/h per m2 through %g m: %g m2, want %g", c.freeM3hM2, c.thicknessM, got, c.k)
		}
	}
}

// Seconds for 100 ml through 6.42 cm2 at 1.22 kPa: permeance 127.67/t um/(Pa s) (127/t in the 1986 and 2003 editions
// of ISO 5636-5, 135.3/t in the 2013 one, from memory: hence 7 %).
func TestGurley(t *testing.T) {
	for _, c := range []struct{ seconds, thicknessM, k float64 }{
		{10, 0.1e-3, 2.30e-14}, {10, 0.75e-3, 1.73e-13}, {100, 0.75e-3, 1.73e-14},
	} {
		if got := gurleyPermeabilityM2(c.seconds, c.thicknessM); math.Abs(got-c.k) > 0.01*c.k {
			t.Errorf("%g s at %g m: %g m2, want %g", c.seconds, c.thicknessM, got, c.k)
		}
	}
	const thickness = 0.5e-3
	for _, constant := range []float64{127, 135.3} {
		permeance := gurleyPermeabilityM2(20, thickness) / (gas.ViscosityPaS * thickness) * 1e6
		if want := constant / 20; math.Abs(permeance-want) > 0.07*want {
			t.Errorf("permeance %g um/(Pa s), want %g", permeance, want)
		}
	}
}

// 1 ml/min through 10 cm2 at 1.47 kPa is 0.01134 um/(Pa s) (apparatus of ISO 5636-3, from memory).
func TestBendtsen(t *testing.T) {
	const thickness = 0.3e-3
	permeance := bendtsenPermeabilityM2(1e-6/60, thickness) / (gas.ViscosityPaS * thickness) * 1e6
	if math.Abs(permeance-0.01134) > 1e-5 {
		t.Errorf("permeance %g um/(Pa s)", permeance)
	}
}

// The three ways to give one sheet agree through the file as well.
func TestLayerTestsThroughTheFile(t *testing.T) {
	const rest = `
[stock]
corner = ["0 mm", "0 mm", "-6 mm"]
size = ["60 mm", "40 mm", "6 mm"]
material = "aluminium-wrought"
[[zone]]
name = "A"
area = [["0 mm","0 mm"],["60 mm","40 mm"]]
[pump]
kind = "rotary-vane"
flow = "63 m3/h"
[[tool]]
number = 1
diameter = "6 mm"
[layer]
thickness = "0.75 mm"
`
	for _, c := range []struct {
		name, text string
		k          float64
		within     float64
	}{
		{"flow", "[layer.flow_test]\narea = \"100 cm2\"\npressure_drop = \"713.25 mbar\"\nflow = \"122.37 m3/h\"",
			1e-12, 1e-3},
		{"gurley", "[layer.air_resistance]\nmethod = \"gurley\"\nseconds = \"10 s\"", 1.73e-13, 0.01},
		{"gurley, thinner sheet", "[layer.air_resistance]\nmethod = \"gurley\"\nseconds = \"10 s\"\nthickness = " +
			"\"0.1 mm\"", 2.30e-14, 0.01},
		{"bendtsen", "[layer.air_resistance]\nmethod = \"bendtsen\"\nflow = \"1000 ml/min\"",
			11.34e-6 * 1.813e-5 * 0.75e-3, 0.01},
	} {
		j, err := Parse("j.toml", []byte(rest+c.text))
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		if math.Abs(j.Layer.ThroughM2-c.k) > c.within*c.k || j.Layer.AlongM2 != j.Layer.ThroughM2 {
			t.Errorf("%s: through %g, along %g m2, want %g", c.name, j.Layer.ThroughM2, j.Layer.AlongM2, c.k)
		}
	}
}
