package report_test

import (
	"bytes"
	"fmt"
	"math"
	"os"
	"strings"

	"staydown/hold/result"
	"staydown/report"
)

func finding() result.Finding {
	return result.Finding{Line: 2, TimeS: 4, LastLine: 2, LastTimeS: 4, Piece: 3, Rule: result.RuleSlip,
		Level: result.LevelError, Mode: result.Slip, Margin: 0.62, HoldN: 41, LoadN: 23.1, Tool: 2,
		Message: "piece 3 (60 x 40 mm at X120 Y85) comes loose, slips: margin 0.62, hold 41 N, load 23 N, tool 2",
		Remedy:  "feed at most F700 (now F1200) in line 2"}
}

func ExampleText() {
	r := &result.Result{Program: result.ProgramFacts{Path: "part.nc"}, Findings: []result.Finding{finding()}}
	if err := report.Text(os.Stdout, r, report.TextOptions{Quiet: true}); err != nil {
		fmt.Println(err)
	}
	// Output:
	// part.nc:2: error: piece 3 (60 x 40 mm at X120 Y85) comes loose, slips: margin 0.62, hold 41 N, load 23 N, tool 2
	//     remedy: feed at most F700 (now F1200) in line 2
}

func ExampleJSON() {
	data, err := report.JSON(&result.Result{Program: result.ProgramFacts{Path: "part.nc"}, Verdict: result.Held,
		Vacuum: result.Vacuum{AmbientKPa: 101.325, StartKPa: 88.25, LeastKPa: 0.1 + 0.2, AlarmSetpointKPa: math.NaN(),
			NeverBelowKPa: math.NaN(), PumpNeededM3h: 40}})
	if err != nil {
		fmt.Println(err)
	}
	fmt.Printf("%s", data)
	// Output:
	// {
	//   "schema": "staydown/2",
	//   "program": {
	//     "path": "part.nc",
	//     "sha256": "",
	//     "lines": 0,
	//     "blocks": 0,
	//     "duration_s": 0,
	//     "cut_length_mm": 0
	//   },
	//   "grid": {
	//     "cell_mm": 0,
	//     "nx": 0,
	//     "ny": 0
	//   },
	//   "verdict": "held",
	//   "chance": 0,
	//   "job_files": [],
	//   "assumed": [],
	//   "actions": [],
	//   "pieces": [],
	//   "doubt": [],
	//   "leak_m3h": {
	//     "bare": 0,
	//     "kerfs": 0,
	//     "holes": 0,
	//     "rim": 0,
	//     "work": 0,
	//     "layer_rim": 0,
	//     "gaskets": 0,
	//     "hoses": 0
	//   },
	//   "findings": [],
	//   "timeline": [],
	//   "vacuum": {
	//     "ambient_kpa": 101.325,
	//     "start_kpa": 88.25,
	//     "least_kpa": 0.3,
	//     "alarm_setpoint_kpa": null,
	//     "never_below_kpa": null,
	//     "pump_needed_m3h": 40
	//   },
	//   "gauge": [],
	//   "caution": "This is an estimate, not a guarantee. Prove the program with a test cut, with guards closed and people clear: loose parts and broken tools fly. The machine's manual, local safety rules and licensed practice come first."
	// }
}

func ExampleSummary() {
	r := &result.Result{Program: result.ProgramFacts{Path: "a,b.nc"}, Verdict: result.Held, Margin: 2}
	var b bytes.Buffer
	if err := report.Summary(&b, []*result.Result{r}); err != nil {
		fmt.Println(err)
	}
	fmt.Print(strings.ReplaceAll(b.String(), "\r\n", "\n"))
	// Output:
	// program,verdict,chance,least_margin,least_low,least_high,least_mode,least_piece,least_line,margin_asked,errors,warnings,notes,pieces,freed,at_risk,loose,slivers,blocks,duration_s,cut_length_mm,vacuum_start_kpa,vacuum_least_kpa,alarm_setpoint_kpa,never_below_kpa,pump_needed_m3h,sha256,action,remark
	// "a,b.nc",held,0,,,,,,,2,0,0,0,0,0,0,0,0,0,0,0,0,0,0,0,0,,,
}
