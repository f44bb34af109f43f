package job_test

import (
	"math"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"staydown/hold/doubt"
	"staydown/hold/job"
)

// doubtOf finds a doubtful figure by its name.
func doubtOf(t *testing.T, j *job.Job, name string) job.Doubt {
	t.Helper()
	for _, d := range j.Doubts {
		if d.Name == name {
			return d
		}
	}
	t.Fatalf("%q is not doubtful in %v", name, doubtNames(j))
	return job.Doubt{}
}

func doubtNames(j *job.Job) []string {
	var names []string
	for _, d := range j.Doubts {
		names = append(names, d.Name)
	}
	return names
}

const gasketed = `[stock]
corner = ["0 mm", "0 mm", "-18 mm"]
size = ["600 mm", "400 mm", "18 mm"]
material = "mdf"
[[zone]]
name = "A"
area = [["0 mm","0 mm"],["200 mm","400 mm"]]
[[zone]]
name = "B"
area = [["200 mm","0 mm"],["400 mm","400 mm"]]
[[zone]]
name = "C"
area = [["400 mm","0 mm"],["600 mm","400 mm"]]
rests_on = "rubber"
friction = 0.6
friction_wet = 0.2
[pump]
kind = "dry-claw"
curve = [["1013 mbar", "60 m3/h"], ["150 mbar", "0 m3/h"]]
leak = ["2 m3/h", "2 m3/h"]
[[clamp]]
corner = ["0 mm", "0 mm"]
size = ["20 mm", "20 mm"]
height = "20 mm"
force = "400 N"
[[tool]]
number = 3
diameter = "6 mm"
`

// One cause, one input: what is exact is none.
func TestDoubtfulFiguresOfAJob(t *testing.T) {
	for _, row := range []struct {
		name, text string
		want       []string
	}{
		{"on a layer", minimal, []string{"thickness and Z zero of the sheet", "specific force of aluminium-wrought",
			"lift ratio in aluminium-wrought", "strength of joins in aluminium-wrought", "permeability of the layer",
			"friction of the layer on aluminium-wrought", "flow of the pump", "lowest pressure of the pump",
			"leak of hoses and rims", "run-out of tool 1"}},
		{"breathing work on gaskets", gasketed, []string{"thickness and Z zero of the sheet", "specific force of mdf",
			"lift ratio in mdf", "strength of joins in mdf", "permeability of work mdf", "friction of metal on mdf",
			"friction of rubber on mdf", "wet friction of rubber on mdf", "flow of the pump", "force of clamp 1",
			"run-out of tool 3"}},
		{"with an adhesive face", strings.Replace(minimal, "thickness = \"0.8 mm\"",
			"material = \"porous-card\"\ntack = \"5 kPa\"\nfriction = [0.3, 0.3]", 1),
			[]string{"thickness and Z zero of the sheet", "specific force of aluminium-wrought",
				"lift ratio in aluminium-wrought", "strength of joins in aluminium-wrought",
				"permeability of layer porous-card", "wet friction of porous-card on aluminium-wrought",
				"tack of layer porous-card", "flow of the pump", "lowest pressure of the pump",
				"leak of hoses and rims", "run-out of tool 1"}},
	} {
		j, err := job.Parse("j.toml", []byte(row.text))
		if err != nil {
			t.Fatal(err)
		}
		if d := cmp.Diff(row.want, doubtNames(j)); d != "" {
			t.Errorf("%s (-want +got)\n%s", row.name, d)
		}
		for _, d := range j.Doubts {
			if err := d.Check(); err != nil || d.Source == "" || d.Exact() {
				t.Errorf("%s: %+v: %v", row.name, d.Input, err)
			}
		}
	}
}

