package job_test

import (
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"staydown/hold/job"
)

// with reads the shop's job with single values over it.
func with(t *testing.T, values ...string) (*job.Job, error) {
	t.Helper()
	set, err := job.Set(values...)
	if err != nil {
		t.Fatal(err)
	}
	return job.ParseLayers(job.File{Name: "staydown.toml", Data: []byte(shop)},
		job.File{Name: "part.toml", Data: []byte(blank)}, set)
}

// A single value is what the same value written into the nearest file would be, in a list of tables too, where a file
// could only replace the whole list.
func TestSetIsAsWrittenIntoTheFile(t *testing.T) {
	for _, c := range []struct{ name, set, old, in string }{
		{"a quantity without quotes", "pump.flow=100 m3/h", `flow = "63 m3/h"`, `flow = "100 m3/h"`},
		{"a quantity in quotes", ` pump.flow = "100 m3/h" `, `flow = "63 m3/h"`, `flow = "100 m3/h"`},
		{"a number", "limits.margin=1.25", "margin = 1.5", "margin = 1.25"},
		{"a range", "pump.flow=[50 m3/h, 63 m3/h, 70 m3/h]", `flow = "63 m3/h"`,
			`flow = ["50 m3/h", "63 m3/h", "70 m3/h"]`},
		{"a list without quotes", "zone.A.area=[[0 mm, 0 mm], [500 mm, 400 mm],]", `["600 mm","400 mm"]]`,
			`["500 mm","400 mm"]]`},
		{"a switch of a zone by its name", "zone.B.open=false", `name = "B"`, "name = \"B\"\nopen = false"},
		{"a tool by its number", "tool.2.diameter=6 mm", `diameter = "5 mm"`, `diameter = "6 mm"`},
		{"one key of a table that files replace whole", "pump.hose.bore=40 mm", `bore = "50 mm"`, `bore = "40 mm"`},
		{"a table in braces", `pump.hose={length = 3 m, bore = "40 mm"}`, `bore = "50 mm"`, `bore = "40 mm"`},
		{"quoted names in a table", `machine.output={"M62 P1" = "pump on"}`, "[limits]",
			"[machine.output]\n\"M62 P1\" = \"pump on\"\n[limits]"},
		{"a quoted name", `machine.output."M62 P1"=pump on`, "[limits]",
			"[machine.output]\n\"M62 P1\" = \"pump on\"\n[limits]"},
		{"a table that no file has", "web.height=0.5 mm", "[limits]", "[web]\nheight = \"0.5 mm\"\n[limits]"},
		{"what it says in another way goes", "site.pressure=900 mbar", `altitude = "250 m"`,
			`pressure = "900 mbar"`},
		{"a kind drops the figures of the other", "pump.kind=side-channel",
			"kind = \"rotary-vane\"\nflow = \"63 m3/h\"\nultimate = \"20 mbar\"", `kind = "side-channel"`},
	} {
		t.Run(c.name, func(t *testing.T) {
			got, err := with(t, c.set)
			want, wantErr := job.ParseLayers(job.File{Name: "staydown.toml", Data: []byte(strings.Replace(shop, c.old,
				c.in, 1))}, job.File{Name: "part.toml", Data: []byte(blank)})
			if err != nil || wantErr != nil {
				if err == nil || wantErr == nil || !strings.HasSuffix(wantErr.Error(), cutPlace(err.Error())) {
					t.Errorf("%v, in the file %v", err, wantErr)
				}
				return
			}
			got.Sources, want.Sources = nil, nil
			if d := cmp.Diff(want, got, cmpopts.IgnoreFields(job.Doubt{}, "Set")); d != "" {
				t.Error(d)
			}
		})
	}
}

// cutPlace gives a message without the place that it begins with.
func cutPlace(message string) string {
	_, words, _ := strings.Cut(message, ": ")
	return words
}

// Several values are one layer: the order in which they are given does not matter.
func TestOrderOfSetValuesDoesNotMatter(t *testing.T) {
	one, err := with(t, "pump.kind=dry-claw", "pump.flow=60 m3/h")
	if err != nil {
		t.Fatal(err)
	}
	other, err := with(t, "pump.flow=60 m3/h", "pump.kind=dry-claw")
	if err != nil {
		t.Fatal(err)
	}
	if d := cmp.Diff(one.Pump, other.Pump); d != "" || one.Pump.FlowM3h != 60 || one.Pump.Kind != job.DryClaw {
		t.Error(d, one.Pump)
	}
}

