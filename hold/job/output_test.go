package job_test

import (
	"reflect"
	"strings"
	"testing"

	"staydown/hold/job"
	"staydown/parse"
)

func withOutputs(lines ...string) []byte {
	return []byte(contractExample + "\n[machine.output]\n" + strings.Join(lines, "\n") + "\n")
}

func TestOutputs(t *testing.T) {
	j, err := job.Parse("j.toml", withOutputs(`"M62 P3" = "zone A on"`, `"m63p3" = "zone A off"`, `M10 = "clamp off"`,
		`"M64 P0" = "pump on"`, `M100 = "harmless"`, `M65 = "zone off"`))
	if err != nil {
		t.Fatal(err)
	}
	want := []job.Switch{
		{Output: parse.Output{M: 10, P: parse.NoP}, What: job.SwitchesClamp},
		{Output: parse.Output{M: 62, P: 3}, What: job.SwitchesZone, Name: "A", On: true},
		{Output: parse.Output{M: 63, P: 3}, What: job.SwitchesZone, Name: "A"},
		{Output: parse.Output{M: 64, P: 0}, What: job.SwitchesPump, On: true},
		{Output: parse.Output{M: 65, P: parse.NoP}, What: job.SwitchesZone},
		{Output: parse.Output{M: 100, P: parse.NoP}},
	}
	if !reflect.DeepEqual(j.Machine.Outputs, want) {
		t.Errorf("%+v\nwant %+v", j.Machine.Outputs, want)
	}
}

func TestFaultyOutputs(t *testing.T) {
	for _, c := range []struct{ line, says string }{
		{`"M62 P" = "harmless"`, "is not an M code"},
		{`"G62" = "harmless"`, "is not an M code"},
		{`M8 = "harmless"`, "has a meaning of its own"},
		{`M98 = "harmless"`, "has a meaning of its own"},
		{`M62 = "pump"`, `"pump" is not what an output switches`},
		{`M62 = "lamp on"`, `"lamp on" is not what an output switches`},
		{`M62 = true`, "is not what an output switches"},
		{`M62 = "zone Q on"`, `there is no zone "Q"; write one of A`},
		{`M62 = "clamp left on"`, `there is no clamp "left"; write "clamp on"`},
		{"\"M62\" = \"harmless\"\n\"m62\" = \"pump on\"", "M62 is already given on line"},
	} {
		if _, err := job.Parse("j.toml", withOutputs(c.line)); err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: %v, want %q", c.line, err, c.says)
		}
	}
	if _, err := job.Parse("j.toml", []byte(strings.Replace(contractExample, "[machine]",
		"[machine]\noutput = \"M62\"", 1))); err == nil || !strings.Contains(err.Error(), "where a table is wanted") {
		t.Errorf("no table: %v", err)
	}
}

// Outputs of a nearer job file stand beside those of the shop's, and come before them code by code.
func TestOutputsOfLayers(t *testing.T) {
	shop := job.File{Name: "staydown.toml", Data: withOutputs(`"M62 P1" = "pump on"`, `"M63 P1" = "pump off"`)}
	own := job.File{Name: "a.toml", Data: []byte("[machine.output]\n\"M63 P1\" = \"harmless\"\n")}
	j, err := job.ParseLayers(shop, own)
	if err != nil {
		t.Fatal(err)
	}
	if o := j.Machine.Outputs; len(o) != 2 || o[0].What != job.SwitchesPump || o[1].What != job.SwitchesNothing {
		t.Errorf("%+v", o)
	}
}