// By hand: the middle of a factor's range is geometric, sqrt(0.2 x 0.45) = 0.3; that of what may be 0 arithmetic.
func TestRangesAsWritten(t *testing.T) {
	text := strings.NewReplacer("[layer]\n", "[layer]\nfriction = [0.2, 0.45]\ntack = [\"0 kPa\", \"4 kPa\"]\n",
		"\"3e-13 m2\"", "[\"1e-13 m2\", \"2e-13 m2\", \"8e-13 m2\"]", "\"63 m3/h\"",
		"\"63 m3/h\"\nleak = [\"1 m3/h\", "+
			"\"4 m3/h\"]", "[stock]\n", "[stock]\ntolerance = [\"-0.3 mm\", \"0.1 mm\"]\n").Replace(minimal)
	j, err := job.Parse("j.toml", []byte(text))
	if err != nil {
		t.Fatal(err)
	}
	for name, want := range map[string][3]float64{
		"friction of the layer on aluminium-wrought": {0.2, 0.3, 0.45},
		"tack of the layer":                          {0, 2000, 4000},
		"permeability of the layer":                  {1e-13, 2e-13, 8e-13},
		"leak of hoses and rims":                     {1, 2.5, 4},
		"thickness and Z zero of the sheet":          {-0.3, 0, 0.1},
	} {
		d := doubtOf(t, j, name)
		for i, got := range []float64{d.Low, d.Likely, d.High} {
			if math.Abs(got-want[i]) > 1e-12*math.Abs(want[i]) {
				t.Errorf("%s: %g to %g, likely %g; want %v", name, d.Low, d.High, d.Likely, want)
			}
		}
		if d.Source != "job file" {
			t.Errorf("%s: %q", name, d.Source)
		}
	}
	own := read(t, "material = \"aluminium-wrought\"\n", `material = "b"
[material.b]
based_on = "aluminium-wrought"
specific_force = ["400 MPa", "500 MPa", "800 MPa"]
lift_ratio = [0.2, 0.4]
shear = ["100 MPa", "200 MPa", "250 MPa"]
yield = "150 MPa"
`)
	for name, want := range map[string][3]float64{"specific force of b": {400, 500, 800},
		"lift ratio in b": {0.2, 0.3, 0.4}, "strength of joins in b": {100, 200, 250}} {
		if d := doubtOf(t, own, name); math.Abs(d.Likely-want[1]) > 1e-12 || d.Low != want[0] || d.High != want[2] {
			t.Errorf("%s: %+v", name, d.Input)
		}
	}
	v := own.Varied([]float64{0, 0, 0, -doubt.Score95}) // strength at its low end: half
	if w := v.Stock.Material; w.Shear.Likely != 100 || w.Tensile.Likely != 145 || w.Yield.Likely != 75 {
		t.Errorf("strengths %g, %g, %g", w.Shear.Likely, w.Tensile.Likely, w.Yield.Likely)
	}
	if j.Layer.Friction.Dry != doubtOf(t, j, "friction of the layer on aluminium-wrought").Likely ||
		j.Layer.TackPa != 2000 || j.Layer.ThroughM2 != 2e-13 || j.Pump.LeakM3h != 2.5 || j.Stock.BottomMM != -6 ||
		j.Stock.ToleranceMM != 0.3 {
		t.Errorf("the job does not hold the likely values: %+v, %+v", j.Layer, j.Pump)
	}
}

