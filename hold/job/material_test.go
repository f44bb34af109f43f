package job_test

import (
	"math"
	"strings"
	"testing"

	"staydown/hold/job"
	"staydown/hold/material"
	"staydown/parse/units"
)

func TestOwnMaterial(t *testing.T) {
	j := read(t, "material = \"aluminium-wrought\"\n", `material = "brass-like"
[material.brass-like]
specific_force = "700 MPa"
exponent = 0.27
edge_force = "11 N/mm"
radial_ratio = 0.4
density = "8.5 g/cm3"
shear = "200 MPa"
tensile = "40000 psi"
yield = "0.1 MPa"
`)
	w := j.Stock.Material
	for _, c := range []struct {
		name      string
		got, want float64
	}{
		{"KC11", w.KC11.Likely, 700}, {"MC", w.MC.Likely, 0.27}, {"edge", w.Edge.Likely, 11},
		{"radial", w.Radial.Likely, 0.4},
		{"density", w.Density.Likely, 8500}, {"shear", w.Shear.Likely, 200}, {"tensile", w.Tensile.Likely, 275.790},
		{"yield", w.Yield.Likely, 0.1},
	} {
		if math.Abs(c.got-c.want) > 1e-5*c.want {
			t.Errorf("%s %g, want %g", c.name, c.got, c.want)
		}
	}
	if w.Name != "brass-like" || !strings.HasPrefix(w.KC11.Source, "job file; spread of its kind: ") {
		t.Errorf("%q, %q", w.Name, w.KC11.Source)
	}
}

func TestOwnMaterialOnABase(t *testing.T) {
	j := read(t, "material = \"aluminium-wrought\"\n", `material = "b"
[material.b]
based_on = "a"
tensile = "300 MPa"
[material.a]
based_on = "aluminium-wrought"
specific_force = "400 MPa"
`)
	base, _ := material.WorkNamed("aluminium-wrought")
	w := j.Stock.Material
	if w.KC11.Likely != 400 || w.Tensile.Likely != 300 || w.MC != base.MC || w.Shear != base.Shear {
		t.Errorf("%+v", w)
	}
	// The drilling factor is of the base's hardness and follows the specific force.
	if want := base.Drill.Likely * 400 / base.KC11.Likely; math.Abs(w.Drill.Likely-want) > 1e-12 {
		t.Errorf("drill factor %g, want %g", w.Drill.Likely, want)
	}
}

func TestOwnMaterialOfThreeFigures(t *testing.T) {
	j := read(t, "material = \"aluminium-wrought\"\n", `material = "foam"
[material.foam]
specific_force = "10 MPa"
exponent = 0.3
density = "80 kg/m3"
`)
	w := j.Stock.Material
	if math.Abs(w.Edge.Likely-0.25) > 1e-12 || w.Lift.Likely != 0.6 || w.EdgeRadial.Likely != 1 ||
		w.EdgeLift.Likely != 0.2 || w.Radial.Likely != 0.5 || w.Shear.Likely != 0 || w.Tensile.Likely != 0 ||
		w.Yield.Likely != 0 {
		t.Errorf("%+v", w)
	}
	said := strings.Join(j.Assumed.In(units.Metric), "\n")
	for _, s := range []string{"edge force 0.25 N/mm", "vertical force of a helix 0.6 times tan(helix)",
		"brittle assumed, so of hold and joins the stronger alone counts (failure)",
		"radial ratio 0.5", "shear 0 MPa, webs carry nothing assumed", "tensile 0 MPa, webs carry nothing assumed",
		"yield 0 MPa, webs carry nothing assumed"} {
		if !strings.Contains(said, "material foam: "+s) {
			t.Errorf("not assumed: %s in\n%s", s, said)
		}
	}
}

// How joins fail and how much a helix lifts come from the job, else from the base; without either joins are brittle.
func TestFailureAndLiftOfOwnMaterials(t *testing.T) {
	const figures = "specific_force = \"110 MPa\"\nexponent = 0.3\ndensity = \"1200 kg/m3\"\n"
	for _, c := range []struct {
		text    string
		ductile bool
		lift    [2]float64 // of chip and edge
	}{
		{figures, false, [2]float64{0.6, 0.2}},
		{figures + "failure = \"ductile\"\n", true, [2]float64{0.6, 0.2}},
		{figures + "failure = \"brittle\"\nlift_ratio = 0.9\n", false, [2]float64{0.9, 0.9}},
		{figures + "lift_ratio = 0\n", false, [2]float64{}},
		{"based_on = \"pc\"\n", true, [2]float64{0.6, 0.2}},
		{"based_on = \"pc\"\nfailure = \"brittle\"\nlift_ratio = 0.4\n", false, [2]float64{0.4, 0.4}},
		{"based_on = \"pmma\"\nfailure = \"ductile\"\n", true, [2]float64{0.6, 0.2}},
	} {
		j := read(t, "material = \"aluminium-wrought\"\n", "material = \"m\"\n[material.m]\n"+c.text)
		w := j.Stock.Material
		if w.Ductile != c.ductile || w.Lift.Likely != c.lift[0] || w.EdgeLift.Likely != c.lift[1] {
			t.Errorf("%s: ductile %t, lift %g, of the edge %g", c.text, w.Ductile, w.Lift.Likely, w.EdgeLift.Likely)
		}
		said := strings.Join(j.Assumed.In(units.Metric), "\n")
		if strings.Contains(said, "(failure)") == strings.Contains(c.text, "failure") &&
			strings.Contains(c.text, "density") {
			t.Errorf("%s: assumed %s", c.text, said)
		}
		if strings.Contains(said, "(lift_ratio)") && strings.Contains(c.text, "lift_ratio") {
			t.Errorf("%s: assumed %s", c.text, said)
		}
	}
}

