package parse_test

import (
	"fmt"

	"staydown/parse"
)

func ExampleRead() {
	src := []byte("G21 G90 G17\n" +
		"T1 M6\n" +
		"S12000 M3\n" +
		"G0 X0 Y0 Z5 ; above the corner\n" +
		"G1 Z-6 F300\n" +
		"X40 F1200\n" +
		"G3 X50 Y10 R10\n" +
		"G0 Z5\n" +
		"G77\n" +
		"M30\n")
	p := parse.Read(src, parse.Options{Name: "part.nc", RapidMMMin: 20000})
	for _, m := range p.Moves.All() {
		fmt.Printf("line %d: tool %d, %.3f mm to (%g, %g, %g) at %g mm/min\n",
			m.Line, m.Tool, m.LengthMM, m.End.X, m.End.Y, m.End.Z, m.FeedMMMin)
	}
	for _, n := range p.Notes {
		fmt.Printf("%v: %s\n", n.Pos, n.Message)
	}
	fmt.Println(p.ModalsAt([]int{7})[0])
	// Output:
	// line 5: tool 1, 11.000 mm to (0, 0, -6) at 300 mm/min
	// line 6: tool 1, 40.000 mm to (40, 0, -6) at 1200 mm/min
	// line 7: tool 1, 15.708 mm to (50, 10, -6) at 1200 mm/min
	// line 8: tool 1, 11.000 mm to (50, 10, 5) at 0 mm/min
	// part.nc:4:13: a semicolon; what follows it on the line is read as a comment
	// part.nc:9:1: G77 is not understood; the block is not read
	// G3 G17 G21 G90 G91.1 G94 G40 G49 G98 G54 G61 G15 F1200 S12000 T1 M3 M9 at X50.0000 Y10.0000 Z-6.0000 mm
}

func ExampleIsText() {
	fmt.Println(parse.IsText([]byte("G21 G90\nG1 X10 F600\nM30\n")))
	fmt.Println(parse.IsText([]byte("G1 X10\x00\x00")))
	// Output:
	// <nil>
	// the file is binary, not the text of an RS-274 program; post it as text
}

func ExampleProgram_ModalsAt() {
	p := parse.Read([]byte("G21 G90\nG0 X10 Y0 Z5\nG91 G1 X2 F600\nM30\n"), parse.Options{})
	fmt.Println(p.ModalsAt([]int{3})[0])
	// Output: G1 G17 G21 G91 G91.1 G94 G40 G49 G98 G54 G61 G15 F600 S0 T0 M5 M9 at X12.0000 Y0.0000 Z5.0000 mm
}
