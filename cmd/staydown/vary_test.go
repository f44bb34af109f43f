package main

import (
	"bytes"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"staydown/cmd/staydown/store"
	"staydown/hold/result"
	"staydown/internal/testrun"
	"staydown/parse"
)

// variedKeys are keys of every room with values that the small job takes, in no order of rooms.
var variedKeys = []varied{
	{"pump.flow", []string{"5 m3/h", "250 m3/h"}},
	{"pump.kind", []string{"rotary-vane", "side-channel"}},
	{"pump.leak", []string{"1 m3/h", "20 m3/h"}},
	{"pump.alarm", []string{"100 mbar", "900 mbar"}},
	{"pump.hose.bore", []string{"25 mm", "60 mm"}},
	{"site.altitude", []string{"0 m", "2000 m"}},
	{"layer.material", []string{"porous-card", "mdf"}},
	{"layer.through", []string{"1e-14 m2", "1e-12 m2"}},
	{"layer.thickness", []string{"0.1 mm", "3 mm"}},
	{"layer.friction", []string{"0.2", "0.5"}},
	{"layer.edge", []string{"open", "sealed"}},
	{"layer.tack", []string{"0 kPa", "20 kPa"}},
	{"zone.A.open", []string{"true", "false"}},
	{"zone.A.groove", []string{"{pitch = 20 mm, width = 5 mm}", "{pitch = 10 mm, width = 3 mm}"}},
	{"zone.A.port", []string{"{count = 1, diameter = 5 mm}", "{count = 4, diameter = 20 mm}"}},
	{"stock.material", []string{"pmma", "mdf"}},
	{"stock.anchored", []string{"true", "false"}},
	{"stock.size", []string{"[80 mm, 60 mm, 6 mm]", "[70 mm, 60 mm, 6 mm]"}},
	{"stock.tolerance", []string{"0 mm", "0.3 mm"}},
	{"tool.1.diameter", []string{"6 mm", "8 mm"}},
	{"tool.1.flutes", []string{"1", "3"}},
	{"tool.1.helix", []string{"-20 deg", "40 deg"}},
	{"tool.1.reach", []string{"4 mm", "22 mm"}},
	{"machine.rapid", []string{"5 m/min", "30 m/min"}},
	{"machine.m8", []string{"air", "flood"}},
	{"machine.arc_centres", []string{"absolute", "incremental"}},
	{"machine.end", []string{"none", "required"}},
	{"limits.margin", []string{"1.0", "3.0"}},
	{"grid.cell", []string{"2 mm", "3 mm"}},
	{"web.height", []string{"0.5 mm", "1 mm"}},
}

// cutAndWet cuts a piece free under coolant, into the layer, with a rapid through what is left of the material and an
// arc.
const cutAndWet = `G17 G21 G40 G90 G94
T1 M6
M3 M8
G0 X10 Y10
G0 Z5
S18000
G1 Z-6.2 F300
G1 X50 F600
G3 X50 Y40 I0 J15
G1 X10
G1 Y10
G0 X4 Y4
G0 Z20
M30
`

