package job_test

import (
	"math"
	"strings"
	"testing"

	"staydown/hold/job"
	"staydown/parse/units"
)

// onLayer is the minimal job with further lines under [layer] and further tables.
func onLayer(t *testing.T, lines, tables string) *job.Job {
	t.Helper()
	j, err := job.Parse("j.toml", []byte(strings.Replace(minimal, "[layer]\n", "[layer]\n"+lines, 1)+tables))
	if err != nil {
		t.Fatal(err)
	}
	return j
}

const threePulls = "[[layer.pull]]\narea = \"100 cm2\"\nvacuum = \"400 mbar\"\nreadings = [\"120 N\", \"132 N\", " +
	"\"108 N\"]\n"

func wantRange(t *testing.T, what string, d job.Doubt, low, likely, high float64) {
	t.Helper()
	for i, got := range []float64{d.Low, d.Likely, d.High} {
		if want := []float64{low, likely, high}[i]; math.Abs(got-want) > 1e-3*want {
			t.Errorf("%s: %.4g (%.4g) %.4g, want %.4g (%.4g) %.4g", what, d.Low, d.Likely, d.High, low, likely, high)
			return
		}
	}
}

// By hand: 400 mbar on 100 cm2 is 400 N, so 120, 132 and 108 N are 0.30, 0.33 and 0.27: by the factors of Student (see
// package doubt) 0.2478 (0.2990) 0.3607. On porous card, where aluminium has 0.25 (0.3) 0.45: spreads of the logarithms
// 0.1878 above the measured and 0.1823 below the built-in value, so the likely one is exp of
// (-1.2073 x 0.1823^2 - 1.2040 x 0.1878^2) / (0.1823^2 + 0.1878^2) = -1.2056; below it 0.1878 x 0.1823 / 0.2618 =
// 0.1308, above 0.1878 x 0.4055 / 0.4469 = 0.1704.
func TestFrictionByPulls(t *testing.T) {
	own := onLayer(t, "", threePulls)
	wantRange(t, "own layer", doubtOf(t, own, "friction of the layer on aluminium-wrought"), 0.2478, 0.2990, 0.3607)
	const card = "friction of porous-card on aluminium-wrought"
	built := onLayer(t, "material = \"porous-card\"\n", threePulls)
	wantRange(t, "porous card", doubtOf(t, built, card), 0.2628, 0.2995, 0.3552)
	if f := built.Layer.Friction; math.Abs(f.Dry-0.2995) > 1e-4 || math.Abs(f.Wet-f.Dry*0.2/0.3) > 1e-12 ||
		built.Layer.TackPa != 0 {
		t.Errorf("%+v, tack %g", f, built.Layer.TackPa)
	}
	// 20 N of weight more
	heavy := onLayer(t, "", strings.Replace(threePulls, "area", "weight = \"20 N\"\narea", 1))
	wantRange(t, "with a weight", doubtOf(t, heavy, "friction of the layer on aluminium-wrought"), 0.2478/1.05,
		0.2990/1.05, 0.3607/1.05)
	// wet ones give the wet figure and leave the dry one to the table
	wet := onLayer(t, "material = \"porous-card\"\n", strings.Replace(threePulls, "area", "wet = true\narea", 1))
	if f := wet.Layer.Friction; f.Dry != 0.3 || f.Wet < 0.25 || f.Wet > 0.299 {
		t.Errorf("%+v", f)
	}
	doubtOf(t, wet, "wet "+card)
	// a coupon of another material says nothing about this one
	other := onLayer(t, "material = \"porous-card\"\n", strings.Replace(threePulls, "area", "material = \"pmma\"\narea",
		1))
	wantRange(t, "another material", doubtOf(t, other, card), 0.25, 0.3, 0.45)
}