// Each figure moves what its cause moves, in a copy: the job itself stays.
func TestWhatADoubtfulFigureMoves(t *testing.T) {
	parse := func(text string) *job.Job {
		j, err := job.Parse("j.toml", []byte(text))
		if err != nil {
			t.Fatal(err)
		}
		return j
	}
	layered := strings.Replace(minimal, "through = \"3e-13 m2\"", "through = \"3e-13 m2\"\nalong = \"6e-13 m2\"\n"+
		"tack = \"5 kPa\"", 1)
	for _, row := range []struct {
		text, name string
		value      float64
		got        func(*job.Job) []float64
		want       []float64
	}{
		// built-in aluminium-wrought: 660 N/mm2, edge 15 N/mm, drill 1.01; half of them all
		{minimal, "specific force of aluminium-wrought", 330, func(j *job.Job) []float64 {
			w := j.Stock.Material
			return []float64{w.KC11.Likely, w.Edge.Likely, w.Drill.Likely}
		}, []float64{330, 7.5, 0.505}},
		// chip 0.6, edge 0.2; at the low end the edge's own low end, and what presses no more than before
		{minimal, "lift ratio in aluminium-wrought", 0.06, func(j *job.Job) []float64 {
			w := j.Stock.Material
			return []float64{w.Lift.Likely, w.EdgeLift.Likely, w.Lift.Low}
		}, []float64{0.06, 0.04, 0.06}},
		// shear 180, tensile 290, yield 205 N/mm2
		{minimal, "strength of joins in aluminium-wrought", 580, func(j *job.Job) []float64 {
			w := j.Stock.Material
			return []float64{w.Shear.Likely, w.Tensile.Likely, w.Yield.Likely}
		}, []float64{360, 580, 410}},
		{minimal, "thickness and Z zero of the sheet", 0.1, func(j *job.Job) []float64 {
			return []float64{j.Stock.BottomMM, j.Stock.Blanks[0].TopMM}
		}, []float64{-6.1, 0}},
		{layered, "permeability of the layer", 1e-13, func(j *job.Job) []float64 {
			return []float64{1e13 * j.Layer.ThroughM2, 1e13 * j.Layer.AlongM2}
		}, []float64{1, 2}},
		{layered, "tack of the layer", -10, func(j *job.Job) []float64 { return []float64{j.Layer.TackPa} },
			[]float64{0}},
		// metal on board 0.25 (0.3) 0.45, wet 0.1 (0.2) 0.3: both at their high ends
		{minimal, "friction of the layer on aluminium-wrought", 0.45, func(j *job.Job) []float64 {
			return []float64{j.Layer.Friction.Dry, j.Layer.Friction.Wet}
		}, []float64{0.45, 0.3}},
		{gasketed, "friction of metal on mdf", 0.2, func(j *job.Job) []float64 {
			return []float64{j.Zones[0].Friction.Dry, j.Zones[1].Friction.Wet, j.Zones[2].Friction.Dry}
		}, []float64{0.2, 0.1, 0.6}},
		{gasketed, "wet friction of rubber on mdf", 0.15, func(j *job.Job) []float64 {
			return []float64{j.Zones[2].Friction.Dry, j.Zones[2].Friction.Wet}
		}, []float64{0.6, 0.15}},
		{gasketed, "permeability of work mdf", 2e-13, func(j *job.Job) []float64 {
			return []float64{1e13 * j.Stock.Material.Through.Likely, 1e13 * j.Stock.Material.Along.Likely}
		}, []float64{2, 4}},
		{gasketed, "flow of the pump", 54, func(j *job.Job) []float64 {
			return []float64{j.Pump.FlowM3h, j.Pump.Curve[0].FlowM3h, j.Pump.Curve[1].FlowM3h}
		}, []float64{54, 54, 0}},
		{minimal, "lowest pressure of the pump", 2000, func(j *job.Job) []float64 {
			return []float64{j.Pump.UltimatePa}
		}, []float64{2000}},
		{minimal, "leak of hoses and rims", 9, func(j *job.Job) []float64 { return []float64{j.Pump.LeakM3h} },
			[]float64{9}},
		{gasketed, "force of clamp 1", 300, func(j *job.Job) []float64 { return []float64{j.Clamps[0].ForceN} },
			[]float64{300}},
		{minimal, "run-out of tool 1", 9, func(j *job.Job) []float64 { return []float64{j.Tools[1].RunoutMM} },
			[]float64{3}}, // below half of the diameter
	} {
		j := parse(row.text)
		before := row.got(j)
		scores := make([]float64, len(j.Doubts))
		for i, d := range j.Doubts {
			if d.Name == row.name {
				scores[i] = d.Score(row.value)
			}
		}
		doubtOf(t, j, row.name)
		v := j.Varied(scores)
		for i, got := range row.got(v) {
			if math.Abs(got-row.want[i]) > 1e-9*math.Max(1, math.Abs(row.want[i])) {
				t.Errorf("%s at %g: %v, want %v", row.name, row.value, row.got(v), row.want)
				break
			}
		}
		if d := cmp.Diff(before, row.got(j)); d != "" {
			t.Errorf("%s: the job itself has changed\n%s", row.name, d)
		}
	}
}

// Whatever the scores, no figure leaves what the model can take: 4 is beyond one draw in 15 000.
func TestVariedJobsAreJobs(t *testing.T) {
	for _, text := range []string{minimal, gasketed, contractExample} {
		j, err := job.Parse("j.toml", []byte(text))
		if err != nil {
			t.Fatal(err)
		}
		for _, score := range []float64{-4, -doubt.Score95, 1, 4} {
			scores := make([]float64, len(j.Doubts))
			for i := range scores {
				scores[i] = score
			}
			v := j.Varied(scores)
			w := v.Stock.Material
			for name, x := range map[string]float64{"specific force": w.KC11.Likely, "lift": w.Lift.Likely,
				"share pressed": w.Lift.Likely - w.Lift.Low, "leak": 1 + v.Pump.LeakM3h, "flow": v.Pump.FlowM3h,
				"vacuum": j.AmbientPa - v.Pump.UltimatePa, "through": w.Through.Likely + 1} {
				if !(x >= 0) || math.IsInf(x, 0) || x == 0 && name != "share pressed" {
					t.Errorf("score %g: %s %g", score, name, x)
				}
			}
		}
	}
}
