package job_test

import (
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"staydown/hold/job"
	"staydown/parse/units"
)

// Every value that the minimal job leaves out is named.
func TestAssumedNamesEveryDefault(t *testing.T) {
	j, err := job.Parse("j.toml", []byte(minimal))
	if err != nil {
		t.Fatal(err)
	}
	want := []string{
		"ambient pressure 1013.25 mbar (sea level) assumed; write altitude or pressure in [site], hold is " +
			"lower at altitude",
		"the frame of the stock is held by vacuum only, not also anchored (anchored)",
		"thickness and flatness of the stock are within 0.1 mm (tolerance; common practice, no source)",
		"permeability along the layer assumed equal to that through it, 3e-13 m2",
		"the layer: friction 0.3 assumed, metal on board, dry (common practice, no source: aluminium on card or " +
			"board 0.25 to 0.45); measure it",
		"the layer has no adhesive face (tack)",
		"the tool may go 0.4 mm into the layer, half its thickness (cut_limit)",
		"the rim of the layer is open and breathes (edge)",
		"zone A: sealed by the layer on it (seal)",
		"zone A: no grooves given, its whole face breathes (groove)",
		"zone A: its valve is open (open)",
		"lowest absolute pressure of the rotary-vane pump 10 mbar assumed (common practice, no source: 0.1 to 20 mbar)",
		"hose and rim leakage 3.15 m3/h assumed, 5 % of the pump's flow (leak)",
		"no vacuum switch stops the machine (alarm)",
		"rapid rate 10 m/min assumed, for times and rapids through material (rapid)",
		"programs end in .nc .ngc .tap .cnc .gcode .mpf .iso .eia (extensions)",
		"shape flat assumed for tool 1",
		"2 flutes assumed for tool 1",
		"helix 30 deg (up-cut) assumed for tool 1",
		"rake 0 deg assumed for tool 1",
		"flute length unknown for tool 1: cutting with the shank goes unnoticed (reach)",
		"run-out 0.01 mm, at most a hundredth of the diameter, assumed for tool 1 (common practice, no source)",
		"with cutter radius compensation the path of tool 1 is taken as the outline of the part (offset)",
		"margin 1.0 required of the low end of each range (margin)",
		"least useful skin 0.1 mm assumed (least_skin; common practice, no source: boards 0.4 mm, plastics and " +
			"metals 0.1 mm)",
		"least useful pass 0.1 mm assumed (least_pass; common practice, no source: boards 0.4 mm, plastics and " +
			"metals 0.1 mm)",
		"permeability of the layer: 1.2e-13 to 7.5e-13 m2 assumed, likely 3e-13 (common practice, no " +
			"source: sheets that look alike differ by ten)",
		"flow of the pump: 50.4 to 69.3 m3/h assumed, likely 63 (common practice, no source: 10 % " +
			"of tolerance; wear and filters lower it)",
		"leak of hoses and rims: 0.945 to 9.45 m3/h assumed, likely 3.15 (common practice, no " +
			"source: 1.5 to 15 % of the flow of the pump)",
		"run-out of tool 1: 0.003 to 0.03 mm assumed, likely 0.01 (common practice, no source: " +
			"0.003 mm in a shrink chuck to 0.03 mm in a worn collet)",
	}
	if d := cmp.Diff(want, j.Assumed.In(units.Metric)); d != "" {
		t.Errorf("(-want +got)\n%s", d)
	}
}

// Where all is written, and doubtful figures as ranges, nothing is assumed.
func TestNothingAssumedWhenAllIsWritten(t *testing.T) {
	text := strings.NewReplacer(
		"through   = \"3e-13 m2\"", "through = [\"1e-13 m2\", \"3e-13 m2\", \"5e-13 m2\"]",
		"friction  = 0.35", "friction = [0.3, 0.35, 0.4]",
		"\"63 m3/h\"                      #", "[\"60 m3/h\", \"63 m3/h\", \"64 m3/h\"] #",
		"\"2 m3/h\"", "[\"0 m3/h\", \"3 m3/h\"]",
		"rapid = \"20 m/min\"", "rapid = \"20 m/min\"\nextensions = [\".NC\", \".tap\"]",
		"anchored = false", "anchored = false\ntolerance = \"0.2 mm\"",
		"margin = 2.0", "margin = 2.0\nleast_skin = \"0.15 mm\"\nleast_pass = \"0.01 in\"",
		"flutes   = 2", "flutes = 2\nrake = \"5 deg\"\nrunout = [\"0.01 mm\", \"0.01 mm\"]\noffset = "+
			"\"in-path\"\nlength = \"40 "+
			"mm\"\nupcut = \"8 mm\"\nhand = \"left\"",
	).Replace(contractExample)
	j, err := job.Parse("j.toml", []byte(text))
	if err != nil {
		t.Fatal(err)
	}
	if len(j.Assumed) > 0 {
		t.Errorf("assumed: %q", j.Assumed)
	}
	if d := cmp.Diff(job.Machine{RapidMMMin: 20000, Extensions: []string{".nc", ".tap"}}, j.Machine); d != "" {
		t.Errorf("(-want +got)\n%s", d)
	}
	if d := cmp.Diff(job.Limits{Margin: 2, LeastSkinMM: 0.15, LeastPassMM: 0.254}, j.Limits); d != "" ||
		j.Stock.ToleranceMM != 0.2 {
		t.Errorf("tolerance %g mm, limits (-want +got)\n%s", j.Stock.ToleranceMM, d)
	}
	if tool := j.Tools[1]; !tool.InPath || tool.RunoutMM != 0.01 || tool.LengthMM != 40 || tool.UpcutMM != 8 ||
		tool.Hand != job.LeftHand {
		t.Errorf("%+v", tool)
	}
}

