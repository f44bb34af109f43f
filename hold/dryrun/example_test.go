package dryrun_test

import (
	"fmt"
	"strings"

	"github.com/paulmach/orb"

	"staydown/hold/dryrun"
	"staydown/hold/job"
)

func Example() {
	j, err := job.Parse("job.toml", []byte(`
[stock]
corner   = ["0 mm", "0 mm", "-6 mm"]
size     = ["200 mm", "150 mm", "6 mm"]
material = "aluminium-wrought"
[layer]
material = "porous-card"
[[zone]]
name = "A"
area = [["0 mm", "0 mm"], ["200 mm", "150 mm"]]
[pump]
kind = "rotary-vane"
flow = "100 m3/h"
[[tool]]
number   = 1
diameter = "6 mm"
`))
	if err != nil {
		fmt.Println(err)
		return
	}
	square := orb.Ring{{50, 50}, {90, 50}, {90, 90}, {50, 90}, {50, 50}}
	path := dryrun.Follow(square, false, j.Tools[1].DiameterMM)
	for _, care := range []dryrun.Care{{}, {ClosingMM: 0.5}, {Tabs: 3, TabWideMM: 6, TabHighMM: 1}} {
		text, prog, err := dryrun.Write("square.nc", []dryrun.Contour{{Path: path, Care: care}},
			dryrun.Cut{Tool: 1, FeedMMMin: 1200, RPM: 18000}, j)
		if err != nil {
			fmt.Println(err)
			return
		}
		fmt.Printf("%.0f mm in %d plunges\n", prog.CutLengthMM, strings.Count(string(text), "F300"))
	}
	// Output:
	// 190 mm in 1 plunges
	// 379 mm in 2 plunges
	// 197 mm in 4 plunges
}
