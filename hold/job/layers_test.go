package job_test

import (
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"staydown/hold/job"
)

// shop is what a shop's own file says: everything but the stock.
const shop = `[site]
altitude = "250 m"
[layer]
material = "porous-card"
cut_limit = "0.3 mm"
[[zone]]
name = "A"
area = [["0 mm","0 mm"],["600 mm","400 mm"]]
[[zone]]
name = "B"
area = [["600 mm","0 mm"],["900 mm","400 mm"]]
[pump]
kind = "rotary-vane"
flow = "63 m3/h"
ultimate = "20 mbar"
hose = { length = "3 m", bore = "50 mm" }
[machine]
rapid = "20 m/min"
[[tool]]
number = 1
diameter = "6 mm"
flutes = 2
helix = "30 deg"
[[tool]]
number = 2
shape = "drill"
diameter = "5 mm"
[limits]
margin = 1.5
`

const blank = `[stock]
corner = ["0 mm", "0 mm", "-6 mm"]
size = ["600 mm", "400 mm", "6 mm"]
material = "pmma"
`

func layered(t *testing.T, own string) *job.Job {
	t.Helper()
	j, err := job.ParseLayers(job.File{Name: "staydown.toml", Data: []byte(shop)},
		job.File{Name: "part.toml", Data: []byte(own)})
	if err != nil {
		t.Fatal(err)
	}
	return j
}

func TestNearestFileWinsKeyByKey(t *testing.T) {
	j := layered(t, blank+`[machine]
m8 = "air"
[[tool]]
number = 1
flutes = 1
[[tool]]
number = 3
diameter = "8 mm"
[pump]
alarm = "600 mbar"
[limits]
margin = 1.2
`)
	if one := j.Tools[1]; one.Flutes != 1 || one.DiameterMM != 6 || len(j.Tools) != 3 {
		t.Errorf("tools %+v", j.Tools)
	}
	if j.Pump.FlowM3h != 63 || j.Pump.AlarmPa != 60000 || j.Machine.RapidMMMin != 20000 || j.Limits.Margin != 1.2 {
		t.Errorf("pump %+v, machine %+v, limits %+v", j.Pump, j.Machine, j.Limits)
	}
	if j.Path != "part.toml" {
		t.Errorf("path %s", j.Path)
	}
	want := []job.Source{
		{File: "staydown.toml", Keys: []string{"site", "layer", "zone", "pump.kind", "pump.flow", "pump.ultimate",
			"pump.hose", "machine.rapid", "tool 1.diameter", "tool 1.helix", "tool 2"}},
		{File: "part.toml", Keys: []string{"pump.alarm", "machine.m8", "tool 1.number", "tool 1.flutes", "tool 3",
			"limits", "stock"}},
	}
	if d := cmp.Diff(want, j.Sources); d != "" {
		t.Error(d)
	}
}

func TestZonesReplaceAsAWholeList(t *testing.T) {
	j := layered(t, blank+"[[zone]]\nname = \"all\"\narea = [[\"0 mm\",\"0 mm\"],[\"900 mm\",\"400 mm\"]]\n")
	if len(j.Zones) != 1 || j.Zones[0].Name != "all" {
		t.Errorf("zones %+v", j.Zones)
	}
}

