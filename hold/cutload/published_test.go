package cutload

import (
	"math"
	"testing"

	"staydown/hold/job"
	"staydown/hold/material"
	"staydown/parse"
	"staydown/sweep"
)

func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s: %.6g, want %.6g within %.2g", what, got, want, tolerance)
	}
}

// bare is a material with nothing but a specific cutting force. An edge force that is given to it has a radial one of
// the same size, and 0.2 tan(helix) of it up.
func bare(kc11, mc float64) material.Work {
	return material.Work{
		KC11: material.Exact(kc11, ""), MC: material.Exact(mc, ""),
		EdgeRadial: material.Exact(1, ""), EdgeLift: material.Exact(0.2, ""),
	}
}

func endMill(d float64, z int) job.Tool {
	return job.Tool{Tool: sweep.Tool{Number: 1, Shape: sweep.Flat, DiameterMM: d}, Flutes: z}
}

// side is a cut of width ae on the left of a clockwise tool: up-milling, chips from zero to their largest.
func side(d, ae, ap, feed, rpm float64) Cut {
	return Cut{
		RightRad: math.Pi/2 - math.Acos(1-2*ae/d), LeftRad: math.Pi / 2,
		DepthMM: ap, WidthMM: ae, FeedMMMin: feed, RPM: rpm, Spindle: parse.SpindleClockwise,
	}
}

// kc = kc1.1 h^-mc with figures of the material group table (DIN/ISO 513; 2017 turning catalogue, p. 558), computed by
// hand from the stated law.
func TestSpecificForce(t *testing.T) {
	thickness := []float64{0.02, 0.05, 0.1, 0.3, 1}
	for _, row := range []struct {
		name     string
		kc11, mc float64
		want     []float64
	}{
		{"aluminium, not cured", 700, 0.25, []float64{1861.4, 1480.3, 1244.8, 945.8, 700}},
		{"steel below 0.25 % C", 1350, 0.21, []float64{3069.9, 2532.5, 2189.4, 1738.4, 1350}},
		{"austenitic stainless", 2150, 0.20, []float64{4701.5, 3914.2, 3407.5, 2735.4, 2150}},
		{"brass", 700, 0.27, []float64{2012.9, 1571.7, 1303.5, 968.9, 700}},
	} {
		for i, h := range thickness {
			near(t, row.name, specific(bare(row.kc11, row.mc), h), row.want[i], 0.1)
		}
	}
	// Beyond the stated range, 1 mm, kc stays: the larger value.
	near(t, "2 mm chip", specific(bare(700, 0.25), 2), 700, 1e-9)
	// 1 % per degree of rake (from memory): 10 degrees take a tenth off, -5 degrees add a twentieth.
	tool := endMill(6, 2)
	tool.RakeRad = 10 * math.Pi / 180
	near(t, "rake 10", rakeFactor(bare(700, 0.25), tool), 0.90, 1e-9)
	tool.RakeRad = -5 * math.Pi / 180
	near(t, "rake -5", rakeFactor(bare(700, 0.25), tool), 1.05, 1e-9)
}

// Arc, mean and largest chip of peripheral milling: hm = fz (1 - cos phi)/phi, hmax = fz sin phi up to half the
// diameter (milling formula page of a 2018 tool catalogue, p. 551).
func TestChipGeometry(t *testing.T) {
	for _, row := range []struct{ d, ae, fz, phi, mean, most float64 }{
		{6, 6, 0.05, 180, 0.03183, 0.05},
		{6, 3, 0.05, 90, 0.03183, 0.05},
		{6, 1, 0.05, 48.190, 0.01982, 0.03727},
		{12, 1.2, 0.1, 36.870, 0.03108, 0.0600},
	} {
		load, err := Cutting(bare(700, 0.25), endMill(row.d, 2), side(row.d, row.ae, 1, 2*row.fz*10000, 10000))
		if err != nil {
			t.Fatal(err)
		}
		near(t, "arc", (load.LeftRad-load.RightRad)*180/math.Pi, row.phi, 1e-3)
		near(t, "mean chip", load.ChipMeanMM, row.mean, 1e-5)
		near(t, "largest chip", load.ChipMaxMM, row.most, 1e-5)
	}
}