// The scaled material needs the measured power in the measured cut. Power of a slot by the published relation P = kc ap
// ae vf/60e6 kW with kc at the mean chip (milling formula page of a 2018 tool catalogue): 0.8949 kW for KC11 700, MC
// 0.25, diameter 6, depth 3, 0.05 mm a tooth, 2 flutes, 18000 rpm. The mean chip overstates the power of a slot by the
// ratio of pi (2/pi)^0.75 to the integral of sin^0.75 over half a turn, 1.0307 (closed form: sqrt(pi)
// Gamma(7/8)/Gamma(11/8)).
func TestMeasuredPower(t *testing.T) {
	j := read(t, "material = \"aluminium-wrought\"\n", `material = "m"
[material.m]
specific_force = "350 MPa"
exponent = 0.25
edge_force = "0 N/mm"
density = "2700 kg/m3"
measured_power = "0.8949 kW"
cut = { diameter = "6 mm", depth = "3 mm", width = "6 mm", feed_per_tooth = "0.05 mm", flutes = 2, speed = "18000 rpm" }
`)
	integral := math.Sqrt(math.Pi) * math.Gamma(7.0/8) / math.Gamma(11.0/8)
	want := 700 * math.Pi * math.Pow(2/math.Pi, 0.75) / integral
	if got := j.Stock.Material.KC11.Likely; math.Abs(got-want) > 1e-3*want {
		t.Errorf("KC11 %g, want %g", got, want)
	}
	if !strings.Contains(strings.Join(j.Assumed.In(units.Metric), "\n"), "cutting forces scaled by") {
		t.Errorf("%q", j.Assumed)
	}
}

func TestMaterialMessages(t *testing.T) {
	const head = "[material.m]\nbased_on = \"aluminium-wrought\"\n"
	const cut = "cut = { diameter = \"6 mm\", depth = \"3 mm\", width = \"6 mm\", feed_per_tooth = \"0.05 mm\", " +
		"flutes = 2, speed = \"18000 rpm\" }\n"
	for _, c := range []struct{ name, text, want string }{
		{"nothing given", "[material.m]\n", `j.toml:17:2: material.m: specific_force is missing; write specific_force = "700 MPa"
j.toml:17:2: material.m: exponent is missing; write exponent = 0.25
j.toml:17:2: material.m: density is missing; write density = "2700 kg/m3"`},
		{"unknown base", "[material.m]\nbased_on = \"unobtainium\"\n",
			`j.toml:18:12: based_on: no material is called "unobtainium"; write one of m, ` + strings.Join(builtNames(),
				", ")},
		{"on itself", "[material.m]\nbased_on = \"m\"\n",
			`j.toml:18:12: based_on: "m" is based on itself; base it on another material`},
		{"in a ring", "[material.m]\nbased_on = \"n\"\n[material.n]\nbased_on = \"m\"\n",
			`j.toml:20:12: based_on: "n" and "m" are based on each other; base one of them on a built-in material`},
		{"unknown key", head + "densty = \"1 g/cm3\"\n",
			`j.toml:19:1: densty: unknown key of material.m; the nearest known one is density`},
		{"word near to a known one", head + "failure = \"ductil\"\n",
			`j.toml:19:11: failure: "ductil" is not known here; write "ductile"`},
		{"lift beyond that of a bare rake face", head + "lift_ratio = 1.2\n",
			`j.toml:19:14: lift_ratio: 1.2 is out of range; write a number at least 0 and at most 1`},
		{"key near to a known one", head + "lift_ratios = 1\n",
			`j.toml:19:1: lift_ratios: unknown key of material.m; the nearest known one is lift_ratio`},
		{"value for a table", "[material]\nm = 3\n",
			`j.toml:18:1: m: is used where a table name is required; write [material.NAME] and the values below it`},
		{"power without cut", head + "measured_power = \"0.4 kW\"\n",
			`j.toml:17:2: material.m: cut is missing; write cut = { diameter = "6 mm", depth = "3 mm", ` +
				`width = "6 mm", feed_per_tooth = "0.05 mm", flutes = 2, speed = "18000 rpm" }`},
		{"cut without power", head + cut,
			`j.toml:19:1: cut: nothing was measured in it; write measured_power or measured_force as well`},
		{"power and force", head + cut + "measured_power = \"0.4 kW\"\nmeasured_force = \"100 N\"\n",
			`j.toml:21:18: measured_force: power and force are both given; write only one of them`},
		{"cut wider than the tool", head + strings.Replace(cut, `width = "6 mm"`, `width = "7 mm"`, 1) +
			"measured_force = \"100 N\"\n",
			`j.toml:19:52: width: is more than the diameter; write the width of cut, at most the diameter`},
		{"power of another machine", head + cut + "measured_power = \"400 kW\"\n", ``},
	} {
		_, err := job.Parse("j.toml", []byte(minimal+c.text))
		if c.want == "" {
			if err == nil || !strings.Contains(err.Error(), "times what the material's figures give in that cut") {
				t.Errorf("%s: %v", c.name, err)
			}
			continue
		}
		if err == nil || err.Error() != c.want {
			t.Errorf("%s\ngot  %v\nwant %s", c.name, err, c.want)
		}
	}
}

func builtNames() []string {
	var names []string
	for _, w := range material.Works() {
		names = append(names, w.Name)
	}
	return names
}
