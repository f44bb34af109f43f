package job_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"github.com/paulmach/orb"

	"staydown/hold/job"
	"staydown/hold/material"
	"staydown/sweep"
)

const contractExample = `[site]
altitude = "0 m"                 # or: pressure = "1013.25 mbar"

[stock]
corner   = ["0 mm", "0 mm", "-6 mm"]      # lowest X, Y, Z of the blank, in program coordinates
size     = ["600 mm", "400 mm", "6 mm"]
material = "aluminium-wrought"            # a built-in, or a [material.NAME] table below
anchored = false                          # true: the outer frame is screwed or clamped as well

[layer]                                   # leave out for a bare gasketed chuck
thickness = "0.8 mm"
through   = "3e-13 m2"                    # permeability across the sheet
along     = "3e-13 m2"                    # permeability in its plane; default: as through
friction  = 0.35                          # part on layer
tack      = "0 kPa"                       # adhesive face: shear strength; 0 for none
cut_limit = "0.4 mm"                      # how deep a tool may go into it
edge      = "open"                        # "open": its rim breathes; "sealed": taped

[[zone]]
name   = "A"
area   = [["0 mm","0 mm"],["600 mm","400 mm"]]   # two corners, or three and more for a polygon
seal   = "layer"                          # "layer" or "gasket"
groove = { pitch = "20 mm", width = "5 mm" }  # both ways; leave out: the whole zone breathes
open   = true

[pump]
kind     = "rotary-vane"                  # rotary-vane, dry-claw, side-channel, ejector
flow     = "63 m3/h"                      # at no vacuum
ultimate = "20 mbar"                      # lowest absolute pressure
# curve  = [["1013 mbar","63 m3/h"], ["20 mbar","0 m3/h"]]   # measured: used instead
leak     = "2 m3/h"                       # hose and rim leakage at full vacuum
alarm    = "600 mbar"                     # vacuum below ambient at which the machine stops; optional

[machine]
rapid = "20 m/min"

[[tool]]
number   = 1
shape    = "flat"                         # flat, ball, bull (with corner), vee (with angle), drill (with angle)
diameter = "6 mm"
flutes   = 2
helix    = "30 deg"                       # negative: down-cut
reach    = "22 mm"                        # flute length

[limits]
margin = 2.0
[grid]
cell   = "0.5 mm"                         # default: from tool and stock size, stated in the result
`

// The example of the format's description, value by value.
func TestParseExample(t *testing.T) {
	j, err := job.Parse("job.toml", []byte(contractExample))
	if err != nil {
		t.Fatal(err)
	}
	work, _ := material.WorkNamed("aluminium-wrought")
	want := &job.Job{
		Path:      "job.toml",
		AmbientPa: 101325,
		Stock: job.Stock{
			Stock: sweep.Stock{BottomMM: -6, Blanks: []sweep.Blank{
				{Outline: orb.Polygon{{{0, 0}, {600, 0}, {600, 400}, {0, 400}, {0, 0}}}, TopMM: 0},
			}},
			Material: work, ToleranceMM: 0.1,
		},
		Layer: &job.Layer{ThicknessMM: 0.8, ThroughM2: 3e-13, AlongM2: 3e-13, Friction: job.Friction{Dry: 0.35,
			Wet: 0.35 * 0.2 / 0.3}, CutLimitMM: 0.4, Edge: job.OpenEdge},
		Zones: []job.Zone{{
			Name: "A", Area: orb.Polygon{{{0, 0}, {600, 0}, {600, 400}, {0, 400}, {0, 0}}}, Seal: job.LayerSeal,
			Groove: &job.Groove{PitchMM: 20, WidthMM: 5}, Open: true,
		}},
		Pump: job.Pump{Kind: job.RotaryVane, FlowM3h: 63, UltimatePa: 2000, LeakM3h: 2, AlarmPa: 60000},
		Machine: job.Machine{
			RapidMMMin: 20000,
			Extensions: []string{".nc", ".ngc", ".tap", ".cnc", ".gcode", ".mpf", ".iso", ".eia"},
		},
		Tools: map[int]job.Tool{1: {
			Tool:   sweep.Tool{Number: 1, Shape: sweep.Flat, DiameterMM: 6, ReachMM: 22},
			Flutes: 2, HelixRad: math.Pi / 6, RunoutMM: 0.01,
		}},
		Origins: map[string]job.Origin{},
		Limits:  job.Limits{Margin: 2, LeastSkinMM: 0.1, LeastPassMM: 0.1},
		CellMM:  0.5,
		Sources: []job.Source{{File: "job.toml", Keys: []string{"site", "stock", "layer", "zone", "pump", "machine",
			"tool 1", "limits", "grid"}}},
	}
	near := cmpopts.EquateApprox(1e-12, 0)
	if d := cmp.Diff(want, j, near, cmpopts.IgnoreFields(job.Job{}, "Assumed", "Decisive", "Doubts")); d != "" {
		t.Errorf("(-want +got)\n%s", d)
	}
}