// workshop makes a folder with a program and the small job.
func workshop(t *testing.T) (program string) {
	t.Helper()
	dir := t.TempDir()
	toml, err := os.ReadFile(filepath.Join("testdata", "small", "staydown.toml"))
	if err != nil {
		t.Fatal(err)
	}
	toml = bytes.Replace(toml, []byte("leak = "), []byte("hose = { length = \"3 m\", bore = \"50 mm\" }\nleak = "), 1)
	program = filepath.Join(dir, "wet.nc")
	for name, data := range map[string][]byte{program: []byte(cutAndWet), filepath.Join(dir, jobFileName): toml} {
		if err := os.WriteFile(name, data, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	return program
}

// Whatever is varied, each variant has the result that a check of its own with --set has: nothing that is shared is
// stale.
func TestVariantIsAsACheckOfItsOwn(t *testing.T) {
	testrun.NotForRaces(t)
	program := workshop(t)
	for _, k := range variedKeys {
		asACheckOfItsOwn(t, program, []varied{k})
	}
	random := rand.New(rand.NewPCG(1, 2)) // a fixed seed makes the combinations the same in every run
	for range testrun.Draws(2, 100) {
		var keys []varied
		for _, k := range random.Perm(len(variedKeys))[:2+random.IntN(2)] {
			values := variedKeys[k].values
			keys = append(keys, varied{variedKeys[k].key, []string{values[0], values[len(values)-1]}})
		}
		asACheckOfItsOwn(t, program, keys)
	}
}

// asACheckOfItsOwn compares the last variant, which has no value in common with the first. Combinations that are no job
// are passed over.
func asACheckOfItsOwn(t *testing.T, program string, keys []varied) {
	v, p := newVariation(program, keys, settings{})
	if p != nil {
		return
	}
	var said bytes.Buffer
	v.run(streams{err: &said})
	last := v.variants[len(v.variants)-1]
	var set []string
	for i, value := range last.values {
		set = append(set, keys[i].key+"="+value)
	}
	var own result.Result
	if d, p := analyse(program, settings{set: set, noPictures: true}); p == nil {
		own = light(d.analysis.Result)
	} else {
		own = *unanalysedResult(program, p.Error())
	}
	own, varied := asShown(own), asShown(*last.result)
	if bytes.Equal(packed(t, own), packed(t, varied)) {
		return // most of the time of a comparison field by field is its own
	}
	if d := cmp.Diff(own, varied, cmpopts.EquateNaNs(), cmpopts.EquateEmpty()); d != "" {
		t.Errorf("%v: %s\nsaid %s", set, d, said.String())
	}
}

// asShown is a result without what the table of variants does not show, which is not computed for it.
func asShown(r result.Result) result.Result {
	r.Findings, r.Vacuum.Settings = slices.Clone(r.Findings), slices.Clone(r.Vacuum.Settings)
	for i := range r.Findings {
		r.Findings[i].Remedy = ""
	}
	for i := range r.Vacuum.Settings {
		r.Vacuum.Settings[i].NeverBelowKPa = 0
	}
	r.Vacuum.NeverBelowKPa, r.Vacuum.PumpNeededM3h = 0, 0
	return r
}

func packed(t *testing.T, r result.Result) []byte {
	t.Helper()
	data, err := store.Pack(&r)
	if err != nil {
		t.Fatal(err)
	}
	return data
}

// What concerns neither reading nor sweeping shares both; what a program is read with shares nothing.
func TestWhatVariantsShare(t *testing.T) {
	program := workshop(t)
	src := []byte(cutAndWet)
	for key, want := range map[string]struct{ reads, sweeps int }{
		"pump.flow=5 m3/h; 40 m3/h":                              {1, 1},
		"site.altitude=0 m; 2000 m":                              {1, 1},
		"layer.material=porous-card; mdf":                        {1, 1},
		"layer.thickness=0.1 mm; 0.3 mm":                         {1, 2}, // the tool goes 0.2 mm into it
		"zone.A.open=true; false":                                {1, 1},
		"limits.margin=1; 2":                                     {1, 1},
		"stock.anchored=true; false":                             {1, 1},
		"machine.m8=air; flood":                                  {1, 1},
		"machine.rapid=5 m/min; 9 m/min":                         {2, 2},
		"tool.1.reach=4 mm; 22 mm":                               {1, 2},
		"tool.1.flutes=1; 2":                                     {1, 2},
		"tool.1.diameter=5 mm; 6 mm":                             {2, 2},
		"stock.size=[80 mm,60 mm,6 mm]; [70 mm,60 mm,6 mm]":      {1, 2},
		"stock.material=pmma; pmma":                              {1, 1},
		"stock.material=pmma; mdf":                               {1, 2},
		"grid.cell=2 mm; 3 mm":                                   {1, 2},
		`machine.output={"M62" = "pump on"}; {"M62"="pump off"}`: {1, 1},
	} {
		keys, err := readVaried([]string{key})
		if err != nil {
			t.Fatal(err)
		}
		v, p := newVariation(program, keys, settings{set: []string{"layer.cut_limit=0.05 mm"}})
		if p != nil {
			t.Fatal(key, p)
		}
		reads := groups([]int{0, 1}, func(i int) any { return readOptions(program, v.variants[i].job, settings{}) })
		sweeps := groups([]int{0, 1}, func(i int) any {
			j := v.variants[i].job
			read := readOptions(program, j, settings{})
			return []any{read, newSweepInput(j, parse.Read(src, read))}
		})
		if len(reads) != want.reads || len(sweeps) != want.sweeps {
			t.Errorf("%s: read %d times and swept %d times, want %d and %d", key, len(reads), len(sweeps), want.reads,
				want.sweeps)
		}
	}
}

func TestCombinationsRunTheLastKeyFastest(t *testing.T) {
	got := combinations([]varied{{"a", []string{"1", "2"}}, {"b", []string{"x", "y"}}})
	if d := cmp.Diff([][]string{{"1", "x"}, {"1", "y"}, {"2", "x"}, {"2", "y"}}, got); d != "" {
		t.Error(d)
	}
}

func TestVariedArguments(t *testing.T) {
	for arg, want := range map[string]string{
		"pump.flow":                              "no equals sign",
		"pump.flow=60 m3/h;":                     "an empty value",
		"a=" + strings.Repeat("1;", 1000) + "1":  "more than 1000 combinations",
		"a=" + strings.Repeat("1;", 999) + "1":   "",
		"zone.A.area=[[0 mm,0 mm],[1 mm; 1 mm]]": "",
	} {
		_, err := readVaried([]string{arg})
		if (err == nil) != (want == "") || err != nil && !strings.Contains(err.Error(), want) {
			t.Errorf("%.40s: %v, want %s", arg, err, want)
		}
	}
}