// A value said in another way takes the place of the farther one; it does not stand beside it.
func TestRivalKeysOverrideTogether(t *testing.T) {
	built := layered(t, blank+"[layer]\nmaterial = \"mdf\"\n")
	if l := built.Layer; l.Name != "mdf" || l.ThicknessMM < 2 || l.CutLimitMM != 0.3 {
		t.Errorf("layer %+v", l)
	}
	curve := layered(t, blank+"[pump]\ncurve = [[\"900 mbar\",\"40 m3/h\"], [\"200 mbar\",\"0 m3/h\"]]\n")
	if p := curve.Pump; len(p.Curve) != 2 || p.FlowM3h != 40 || p.UltimatePa != 20000 || p.Hose == nil {
		t.Errorf("pump %+v", p)
	}
	hose := layered(t, blank+"[pump]\nhose = { length = \"5 m\", bore = \"40 mm\" }\n")
	if h := hose.Pump.Hose; h.LengthMM != 5000 || h.BoreMM != 40 {
		t.Errorf("hose %+v", h)
	}
	for near, want := range map[string]int{"": 1, "[layer]\nthrough = \"1e-13 m2\"\n": 0} {
		measured, err := job.ParseLayers(job.File{Name: "far.toml", Data: []byte(shop + blank +
			"[[layer.gauge]]\ncovered = \"0 %\"\nreadings = \"600 mbar\"\n")},
			job.File{Name: "near.toml", Data: []byte(near)})
		if err != nil || len(measured.Layer.Gauges) != want {
			t.Errorf("%q beside gauge readings of the shop: %v", near, err)
		}
	}
	disc := layered(t, "[stock]\ncorners = [[\"0 mm\",\"0 mm\"],[\"300 mm\",\"0 mm\"],[\"0 mm\",\"300 "+
		"mm\"]]\nbottom = \"-6 mm\"\n"+
		"thickness = \"6 mm\"\nmaterial = \"pmma\"\n")
	again, err := job.ParseLayers(job.File{Name: "far.toml", Data: []byte(shop + blank)}, job.File{Name: "near.toml",
		Data: []byte(
			"[stock]\ncorners = [[\"0 mm\",\"0 mm\"],[\"300 mm\",\"0 mm\"],[\"0 mm\",\"300 mm\"]]\nbottom = \"-6 " +
				"mm\"\nthickness = \"6 mm\"\n")})
	if err != nil {
		t.Fatal(err)
	}
	if d := cmp.Diff(disc.Stock.Blanks, again.Stock.Blanks); d != "" {
		t.Error(d)
	}
}

func TestProblemsNameTheirFile(t *testing.T) {
	_, err := job.ParseLayers(job.File{Name: "staydown.toml", Data: []byte(strings.Replace(shop, "63 m3/h", "FILL", 1) +
		"[sight]\nx = 1\n")},
		job.File{Name: "part.toml", Data: []byte(blank + "[web]\nheight = \"7 mm\"\n")})
	const want = `staydown.toml:14:8: flow: still to be filled in; write the value in place of FILL
staydown.toml:30:2: sight: unknown table; the nearest known one is site
part.toml:6:10: height: 7 mm is not less than the stock's thickness of 6 mm; write the height of tabs or skin that are to count as webs`
	if err == nil || err.Error() != want {
		t.Errorf("got\n%v\nwant\n%s", err, want)
	}
	// What the nearer file gives needs not be filled in in the farther one.
	if _, err := job.ParseLayers(job.File{Name: "staydown.toml", Data: []byte(strings.Replace(shop, "63 m3/h", "FILL",
		1))},
		job.File{Name: "part.toml", Data: []byte(blank + "[pump]\nflow = \"40 m3/h\"\n")}); err != nil {
		t.Error(err)
	}
	_, err = job.ParseLayers(job.File{Name: "staydown.toml", Data: []byte("[pump\n")}, job.File{Name: "part.toml",
		Data: []byte("x =\n")})
	if err == nil || !strings.Contains(err.Error(), "staydown.toml:1:") || !strings.Contains(err.Error(),
		"\npart.toml:1:") {
		t.Error(err)
	}
}

func TestExtensionsNeedNoWholeJob(t *testing.T) {
	got := job.Extensions(job.File{Name: "far", Data: []byte("[machine]\nextensions = [\".h\"]\n")},
		job.File{Name: "near", Data: []byte("[machine]\nextensions = [\".p\", \".q\"]\n")})
	if d := cmp.Diff([]string{".p", ".q"}, got); d != "" {
		t.Error(d)
	}
	if got := job.Extensions(job.File{Name: "bad", Data: []byte("[machine\n")}); len(got) < 3 {
		t.Error(got)
	}
}
