package job_test

import (
	"fmt"

	"staydown/hold/job"
	"staydown/parse"
	"staydown/parse/units"
)

func ExampleParse() {
	j, err := job.Parse("panel.toml", []byte(`
[site]
altitude = "1500 m"
[stock]
corner   = ["0 mm", "0 mm", "-6 mm"]
size     = ["24 in", "12 in", "6 mm"]
material = "aluminium-wrought"
[layer]
material = "porous-card"
[[zone]]
name = "left"
area = [["0 mm", "0 mm"], ["12 in", "12 in"]]
[pump]
kind = "dry-claw"
flow = "60 cfm"
[[tool]]
number   = 1
diameter = "6 mm"
`))
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("ambient %.0f Pa, pump %.1f m3/h, layer %.2f mm\n", j.AmbientPa, j.Pump.FlowM3h, j.Layer.ThicknessMM)
	// Output: ambient 84556 Pa, pump 101.9 m3/h, layer 0.75 mm
}

func ExampleParse_problems() {
	_, err := job.Parse("panel.toml", []byte(`[stock]
corner   = ["0 mm", "0 mm", "-6 mm"]
size     = ["600 mm", "400 mm", 6]
material = "aluminium-wrought"
[layer]
thicknes  = "0.8 mm"
material  = "porous-card"
[[zone]]
name = "A"
area = [["0 mm", "0 mm"], ["600 mm", "400 mm"]]
[pump]
kind = "rotary-vane"
flow = "63 m/h"
[[tool]]
number   = 1
diameter = "6 bar"
`))
	fmt.Println(err)
	// Output:
	// panel.toml:3:33: size: 6 has no unit; write "6 mm"
	// panel.toml:6:1: thicknes: unknown key of layer; the nearest known one is thickness
	// panel.toml:13:8: flow: unit "m/h" is unknown; write one of m3/h, l/min, cfm, e.g. "63 m3/h"
	// panel.toml:16:12: diameter: "6 bar" is a pressure, but a length is wanted; write one of mm, cm, m, in, ft, e.g. "6 mm"
}

func ExampleNewDraft() {
	draft, _ := job.NewDraft(&parse.Program{Name: "panel.nc"}, nil, "panel.nc", units.Unchosen)
	_, err := job.Parse("panel.toml", draft.Text)
	fmt.Println(err.(job.Errors)[0])
	// Output: panel.toml:6:13: altitude: still to be filled in; write the value in place of FILL
}

func ExampleExtensions() {
	fmt.Println(job.Extensions(job.File{Name: "shop.toml",
		Data: []byte("[machine]\nextensions = [\".h\", \".nc\"]\n")}))
	// Output: [.h .nc]
}