// The figures of blowers belong to sea level; that they are brought to another altitude is said, and one that is fit
// for sea level is not refused at 2000 m, where the air presses with 795 mbar.
func TestBlowerAtAltitude(t *testing.T) {
	text := strings.Replace("[site]\naltitude = \"2000 m\"\n"+minimal, "kind = \"rotary-vane\"",
		"kind = \"side-channel\"\nultimate = \"800 mbar\"", 1)
	j, err := job.Parse("j.toml", []byte(text))
	if err != nil {
		t.Fatal(err)
	}
	if j.Pump.UltimatePa != 80000 {
		t.Errorf("lowest pressure %g Pa", j.Pump.UltimatePa)
	}
	if !strings.Contains(strings.Join(j.Assumed.In(units.Metric), "\n"),
		"side-channel pump taken as those at sea level") {
		t.Errorf("%q", j.Assumed)
	}
	if _, err := job.Parse("j.toml", []byte(strings.Replace(text, "side-channel", "dry-claw", 1))); err == nil {
		t.Error("a displacement pump with 800 mbar is taken at 795 mbar ambient")
	}
}

func TestMeasuredCurve(t *testing.T) {
	text := strings.Replace(minimal, "flow = \"63 m3/h\"",
		"curve = [[\"900 mbar\", \"60 m3/h\"], [\"300 mbar\", \"40 m3/h\"], [\"100 mbar\", \"5 m3/h\"]]", 1)
	j, err := job.Parse("j.toml", []byte(text))
	if err != nil {
		t.Fatal(err)
	}
	want := job.Pump{
		FlowM3h: 60, UltimatePa: 10000, LeakM3h: 3, LeakAssumed: true,
		Curve: []job.PumpPoint{{AbsolutePa: 90000, FlowM3h: 60}, {AbsolutePa: 30000, FlowM3h: 40},
			{AbsolutePa: 10000, FlowM3h: 5}},
	}
	if d := cmp.Diff(want, j.Pump); d != "" {
		t.Errorf("(-want +got)\n%s", d)
	}
	said := strings.Join(j.Assumed.In(units.Metric), "\n")
	for _, s := range []string{"above 900 mbar, where its curve begins", "no pressure below the last point of its " +
		"curve, 100 mbar"} {
		if !strings.Contains(said, s) {
			t.Errorf("not assumed: %s", s)
		}
	}
}

// Boards need thicker skins and passes than metals and plastics (common practice, no source).
func TestLeastSkinAndPassFollowTheMaterial(t *testing.T) {
	for material, want := range map[string]float64{"mdf": 0.4, "plywood": 0.4, "particleboard": 0.4, "pmma": 0.1,
		"aluminium-cast": 0.1, "shop-board": 0.4} {
		text := strings.Replace(minimal, "aluminium-wrought", material, 1) + "[material.shop-board]\nbased_on = " +
			"\"mdf\"\n"
		j, err := job.Parse("j.toml", []byte(text))
		if err != nil {
			t.Fatal(err)
		}
		if j.Limits.LeastSkinMM != want || j.Limits.LeastPassMM != want {
			t.Errorf("%s: least skin %g mm, least pass %g mm, want %g mm", material, j.Limits.LeastSkinMM,
				j.Limits.LeastPassMM, want)
		}
	}
	_, err := job.Parse("j.toml", []byte(strings.Replace(minimal, "[stock]", "[stock]\ntolerance = 0.1", 1)))
	if err == nil || !strings.Contains(err.Error(), `tolerance: 0.1 has no unit; write "0.1 mm"`) {
		t.Errorf("a tolerance without unit: %v", err)
	}
}

// What is assumed in place of a figure that moves margins is told apart from the rest.
func TestDecisiveAssumptions(t *testing.T) {
	j, err := job.Parse("j.toml", []byte(minimal))
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for i := range j.Assumed {
		if what := j.Decisive[i]; what != "" {
			got = append(got, what)
		}
	}
	want := []string{"ambient pressure", "thickness of the stock", "permeability along the layer", "friction",
		"lowest pressure of the pump", "hose and rim leakage", "shape of the tool", "flutes", "helix", "rake",
		"run-out"}
	if d := cmp.Diff(want, got); d != "" {
		t.Errorf("(-want +got)\n%s", d)
	}
}