// P = kc ap ae vf/60e6 kW with kc at the mean chip, mean tangential force 60000 P/vc, torque 9549.3 P/n (milling
// formula page of a 2018 tool catalogue, p. 551) with the kc law of the material group table. Taking kc at the mean
// chip instead of averaging over the arc overstates the mean by up to 5 %; with mc = 0 there is no difference. The
// largest tangential force of a tooth is kc(hmax) hmax ap, exactly.
func TestMillingCases(t *testing.T) {
	for _, c := range []struct {
		name                            string
		kc11, mc                        float64
		d                               float64
		z                               int
		ae, ap, fz, rpm                 float64
		power, torque, mean, teeth, top float64 // kW, N m, N, -, N
	}{
		{"aluminium slot", 700, 0.25, 6, 2, 6, 3, 0.05, 18000, 0.8949, 0.4748, 158.25, 1.000, 222.05},
		{"aluminium side", 700, 0.25, 6, 2, 1, 10, 0.05, 18000, 0.5597, 0.2969, 98.98, 0.2677, 593.74},
		{"steel slot", 1350, 0.21, 10, 4, 10, 2, 0.04, 3000, 0.4669, 1.4861, 297.23, 2.000, 212.32},
		{"austenitic side", 2150, 0.20, 10, 4, 1, 5, 0.05, 2500, 0.2060, 0.7870, 157.40, 0.4097, 650.29},
	} {
		t.Run(c.name, func(t *testing.T) {
			cut := side(c.d, c.ae, c.ap, c.fz*float64(c.z)*c.rpm, c.rpm)
			load, err := Cutting(bare(c.kc11, c.mc), endMill(c.d, c.z), cut)
			if err != nil {
				t.Fatal(err)
			}
			for _, q := range []struct {
				name      string
				got, want float64
			}{
				{"power", load.PowerW / 1000, c.power},
				{"torque", math.Abs(load.MeanTorqueNmm) / 1000, c.torque},
				{"mean tangential force", math.Abs(load.MeanTorqueNmm) / (c.d / 2), c.mean},
			} {
				if q.got > q.want*1.0005 || q.got < q.want*0.95 {
					t.Errorf("%s %.5g, catalogue %.5g", q.name, q.got, q.want)
				}
			}
			near(t, "teeth in cut", load.TeethInCut, c.teeth, 1e-4)
			// Straight flutes and no radial force: the peak of one tooth. In the steel slot two or three teeth cut at
			// once, so the torque of a single one is asked for instead.
			single := endMill(c.d, c.z)
			single.Flutes = 1
			cut.FeedMMMin /= float64(c.z)
			one, err := Cutting(bare(c.kc11, c.mc), single, cut)
			if err != nil {
				t.Fatal(err)
			}
			near(t, "peak", one.Peak, c.top, 0.01)
			near(t, "peak by torque", math.Abs(one.TorqueNmm)/(c.d/2), c.top, 0.01)
		})
	}
}

// With mc = 0 the catalogue relation is exact: particleboard, D 12, z 2, ap 18, fz 0.3, 18000 1/min, mean specific
// force 32.0 and 37.6 N/mm2 (Materials 14 (2021) 2208): 1.244 and 1.462 kW, 110.0 and 129.3 N.
func TestParticleboardCase(t *testing.T) {
	for _, row := range []struct{ kc, power, mean float64 }{{32.0, 1.244, 110.0}, {37.6, 1.462, 129.3}} {
		load, err := Cutting(bare(row.kc, 0), endMill(12, 2), side(12, 12, 18, 10800, 18000))
		if err != nil {
			t.Fatal(err)
		}
		near(t, "power", load.PowerW/1000, row.power, 0.0006)
		near(t, "mean tangential force", math.Abs(load.MeanTorqueNmm)/6, row.mean, 0.06)
	}
}