// Editors on some systems write a byte order mark and carriage returns.
func TestParseForeignLineEnds(t *testing.T) {
	text := "\xef\xbb\xbf" + strings.ReplaceAll(minimal, "\n", "\r\n")
	if _, err := job.Parse("j.toml", []byte(text)); err != nil {
		t.Error(err)
	}
	_, err := job.Parse("j.toml", []byte(strings.Replace(text, `"0.8 mm"`, `0.8`, 1)))
	if want := `j.toml:6:13: thickness: 0.8 has no unit; write "0.8 mm"`; err == nil || err.Error() != want {
		t.Errorf("%v", err)
	}
}

// Files made to exhaust a reader are refused with a place.
func TestParseBounds(t *testing.T) {
	var manyTools, manyKeys strings.Builder
	for n := range 40_000 {
		fmt.Fprintf(&manyKeys, "k%d = 1\n", n)
	}
	manyTools.WriteString(minimal)
	for n := range 600 {
		fmt.Fprintf(&manyTools, "[[tool]]\nnumber = %d\ndiameter = '1 mm'\n", n+2)
	}
	for _, c := range []struct{ name, text, want string }{
		{"size", strings.Repeat("#", 1<<20+1), "j.toml: the job file has 1048577 bytes, more than the 1048576 allowed"},
		{"nested lists", "x = " + strings.Repeat("[", 5000) + strings.Repeat("]", 5000), "j.toml:1:5: keys and " +
			"values are nested more than 12 deep"},
		{"nested keys", strings.Repeat("a.", 100_000) + "a = 1", "j.toml:1:1: keys and values are nested more than " +
			"12 deep"},
		{"nested tables", "[" + strings.Repeat("a.", 100_000) + "a]", "j.toml:1:2: keys and values are nested more " +
			"than 12 deep"},
		{"values", "x = [" + strings.Repeat("1,", 60_000) + "]", "j.toml:1:100006: the job file holds more than " +
			"50000 values"},
		{"keys", manyKeys.String(), "j.toml:502:1: a table holds more than 500 keys"},
		{"tools", manyTools.String(), "more than 500 of them"},
		{"corners", strings.Replace(minimal, `[["0 mm","0 mm"],["600 mm","400 mm"]]`,
			"["+strings.Repeat(`["0 mm","0 mm"],`, 501)+"]", 1), "a list of 501 where 2 to 500 is wanted"},
		{"problems", strings.Repeat("[[tool]]\nx=1\n", 400), "more problems; fix those above first"},
	} {
		_, err := job.Parse("j.toml", []byte(c.text))
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %.300v", c.name, err)
		}
	}
}

func TestMachineZeroAndHarmlessCodes(t *testing.T) {
	j, err := job.Parse("j.toml", []byte(strings.Replace(contractExample, "[machine]", "[machine]\nzero = [\"-50 "+
		"cm\", \"-300 mm\", \"-120 mm\"]\nharmless_m = [62, 63]", 1)))
	if err != nil {
		t.Fatal(err)
	}
	if z := j.Machine.Zero; z == nil || *z != (job.Origin{X: -500, Y: -300, Z: -120}) {
		t.Errorf("zero %v, want -500 -300 -120 mm", z)
	}
	if m := j.Machine.HarmlessM; len(m) != 2 || m[0] != 62 || m[1] != 63 {
		t.Errorf("harmless codes %v, want 62 and 63", m)
	}
}
