package annotate_test

import (
	"fmt"

	"staydown/hold/result"
	"staydown/report/annotate"
)

func ExampleProgram() {
	src := []byte("%\nG1 X100 F1200\nM30\n%\n")
	r := &result.Result{Program: result.ProgramFacts{Path: "part.nc"}, Verdict: result.Loose,
		Findings: []result.Finding{{Line: 2, TimeS: 4, LastLine: 2, LastTimeS: 4, Piece: 3, Rule: result.RuleSlip,
			Level: result.LevelError, Mode: result.Slip, Margin: 0.62, HoldN: 41, LoadN: 23.1, Tool: 2,
			Message: "piece 3 (60 x 40 mm at X120 Y85) comes loose, slips: margin 0.62, hold 41 N, load 23 N, tool 2",
			Remedy:  "feed at most F700 (now F1200) in line 2"}}}
	out, err := annotate.Program(src, r, annotate.Options{Style: annotate.SemicolonComments})
	if err != nil {
		fmt.Println(err)
	}
	fmt.Printf("%s", out)
	// Output:
	// %
	// ; STAYDOWN ANNOTATED COPY OF PART.NC. VERDICT: LOOSE. LINE NUMBERS
	// ; STAYDOWN... ARE THOSE OF THAT PROGRAM
	// ; STAYDOWN CAUTION: THIS IS AN ESTIMATE, NOT A GUARANTEE. PROVE THE
	// ; STAYDOWN... PROGRAM WITH A TEST CUT, WITH GUARDS CLOSED AND PEOPLE
	// ; STAYDOWN... CLEAR: LOOSE PARTS AND BROKEN TOOLS FLY. THE MACHINE'S
	// ; STAYDOWN... MANUAL, LOCAL SAFETY RULES AND LICENSED PRACTICE COME
	// ; STAYDOWN... FIRST.
	// ; STAYDOWN LOOSE: PIECE 3 [60 X 40 MM AT X120 Y85] COMES LOOSE,
	// ; STAYDOWN... SLIPS: MARGIN 0.62, HOLD 41 N, LOAD 23 N, TOOL 2. REMEDY:
	// ; STAYDOWN... FEED AT MOST F700 [NOW F1200] IN LINE 2
	// G1 X100 F1200
	// M30
	// %
}
