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
		{"brass", 700, 0.27},
		{"steel-mild", 1350, 0.21},
		{"steel-stainless", 2150, 0.20},
	} {
		w, ok := WorkNamed(row.name)
		if !ok {
			t.Errorf("%s is missing", row.name)
			continue
		}
		if w.KC11.Likely != row.kc11 || w.MC.Likely != row.mc {
			t.Errorf("%s: kc1.1 %g, mc %g; the table has %g, %g", row.name, w.KC11.Likely, w.MC.Likely, row.kc11,
				row.mc)
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
		if w.Tensile.Likely > row.tensile || w.Yield.Likely > row.yield || w.Shear.Likely > row.shear {
			t.Errorf("%s is stronger than published: %+v", row.name, w)
		}
	}
}

// Where no published figure was found the range covers all that is remembered, at both ends of the chips it is
// remembered for: the least at the thinner, where the law gives most, and the most at the thicker.
func TestRangesFromMemoryCoverWhatIsRemembered(t *testing.T) {
	for _, row := range []struct {
		name            string
		least, most     float64 // N/mm2
		thinMM, thickMM float64
	}{
		{"mdf", 20, 60, 0.1, 0.3}, {"hardwood", 20, 80, 0.1, 0.3}, {"plywood", 15, 60, 0.1, 0.3},
		{"pmma", 50, 200, 1, 1}, {"pc", 50, 200, 1, 1},
	} {
		w, _ := WorkNamed(row.name)
		low := w.KC11.Low * math.Pow(row.thinMM, -w.MC.Likely)
		high := w.KC11.High * math.Pow(row.thickMM, -w.MC.Likely)
		if low > row.least || high < row.most {
			t.Errorf("%s: %.1f to %.1f N/mm2, remembered %g to %g", row.name, low, high, row.least, row.most)
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
		for what, f := range map[string]Range{
			"kc1.1": w.KC11, "mc": w.MC, "edge": w.Edge, "radial": w.Radial, "edge radial": w.EdgeRadial,
			"lift":      w.Lift,
			"edge lift": w.EdgeLift, "density": w.Density, "shear": w.Shear, "tensile": w.Tensile, "yield": w.Yield,
			"rake": w.Rake, "drill": w.Drill, "permeability through": w.Through, "permeability along": w.Along,
		} {
			if !(f.Low <= f.Likely && f.Likely <= f.High) {
				t.Errorf("%s: %s is %g, %g, %g", w.Name, what, f.Low, f.Likely, f.High)
			}
			if strings.TrimSpace(f.Source) == "" || !honest.MatchString(f.Source) && !strings.Contains(f.Source,
				"brittle") && !strings.Contains(f.Source, "vendor") {
				t.Errorf("%s: %s has no source that can be looked up or is owned up to: %q", w.Name, what, f.Source)
			}
			if what != "rake" && what != "drill" && what != "mc" && !strings.HasPrefix(what, "permeability") &&
				!(f.Low > 0) {
				t.Errorf("%s: %s is %g", w.Name, what, f.Likely)
			}
		}
		if w.MC.Likely >= 1 || w.Shear.Likely > w.Tensile.Likely {
			t.Errorf("%s: exponent or strengths make no sense", w.Name)
		}
	}
	if _, ok := WorkNamed("unobtainium"); ok {
		t.Error("a material that is not in the table was found")
	}
}

// Wallis' integral: sin^p over [0, pi] is sqrt(pi) gamma((p+1)/2)/gamma(p/2+1); over [0, a] with p = 1 it is 1 - cos a.
// With an edge force that is added E a.
func TestForceOverAnArc(t *testing.T) {
	for _, mc := range []float64{0, 0.21, 0.25, 0.5, 0.7} {
		p := 1 - mc
		w := Work{KC11: Exact(1, ""), MC: Exact(mc, "")}
		want := math.SqrtPi * math.Gamma((p+1)/2) / math.Gamma(p/2+1)
		if got := overArc(w.Law(1), 1, math.Pi); math.Abs(got-want) > 1e-5 {
			t.Errorf("mc %g over half a turn: %.8f, want %.8f", mc, got, want)
		}
	}
	linear := Work{KC11: Exact(600, ""), Edge: Exact(12, "")}
	for a := 0.05; a < math.Pi; a += 0.1 {
		want := 600*0.05*(1-math.Cos(a)) + 12*a
		if got := overArc(linear.Law(1), 0.05, a); math.Abs(got-want) > 1e-5*want {
			t.Errorf("linear law to %.2f: %.8f, want %.8f", a, got, want)
		}
	}
}

// Slot in aluminium, D 6, z 2, ap 3, fz 0.05, 18000 1/min: vf 1800 mm/min, so P = kc ap ae vf/60e6 = 0.8949 kW needs
// kc = 1657.2 N/mm2 (milling formula page of a 2018 tool catalogue, p. 551). With the edge force 0 the scaled material
// must have that mean kc, whatever it started from.
func TestScaledToPowerMeetsTheCatalogueRelation(t *testing.T) {
	start, _ := WorkNamed("steel-mild")
	start.Edge, start.MC = Range{}, Exact(0.25, "")
	got, err := ScaledToPower(start, KnownCut{6, 3, 6, 0.05, 2, 18000}, 894.9)
	if err != nil {
		t.Fatal(err)
	}
	// Mean of kc weighted with the chip: kc1.1 fz^-mc (integral of sin^0.75)/(integral of sin) with Wallis' integral.
	weight := math.SqrtPi * math.Gamma(0.875) / math.Gamma(1.375) / 2
	kc := got.KC11.Likely * math.Pow(0.05, -0.25) * weight
	if math.Abs(kc-1657.2) > 0.5 {
		t.Errorf("mean kc %.1f N/mm2, want 1657.2", kc)
	}
	// The same cut by its mean tangential force, 158.25 N.
	byForce, err := ScaledToForce(start, KnownCut{6, 3, 6, 0.05, 2, 0}, 158.25)
	if err != nil {
		t.Fatal(err)
	}
	if math.Abs(byForce.KC11.Likely/got.KC11.Likely-1) > 1e-3 {
		t.Errorf("by force %.1f, by power %.1f", byForce.KC11.Likely, got.KC11.Likely)
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
		one, err := ScaledToPower(w, KnownCut{d, 2, ae, fz, 2, 9000}, p)
		if err != nil {
			t.Fatal(err)
		}
		two, err := ScaledToPower(w, KnownCut{d, 2, ae, fz, 2, 9000}, 2*p)
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(two.KC11.Likely/one.KC11.Likely-2) > 1e-12 || math.Abs(two.Edge.Likely/one.Edge.Likely-2) > 1e-12 {
			t.Fatalf("twice the power gives %g and %g", one.KC11.Likely, two.KC11.Likely)
		}
	})
	w, _ := WorkNamed("mdf")
	for name, err := range map[string]error{
		"no speed":    second(ScaledToPower(w, KnownCut{6, 3, 6, 0.05, 2, 0}, 100)),
		"no power":    second(ScaledToPower(w, KnownCut{6, 3, 6, 0.05, 2, 9000}, 0)),
		"NaN":         second(ScaledToPower(w, KnownCut{6, math.NaN(), 6, 0.05, 2, 9000}, 100)),
		"too wide":    second(ScaledToPower(w, KnownCut{6, 3, 7, 0.05, 2, 9000}, 100)),
		"no flutes":   second(ScaledToForce(w, KnownCut{6, 3, 6, 0.05, 0, 0}, 100)),
		"no material": second(ScaledToForce(Work{}, KnownCut{6, 3, 6, 0.05, 2, 0}, 100)),
		"endless":     second(ScaledToForce(w, KnownCut{6, 3, 6, 0.05, 2, 0}, math.Inf(1))),
	} {
		if !errors.Is(err, ErrNoKnownCut) {
			t.Errorf("%s: error %v", name, err)
		}
	}
}

func second(_ Work, err error) error { return err }
