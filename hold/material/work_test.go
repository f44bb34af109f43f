package material

import (
	"errors"
	"math"
	"regexp"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// Figures of the published material group table (DIN/ISO 513, VDI 3323; 2017 turning catalogue, p. 558).
func TestSpecificForceAgainstGroupTable(t *testing.T) {
	for _, row := range []struct {
		name     string
		kc11, mc float64
	}{
		{"aluminium-wrought", 800, 0.25},
		{"brass", 700, 0.27},
		{"steel-mild", 1350, 0.21},
		{"steel-stainless", 2150, 0.20},
	} {
		w, ok := WorkNamed(row.name)
		if !ok {
			t.Errorf("%s is missing", row.name)
			continue
		}
		if w.KC11.Value != row.kc11 || w.MC.Value != row.mc {
			t.Errorf("%s: kc1.1 %g, mc %g; the table has %g, %g", row.name, w.KC11.Value, w.MC.Value, row.kc11, row.mc)
		}
	}
}

// Strengths must not exceed the published ones: 5083-H116 minimum 180/305/215 (Aluminum Design Manual, Table 3.3-1M),
// typical 290/205; acrylic minimum 62 and 55 (ASTM D732); polycarbonate 65.5, 62, 41 at yield in shear.
func TestStrengthsAreNotAbovePublishedMinima(t *testing.T) {
	for _, row := range []struct {
		name                  string
		tensile, yield, shear float64
	}{
		{"aluminium-wrought", 290, 205, 180},
		{"pmma", 62, 62, 55},
		{"pc", 65.5, 62, 41},
	} {
		w, _ := WorkNamed(row.name)
		if w.Tensile.Value > row.tensile || w.Yield.Value > row.yield || w.Shear.Value > row.shear {
			t.Errorf("%s is stronger than published: %+v", row.name, w)
		}
	}
}

// The built-in aluminium is meant to lie above every published linear-edge set Ft' = Ktc h + Kte (Chinese J. Mech. Eng.
// (2021), doi 10.1186/s10033-021-00536-9, Table 5) between 0.01 and 0.2 mm of chip.
func TestAluminiumCoversPublishedLinearSets(t *testing.T) {
	w, _ := WorkNamed("aluminium-wrought")
	for _, set := range []struct {
		alloy    string
		ktc, kte float64
	}{
		{"6082-T6", 631, 13}, {"7075-T6", 767.01, 27.7}, {"6061-T6", 243.77, 7.53}, {"7075, high-speed steel tool", 951.365, 11.115},
	} {
		for h := 0.01; h <= 0.2; h += 0.005 {
			ours := w.KC11.Value*math.Pow(h, 1-w.MC.Value) + w.Edge.Value
			if theirs := set.ktc*h + set.kte; ours < theirs {
				t.Errorf("%s at %.3f mm: %.1f N/mm, published %.1f", set.alloy, h, ours, theirs)
			}
		}
	}
}

func TestWorksAreComplete(t *testing.T) {
	honest := regexp.MustCompile(`from memory|common practice, no source|no published factor|\d`)
	last := ""
	for _, w := range Works() {
		if w.Name <= last {
			t.Errorf("%s stands after %s", w.Name, last)
		}
		last = w.Name
		if w.Meaning == "" {
			t.Errorf("%s: no meaning", w.Name)
		}
		for what, f := range map[string]Figure{
			"kc1.1": w.KC11, "mc": w.MC, "edge": w.Edge, "radial": w.Radial, "density": w.Density,
			"shear": w.Shear, "tensile": w.Tensile, "yield": w.Yield, "rake": w.Rake, "drill": w.Drill,
			"permeability through": w.Through, "permeability along": w.Along,
		} {
			if strings.TrimSpace(f.Source) == "" || !honest.MatchString(f.Source) && !strings.Contains(f.Source, "brittle") && !strings.Contains(f.Source, "vendor") {
				t.Errorf("%s: %s has no source that can be looked up or is owned up to: %q", w.Name, what, f.Source)
			}
			if strings.HasPrefix(what, "permeability") {
				continue
			}
			if what != "rake" && what != "drill" && !(f.Value > 0) {
				t.Errorf("%s: %s is %g", w.Name, what, f.Value)
			}
		}
		if w.MC.Value >= 1 || w.Shear.Value > w.Tensile.Value {
			t.Errorf("%s: exponent or strengths make no sense", w.Name)
		}
	}
	if _, ok := WorkNamed("unobtainium"); ok {
		t.Error("a material that is not in the table was found")
	}
}

// Wallis' integral: sin^p over [0, pi] is sqrt(pi) gamma((p+1)/2)/gamma(p/2+1); over [0, a] with p = 1 it is 1 - cos a.
func TestSinePower(t *testing.T) {
	for _, p := range []float64{0.3, 0.5, 0.75, 0.79, 1} {
		want := math.SqrtPi * math.Gamma((p+1)/2) / math.Gamma(p/2+1)
		if got := sinePower(math.Pi, p); math.Abs(got-want) > 1e-5 {
			t.Errorf("p %g over half a turn: %.8f, want %.8f", p, got, want)
		}
	}
	for a := 0.05; a < math.Pi; a += 0.1 {
		if got := sinePower(a, 1); math.Abs(got-(1-math.Cos(a))) > 1e-6 {
			t.Errorf("p 1 to %.2f: %.8f, want %.8f", a, got, 1-math.Cos(a))
		}
	}
}

// Slot in aluminium, D 6, z 2, ap 3, fz 0.05, 18000 1/min: vf 1800 mm/min, so P = kc ap ae vf/60e6 = 0.8949 kW needs
// kc = 1657.2 N/mm2 (milling formula page of a 2018 tool catalogue, p. 551). With the edge force 0 the scaled material
// must have that mean kc, whatever it started from.
func TestScaledToPowerMeetsTheCatalogueRelation(t *testing.T) {
	start, _ := WorkNamed("steel-mild")
	start.Edge.Value, start.MC.Value = 0, 0.25
	got, err := ScaledToPower(start, 6, 3, 6, 0.05, 2, 18000, 894.9)
	if err != nil {
		t.Fatal(err)
	}
	// Mean of kc weighted with the chip: kc1.1 fz^-mc (integral of sin^0.75)/(integral of sin) with Wallis' integral.
	weight := math.SqrtPi * math.Gamma(0.875) / math.Gamma(1.375) / 2
	kc := got.KC11.Value * math.Pow(0.05, -0.25) * weight
	if math.Abs(kc-1657.2) > 0.5 {
		t.Errorf("mean kc %.1f N/mm2, want 1657.2", kc)
	}
	// The same cut by its mean tangential force, 158.25 N.
	byForce, err := ScaledToForce(start, 6, 3, 6, 0.05, 2, 158.25)
	if err != nil {
		t.Fatal(err)
	}
	if math.Abs(byForce.KC11.Value/got.KC11.Value-1) > 1e-3 {
		t.Errorf("by force %.1f, by power %.1f", byForce.KC11.Value, got.KC11.Value)
	}
	if !strings.Contains(got.KC11.Source, "measured power") {
		t.Errorf("the source does not tell of the measurement: %q", got.KC11.Source)
	}
}

func TestScalingIsProportionalAndRefusesNonsense(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w := rapid.SampledFrom(Works()).Draw(t, "work")
		d := rapid.Float64Range(1, 40).Draw(t, "diameter")
		ae := d * rapid.Float64Range(0.01, 1).Draw(t, "width")
		fz := rapid.Float64Range(0.002, 0.5).Draw(t, "feed")
		p := rapid.Float64Range(1, 5000).Draw(t, "power")
		one, err := ScaledToPower(w, d, 2, ae, fz, 2, 9000, p)
		if err != nil {
			t.Fatal(err)
		}
		two, err := ScaledToPower(w, d, 2, ae, fz, 2, 9000, 2*p)
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(two.KC11.Value/one.KC11.Value-2) > 1e-12 || math.Abs(two.Edge.Value/one.Edge.Value-2) > 1e-12 {
			t.Fatalf("twice the power gives %g and %g", one.KC11.Value, two.KC11.Value)
		}
	})
	w, _ := WorkNamed("mdf")
	for name, err := range map[string]error{
		"no speed":    second(ScaledToPower(w, 6, 3, 6, 0.05, 2, 0, 100)),
		"no power":    second(ScaledToPower(w, 6, 3, 6, 0.05, 2, 9000, 0)),
		"NaN":         second(ScaledToPower(w, 6, math.NaN(), 6, 0.05, 2, 9000, 100)),
		"too wide":    second(ScaledToPower(w, 6, 3, 7, 0.05, 2, 9000, 100)),
		"no flutes":   second(ScaledToForce(w, 6, 3, 6, 0.05, 0, 100)),
		"no material": second(ScaledToForce(Work{}, 6, 3, 6, 0.05, 2, 100)),
		"endless":     second(ScaledToForce(w, 6, 3, 6, 0.05, 2, math.Inf(1))),
	} {
		if !errors.Is(err, ErrNoKnownCut) {
			t.Errorf("%s: error %v", name, err)
		}
	}
}

func second(_ Work, err error) error { return err }