// Wallis' integral gives the mean over a slot without any approximation: the mean tangential force of a tooth is
// kc1.1 fz^(1-mc) ap times gamma((p+1)/2)/(sqrt(pi) gamma(p/2+1)), p = 1 - mc; half immersion has the same mean.
func TestMeanAgainstWallis(t *testing.T) {
	p := 0.75
	want := 222.05 * math.Gamma((p+1)/2) / (math.SqrtPi * math.Gamma(p/2+1))
	slot, err := Cutting(bare(700, 0.25), endMill(6, 2), side(6, 6, 3, 1800, 18000))
	if err != nil {
		t.Fatal(err)
	}
	near(t, "slot", math.Abs(slot.MeanTorqueNmm)/3, want, 0.02)
	half, err := Cutting(bare(700, 0.25), endMill(6, 2), side(6, 3, 3, 1800, 18000))
	if err != nil {
		t.Fatal(err)
	}
	near(t, "half immersion", math.Abs(half.MeanTorqueNmm)/3, want/2, 0.02)
}

// Drilling formula page L068 of a 2020-2021 tool catalogue: thrust 570 K D f^0.85 N, torque K D^2 (0.630 + 16.84 f)/100
// N m.
func TestDrillingLaw(t *testing.T) {
	for _, row := range []struct{ k, d, f, thrust, torque float64 }{
		{1.01, 6, 0.1, 487.9, 0.841}, {1.01, 10, 0.3, 2068.9, 5.739}, {1.01, 3, 0.05, 135.3, 0.134},
		{2.22, 6, 0.1, 1072.5, 1.849}, {2.22, 10, 0.3, 4547.6, 12.614}, {2.22, 3, 0.05, 297.5, 0.294},
	} {
		work := bare(700, 0.25)
		work.Drill.Likely = row.k
		drill := job.Tool{Tool: sweep.Tool{Shape: sweep.Drill, DiameterMM: row.d, AngleRad: 2.06}, Flutes: 2}
		load, err := Cutting(work, drill, plunge(3, row.f*3000, 3000))
		if err != nil {
			t.Fatal(err)
		}
		near(t, "thrust", load.DownN, row.thrust, 0.06)
		near(t, "torque", load.TorqueNmm/1000, -row.torque, 0.0006)
	}
}

// Force of the lips alone, without the chisel edge, 0.5 kc (D/2) f sin(kappa) (from memory: tool handbooks): it is what
// Rotor counts as pressing the work down.
func TestDrillPressesByItsLipsOnly(t *testing.T) {
	for _, row := range []struct{ kc11, mc, d, f, want float64 }{
		{700, 0.25, 6, 0.1, 197.8}, {700, 0.25, 10, 0.3, 751.5}, {1350, 0.21, 6, 0.1, 336.3},
		{1350, 0.21, 10, 0.3, 1335.2},
	} {
		work := bare(row.kc11, row.mc)
		work.Drill.Likely = 2.22
		drill := job.Tool{Tool: sweep.Tool{Shape: sweep.Drill, DiameterMM: row.d, AngleRad: 2.06}}
		load, err := Cutting(work, drill, plunge(3, row.f*3000, 3000))
		if err != nil {
			t.Fatal(err)
		}
		near(t, "pressing", -load.UpN, row.want, 0.06)
		if load.DownN < 2*row.want {
			t.Errorf("thrust %.0f N is no upper estimate to %.0f", load.DownN, row.want)
		}
	}
}

func plunge(depth, feed, rpm float64) Cut {
	return Cut{
		RightRad: -math.Pi, LeftRad: math.Pi, DepthMM: depth, FeedMMMin: feed, RPM: rpm, RampRad: math.Pi / 2,
		Plunge: true, Spindle: parse.SpindleClockwise,
	}
}

// What goes in as a measurement comes out again: a material scaled to 900 W in a known slot takes 900 W in that slot.
func TestScaledMaterialGivesTheMeasuredPower(t *testing.T) {
	for _, name := range []string{"mdf", "aluminium-wrought", "laminate-glass"} {
		work, _ := material.WorkNamed(name)
		for _, ae := range []float64{0.5, 3, 6} {
			scaled, err := material.ScaledToPower(work, material.KnownCut{DiameterMM: 6, DepthMM: 3, WidthMM: ae,
				FeedPerToothMM: 0.05, Flutes: 2, RPM: 18000}, 900)
			if err != nil {
				t.Fatal(err)
			}
			tool := endMill(6, 2)
			tool.HelixRad = math.Pi / 6
			load, err := Cutting(scaled, tool, side(6, ae, 3, 1800, 18000))
			if err != nil {
				t.Fatal(err)
			}
			near(t, name, load.PowerW, 900, 0.5)
		}
	}
}
