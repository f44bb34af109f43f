package job_test

import (
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"staydown/hold/job"
)

// otherLayers names the other layers of a job whose [layer] table is own: the file that gives it and its name.
func otherLayers(t *testing.T, own string) (names []string, all []job.OtherLayer) {
	t.Helper()
	all = job.OtherLayers(job.File{Name: "staydown.toml", Data: []byte(shop)},
		job.File{Name: "part.toml", Data: []byte(blank + own)})
	for _, o := range all {
		names = append(names, strings.TrimSpace(o.File+" "+o.Job.Layer.Name))
	}
	return names, all
}

// The layers of the README's table of built-in ones, and that of the shop's file where the nearer one names another.
func TestOtherLayers(t *testing.T) {
	for own, want := range map[string][]string{
		"": {"low-density-board", "mdf"},
		"[layer]\nmaterial = \"mdf\"\ntack = \"3 kPa\"\n": {"staydown.toml porous-card",
			"low-density-board"},
		"[layer]\nthickness = \"2 mm\"\nthrough = \"2e-13 m2\"\n":            {"low-density-board", "mdf"},
		"[layer]\nmaterial = \"mdf\"\n[[layer.gauge]]\ncovered = \"FILL\"\n": nil,
	} {
		names, _ := otherLayers(t, own)
		if d := cmp.Diff(want, names); d != "" {
			t.Errorf("%q: %s", own, d)
		}
	}
}

// A job with another layer is the one that is read when its name is written under [layer], and none of the readings of
// the sheet that it replaces stays.
func TestOtherLayerIsThatOfAnEditedFile(t *testing.T) {
	measured := "[layer]\nmaterial = \"mdf\"\nthickness = \"19 mm\"\ntack = \"3 kPa\"\nfriction = 0.4\n" +
		"[[layer.gauge]]\ncovered = \"0 %\"\nreadings = \"600 mbar\"\n"
	_, all := otherLayers(t, measured)
	i := slices.IndexFunc(all, func(o job.OtherLayer) bool { return o.Job.Layer.Name == "low-density-board" })
	if i < 0 {
		t.Fatalf("no low-density-board among %d", len(all))
	}
	want := layered(t, blank+"[layer]\nmaterial = \"low-density-board\"\n")
	if d := cmp.Diff(want.Layer, all[i].Job.Layer); d != "" {
		t.Error(d)
	}
	if d := cmp.Diff(want.Assumed, all[i].Job.Assumed); d != "" {
		t.Error(d)
	}
	if len(want.Doubts) != len(all[i].Job.Doubts) {
		t.Errorf("%d doubts, want %d", len(all[i].Job.Doubts), len(want.Doubts))
	}
}

func TestNoOtherLayerOnABareChuck(t *testing.T) {
	bare := job.File{Name: "part.toml", Data: []byte(blank + `[[zone]]
name = "A"
area = [["0 mm","0 mm"],["600 mm","400 mm"]]
[pump]
kind = "rotary-vane"
flow = "63 m3/h"
[[tool]]
number = 1
diameter = "6 mm"
`)}
	if _, err := job.ParseLayers(bare); err != nil {
		t.Fatal(err)
	}
	if all := job.OtherLayers(bare); len(all) > 0 {
		t.Errorf("%d other layers", len(all))
	}
}