// By hand: 200 and 400 N of press on 0.01 m2, 69, 71, 129, 131 N: slope 0.3, intercept 10 N = 1 kPa. Squares 4, two
// readings to spare, variance 2 N2; of the intercept 2 x 400 000/(400 000 x 4e-4 - 12^2) = 50 000 Pa2, times t(0.95, 2)
// =
// 2.920: 653 Pa. With 0.5 to 1.3 kPa from sheet to sheet 178 to 1719 Pa. The slope has 2.5 times a reading's variance:
// s = 0.0614, times t(0.95, 6) sqrt(3.5) = 3.635: 0.2231 about ln 0.3.
func TestTackByPullsAtTwoVacuums(t *testing.T) {
	const two = `[[layer.pull]]
area = "100 cm2"
vacuum = "200 mbar"
readings = ["69 N", "71 N"]
[[layer.pull]]
area = "100 cm2"
vacuum = "400 mbar"
readings = ["129 N", "131 N"]
`
	j := onLayer(t, "", two)
	wantRange(t, "tack", doubtOf(t, j, "tack of the layer"), 177.6, 1000, 1718.5)
	wantRange(t, "friction", doubtOf(t, j, "friction of the layer on aluminium-wrought"), 0.2400, 0.3, 0.3750)
	// scatter of the same size as the intercept: no tack, the means of 0.35 and 0.325 of the readings
	none := onLayer(t, "", strings.NewReplacer(`"69 N", "71 N"`, `"60 N", "80 N"`, `"129 N", "131 N"`,
		`"120 N", "140 N"`).Replace(two))
	if none.Layer.TackPa != 0 || math.Abs(none.Layer.Friction.Dry-math.Pow(0.3*0.4*0.3*0.35, 0.25)) > 1e-9 {
		t.Errorf("tack %g, friction %g", none.Layer.TackPa, none.Layer.Friction.Dry)
	}
	// a tack that is given is taken off, 5 N of each: 0.2875, 0.3175, 0.2575; mean of the logarithms -1.2502, squares
	// 0.02196, s = 0.0855, times 1.943 sqrt(4/3): 0.1919
	given := onLayer(t, "tack = \"0.5 kPa\"\n", threePulls)
	wantRange(t, "known tack", doubtOf(t, given, "friction of the layer on aluminium-wrought"), 0.2364, 0.2865, 0.3470)
}

// What is far from the built-in range is told, and the wider range counts.
func TestPullsThatContradict(t *testing.T) {
	j := onLayer(t, "material = \"porous-card\"\n", strings.NewReplacer("120", "320", "132", "340", "108",
		"310").Replace(threePulls))
	d := doubtOf(t, j, "friction of porous-card on aluminium-wrought")
	if d.Low != 0.25 || d.High < 0.85 {
		t.Errorf("%+v", d.Input)
	}
	if said := strings.Join(j.Assumed.In(units.Metric), "\n"); !strings.Contains(said, "layer porous-card: "+
		"friction: 3 readings give "+
		"0.808 (") || !strings.Contains(said, "the wider range counts") {
		t.Errorf("%s", said)
	}
}

// A test of the sheet, read several times: likely is the geometric mean, and the ends come closer.
func TestSheetTestsReadSeveralTimes(t *testing.T) {
	test := func(seconds string) job.Doubt {
		j, err := job.Parse("j.toml", []byte(strings.Replace(minimal, "through = \"3e-13 m2\"\n", "", 1)+
			"[layer.air_resistance]\nmethod = \"gurley\"\nseconds = "+seconds+"\n"))
		if err != nil {
			t.Fatal(err)
		}
		return doubtOf(t, j, "permeability of the layer")
	}
	one, four := test(`"20 s"`), test(`["18 s", "20 s", "22.2222 s", "20 s"]`)
	wantRange(t, "one reading", one, 0.65*one.Likely, one.Likely, 1.55*one.Likely)
	if math.Abs(four.Likely/one.Likely-1) > 1e-5 || four.Low <= one.Low || four.High >= one.High {
		t.Errorf("one %+v, four %+v", one.Input, four.Input)
	}
	flow, err := job.Parse("j.toml", []byte(strings.Replace(minimal, "through = \"3e-13 m2\"\n", "", 1)+
		"[layer.flow_test]\narea = \"100 cm2\"\npressure_drop = \"200 mbar\"\nflow = [\"10 l/min\", \"40 l/min\"]\n"))
	if err != nil {
		t.Fatal(err)
	}
	mid, err := job.Parse("j.toml", []byte(strings.Replace(minimal, "through = \"3e-13 m2\"\n", "", 1)+
		"[layer.flow_test]\narea = \"100 cm2\"\npressure_drop = \"200 mbar\"\nflow = \"20 l/min\"\n"))
	if err != nil || math.Abs(flow.Layer.ThroughM2/mid.Layer.ThroughM2-1) > 1e-9 {
		t.Errorf("%v, %g, %g", err, flow.Layer.ThroughM2, mid.Layer.ThroughM2)
	}
}

// A coupon as small as the layer is thick loses much of its hold at its rim: 4 x 0.4413 x 18/100 = 32 %.
func TestSmallCouponsOnThickLayers(t *testing.T) {
	j := onLayer(t, "material = \"low-density-board\"\n", strings.Replace(threePulls, "0.8 mm", "18 mm", 1))
	if said := strings.Join(j.Assumed.In(units.Metric), "\n"); strings.Contains(said, "fades") {
		t.Errorf("0.8 mm thick: %s", said)
	}
	thick, err := job.Parse("j.toml", []byte(strings.Replace(minimal, "0.8 mm", "18 mm", 1)+threePulls))
	if err != nil {
		t.Fatal(err)
	}
	if said := strings.Join(thick.Assumed.In(units.Metric), "\n"); !strings.Contains(said, "up to 32 % too low") {
		t.Errorf("%s", said)
	}
}