func TestSetIsToldAsASource(t *testing.T) {
	j, err := with(t, "zone.B.open=false", "tool.2.flutes=3", "pump.hose.bore=40 mm", "limits.margin=1.2")
	if err != nil {
		t.Fatal(err)
	}
	want := []job.Source{
		{File: "staydown.toml", Keys: []string{"site", "layer", "zone A", "zone B.name", "zone B.area", "pump.kind",
			"pump.flow", "pump.ultimate", "pump.hose.length", "machine", "tool 1", "tool 2.number", "tool 2.shape",
			"tool 2.diameter"}},
		{File: "part.toml", Keys: []string{"stock"}},
		{File: "--set", Keys: []string{"zone B.open", "pump.hose.bore", "tool 2.flutes", "limits"}},
	}
	if d := cmp.Diff(want, j.Sources); d != "" {
		t.Error(d)
	}
	if j.Path != "part.toml" {
		t.Errorf("path %s", j.Path)
	}
}

func TestSetNamesWhatIsWrong(t *testing.T) {
	for set, want := range map[string]string{
		"pump.flwo=60 m3/h":    "is no key of a job file; the nearest known one is pump.flow",
		"pmup.flow=60 m3/h":    "is no key of a job file; the nearest known one is pump.flow",
		"ultimate=60 mbar":     "is no key of a job file; the nearest known one is pump.ultimate",
		"tool.1.flute=2":       "is no key of a job file; the nearest known one is tool.1.flutes",
		"zone.A.groove.pich=5": "is no key of a job file; the nearest known one is zone.A.groove.pitch",
		"tool.7.flutes=2":      "the job has no tool 7; write one of 1, 2",
		"zone.C.open=true":     "the job has no zone C; write one of A, B",
		"clamp.left.force=5 N": "the job has no clamp left; write [[clamp]] into the job file first",
		"pump=60 m3/h":         "names a table, not a value; write one of its keys, as in pump.kind",
		"tool.1=6 mm":          "names a table, not a value; write one of its keys, as in tool.1.number",
		"pump.flow.x=60 m3/h":  "pump.flow holds a value, not a table; leave out what follows it",
		"pump.flow=60":         `flow: 60 has no unit; write "60 m3/h"`,
		"tool.1.flutes=two":    "flutes: a text where a bare number is wanted; write flutes = 2",
	} {
		_, err := with(t, set)
		if want = "--set " + set + ": " + want; err == nil || err.Error() != want {
			t.Errorf("got  %v\nwant %s", err, want)
		}
	}
	for set, want := range map[string]string{
		"pump.flow":              "has no equals sign",
		"pump.flow=":             "has no value",
		".flow=60 m3/h":          "has an empty name",
		"pump.curve=[[1 bar, 2":  "brackets",
		`pump.kind="x`:           "not valid TOML",
		"pump.flow=\xff60 m3/h":  "not UTF-8",
		"=60":                    "has an empty name",
		"pump.flow=60 m3/h]":     "brackets",
		"pump.flow={}]":          "brackets",
		"pump.flow=\"60\" m3/h":  "not valid TOML",
		"pump.flow=\"\"\nx = 1.": "not valid TOML",
	} {
		if _, err := job.Set(set); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q: %v, want %s", set, err, want)
		}
	}
	if _, err := job.Set("pump.flow=1 m3/h", "pump.flow=2 m3/h"); err == nil {
		t.Error("a key given twice is accepted")
	}
	if _, err := job.Set("pump.hose={}", "pump.hose.bore=2 mm"); err == nil {
		t.Error("a table and a key of it are both accepted")
	}
}

func TestAlternatives(t *testing.T) {
	for text, want := range map[string][]string{
		"60 m3/h; 100 m3/h":              {"60 m3/h", "100 m3/h"},
		"1;2 ;":                          {"1", "2", ""},
		`[1 mm, 2 mm]; 3 mm`:             {"[1 mm, 2 mm]", "3 mm"},
		`"a;b"; 'c;d"'; e`:               {`"a;b"`, `'c;d"'`, "e"},
		"40 dm3/(s bar); 50 dm3/(s bar)": {"40 dm3/(s bar)", "50 dm3/(s bar)"},
	} {
		if d := cmp.Diff(want, job.Alternatives(text)); d != "" {
			t.Errorf("%s: %s", text, d)
		}
	}
}
