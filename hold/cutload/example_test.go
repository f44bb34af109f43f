package cutload_test

import (
	"fmt"
	"math"

	"staydown/hold/cutload"
	"staydown/hold/job"
	"staydown/hold/material"
	"staydown/parse"
	"staydown/sweep"
)

// A slot in aluminium, 3 mm deep with a 6 mm cutter: the catalogue relation P = kc ap ae vf/60e6 with kc = 1657 N/mm2
// at the mean chip gives 895 W, on average over the arc a little less. The mean sideways force is 222 N/pi times the
// integral of cos^1.75 over the front, 1.657.
func ExampleCutting() {
	work := material.Work{KC11: material.Exact(700, ""), MC: material.Exact(0.25, "")}
	tool := job.Tool{Tool: sweep.Tool{Shape: sweep.Flat, DiameterMM: 6}, Flutes: 2}
	cut := cutload.Cut{
		RightRad: -math.Pi / 2, LeftRad: math.Pi / 2, DepthMM: 3,
		FeedMMMin: 1800, RPM: 18000, Spindle: parse.SpindleClockwise,
	}
	load, err := cutload.Cutting(work, tool, cut)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("power %.0f W, peak %.0f N, mean %.0f N to the right\n", load.PowerW, load.Peak, -load.Mean.Left)

	cut.Spindle = parse.SpindleStopped
	_, err = cutload.Cutting(work, tool, cut)
	fmt.Println(err)
	// Output:
	// power 868 W, peak 222 N, mean 117 N to the right
	// the spindle is stopped while cutting; start it with M3 and a speed before this block, or give speed under [[tool]] or [machine] in the job file if it is started by hand
}
