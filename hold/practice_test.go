package hold

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"staydown/hold/contact"
	"staydown/internal/testrun"
)

// What the trade knows from practice, against the whole road. "Held" is a likely margin of at least 1 of every part,
// "lost" one below 1 of the worst. Each row lists the inputs that its source leaves open and that were chosen here, at
// the end of their usual range that makes the statement hardest: weak friction and pump for "held", strong ones for
// "lost". Nothing is fitted to a row.

// practice is a job of the trade: equal parts in rows on one sheet.
type practice struct {
	sheetX, sheetY, thickMM float64
	partX, partY            float64
	columns, rows           int
	// between the edges of the parts; above twice the diameter of the tool a skeleton is left
	gapMM     float64
	material  string
	stock     string // further lines of [stock]
	layer     string // lines of [layer]; "" for none
	zone      string // further lines of [[zone]]
	pump      string // lines of [pump]
	tool      string // further lines of [[tool]]
	toolMM    float64
	rpm, feed float64
	depths    []float64 // of the passes, below the top of the sheet
	cellMM    float64   // of the long run; the quick one takes a third of the tool's diameter
}

func (p practice) program() string {
	var b strings.Builder
	fmt.Fprintf(&b, "G21 G90 G17 G94\nT1 M6\nS%g M3\nG0 Z10\n", p.rpm)
	pitchX, pitchY := p.partX+p.gapMM, p.partY+p.gapMM
	x0 := (p.sheetX - float64(p.columns)*pitchX) / 2
	y0 := (p.sheetY - float64(p.rows)*pitchY) / 2
	r := p.toolMM / 2
	for row := range p.rows {
		for column := range p.columns {
			x := x0 + float64(column)*pitchX + p.gapMM/2 - r
			y := y0 + float64(row)*pitchY + p.gapMM/2 - r
			fmt.Fprintf(&b, "G0 X%.3f Y%.3f\n", x, y)
			for _, depth := range p.depths {
				fmt.Fprintf(&b, "G1 Z-%g F%g\nY%.3f F%g\nX%.3f\nY%.3f\nX%.3f\n", depth, p.feed/4, y+p.partY+2*r, p.feed,
					x+p.partX+2*r, y, x)
			}
			b.WriteString("G0 Z10\n")
		}
	}
	b.WriteString("M30\n")
	return b.String()
}

func (p practice) job() string {
	layer := ""
	if p.layer != "" {
		layer = "[layer]\n" + p.layer + "\n"
	}
	cellMM := p.toolMM / 3
	if testrun.Long {
		cellMM = p.cellMM
	}
	grid := fmt.Sprintf("[grid]\ncell = \"%g mm\"\n", cellMM)
	return fmt.Sprintf(`[stock]
corner = ["0 mm", "0 mm", "-%[3]g mm"]
size = ["%[1]g mm", "%[2]g mm", "%[3]g mm"]
material = %[4]q
%[11]s
%[5]s[[zone]]
name = "A"
area = [["0 mm","0 mm"],["%[1]g mm","%[2]g mm"]]
%[6]s
[pump]
%[7]s
[[tool]]
number = 1
diameter = "%[8]g mm"
%[9]s
%[10]s`, p.sheetX, p.sheetY, p.thickMM, p.material, layer, p.zone, p.pump, p.toolMM, p.tool, grid, p.stock)
}

// leastOfParts is the least margin of the freed parts of the size asked for.
func leastOfParts(a *Analysis, p practice) (least float64, parts int) {
	least = math.Inf(1)
	for _, piece := range a.Result.Pieces {
		if math.Abs(piece.AreaMM2-p.partX*p.partY) < 0.04*p.partX*p.partY {
			parts++
			least = math.Min(least, piece.Least.Margin)
		}
	}
	return least, parts
}

// nestedBoard is 18 mm board on a 4 x 8 ft table with fiberboard as the layer, cut by a 12 mm tool with two flutes at
// 18 m/min. Flutes, speed (18,000 to 24,000 /min), the 18 mm layer and the grooves are chosen: common practice, no
// source.
func nestedBoard(partX, partY float64, columns, rows int) practice {
	return practice{
		sheetX: 2440, sheetY: 1220, thickMM: 18, partX: partX, partY: partY, columns: columns, rows: rows, gapMM: 34,
		material: "particleboard", stock: `faced = "both"`, toolMM: 12, rpm: 18000, feed: 18000,
		depths: []float64{18.3}, cellMM: 3,
		layer: board(0.3), zone: tableGroove, pump: vane(250),
		tool: "flutes = 2\nhelix = \"30 deg\"\nreach = \"30 mm\"",
	}
}

const tableGroove = "groove = { pitch = \"50 mm\", width = \"10 mm\" }"

func board(friction float64) string {
	return fmt.Sprintf("material = \"mdf\"\nfriction = %g\ncut_limit = \"1 mm\"", friction)
}

func vane(flowM3h float64) string {
	return fmt.Sprintf("kind = \"rotary-vane\"\nflow = \"%g m3/h\"\nultimate = \"100 mbar\"\nleak = \"10 m3/h\"",
		flowM3h)
}

// blower draws at most to the vacuum given, in mbar below the ambient 1013.
func blower(flow string, vacuumMbar float64) string {
	return fmt.Sprintf("kind = \"side-channel\"\nflow = %q\nultimate = \"%g mbar\"\nleak = \"10 m3/h\"", flow,
		1013-vacuumMbar)
}

// practiceRow is a statement of the trade.
type practiceRow struct {
	name, source string
	job          practice
	margin       float64
	kept         bool
}

func (row practiceRow) check(t *testing.T) {
	a := road(t, row.job.program(), row.job.job())
	least, parts := leastOfParts(a, row.job)
	if parts < row.job.columns*row.job.rows {
		t.Errorf("%d parts of that size, want %d", parts, row.job.columns*row.job.rows)
	}
	if (least >= row.margin) != row.kept {
		t.Errorf("least margin %.2f at %.1f kPa, want %g kept: %v (%s)", least, a.Result.Vacuum.LeastKPa, row.margin,
			row.kept, row.source)
	}
	t.Logf("least margin %.2f at %.1f kPa", least, a.Result.Vacuum.LeastKPa)
}

const (
	blowerSheet = "4 x 8 ft sheet on a 335 cfm blower at 14 inHg: parts up to 150 mm square lost; common " +
		"practice, no source"
	smallPly = "12 mm plywood on a 250 mbar blower: margin 2 first between 100 and 500 cm2; a table maker's " +
		"guide names 500 cm2"
	thinAcrylic   = "3 mm acrylic with a last pass of 0.5 mm: 50 x 50 mm near the limit; common practice, no source"
	thinAluminium = "2 mm aluminium, 4 mm single flute, last pass 0.2 mm: 40 x 40 mm and more held at F600 to F900, " +
		"lost in one pass; common practice, no source"
)

func blowerPly(side float64) practice {
	return practice{
		sheetX: 2440, sheetY: 1220, thickMM: 18, partX: side, partY: side, columns: 2, rows: 2, gapMM: 24,
		material: "plywood", toolMM: 9.525, rpm: 18000, feed: 10000, depths: []float64{18.3}, cellMM: 2,
		layer: board(0.4), zone: tableGroove, pump: blower("335 cfm", 474), tool: "flutes = 2\nhelix = \"30 " +
			"deg\"\nreach = \"30 mm\"",
	}
}

func plywood(side float64) practice {
	return practice{
		sheetX: 600, sheetY: 600, thickMM: 12, partX: side, partY: side, columns: 2, rows: 2, gapMM: 20,
		material: "plywood", toolMM: 6, rpm: 18000, feed: 3000, depths: []float64{4, 8, 12.2}, cellMM: 1,
		layer: board(0.3), zone: tableGroove, pump: blower("300 m3/h", 250), tool: "flutes = 2\nhelix = \"30 " +
			"deg\"\nreach = \"22 mm\"",
	}
}

func acrylic(side float64) practice {
	return practice{
		sheetX: 600, sheetY: 400, thickMM: 3, partX: side, partY: side, columns: 2, rows: 2, gapMM: 12,
		material: "pmma", toolMM: 3, rpm: 18000, feed: 1500, depths: []float64{2.5, 3.1}, cellMM: 0.5,
		layer: "material = \"porous-card\"\nfriction = 0.3\ncut_limit = \"0.4 mm\"",
		zone:  "groove = { pitch = \"20 mm\", width = \"5 mm\" }",
		pump:  vane(100), tool: "flutes = 1\nhelix = \"30 deg\"\nreach = \"12 mm\"",
	}
}

func aluminium(side, feed float64, depths ...float64) practice {
	p := acrylic(side)
	p.material, p.thickMM, p.toolMM, p.feed, p.depths = "aluminium-sheet", 2, 4, feed, depths
	return p
}

func TestTradePractice(t *testing.T) {
	if testing.Short() {
		t.Skip("a long run of whole programs")
	}
	with := func(p practice, change func(*practice)) practice { change(&p); return p }
	thin := func(p *practice) { p.depths = []float64{17.2, 18.3} } // 0.8 mm left for the last pass
	strong := func(p *practice) { p.layer, p.pump, p.rpm = board(0.4), vane(500), 24000 }
	const nest = "nested 18 mm board on a 250 to 500 m3/h pump at 18 m/min: common practice, no source"
	rows := []practiceRow{
		{"panels of 0.1 m2 in one pass", nest, nestedBoard(400, 250, 4, 3), 1, true},
		{"parts of 0.02 m2 in one pass", nest, with(nestedBoard(200, 100, 2, 2), strong), 1, false},
		{"300 x 100 mm in one pass", nest, with(nestedBoard(300, 100, 2, 2), strong), 1, false},
		{"300 x 100 mm with a last pass of 0.8 mm", nest, with(nestedBoard(300, 100, 2, 2), thin), 1, true},
		{"150 mm square on a blower in one pass", blowerSheet, blowerPly(150), 1, false},
		{"100 cm2 of 12 mm plywood on a blower", smallPly, plywood(100), 2, false},
		{"500 cm2 of 12 mm plywood on a blower", smallPly, plywood(224), 2, true},
		{"40 mm of 2 mm aluminium at F900, last pass 0.2 mm", thinAluminium, aluminium(40, 900, 0.9, 1.8, 2.1), 1,
			true},
		{"60 mm of 2 mm aluminium at F600, last pass 0.2 mm", thinAluminium, aluminium(60, 600, 0.9, 1.8, 2.1), 1,
			true},
		{"40 mm of 2 mm aluminium at F600 in one pass", thinAluminium, aluminium(40, 600, 2.1), 1, false},
		{"80 mm of 3 mm acrylic, last pass 0.5 mm", thinAcrylic, acrylic(80), 1, true},
		{"30 mm of 3 mm acrylic, last pass 0.5 mm", thinAcrylic, acrylic(30), 1, false},
	}
	for _, row := range rows {
		t.Run(row.name, func(t *testing.T) { row.check(t) })
	}
}

// A ring of 60 by 40 mm out of 1.6 mm sheet on four tabs, 3.2 mm wide and 0.5 mm high, held on a hobby page. Chosen:
// aluminium, a 3 mm tool with two flutes at F600, passes of 0.55 mm, a table of card with a good vacuum.
func TestARingOnFourTabsIsHeld(t *testing.T) {
	p := aluminium(60, 600)
	p.thickMM, p.toolMM, p.tool = 1.6, 3, "flutes = 2\nhelix = \"30 deg\"\nreach = \"12 mm\""
	var b strings.Builder
	b.WriteString("G21 G90 G17 G94\nT1 M6\nS18000 M3\nG0 Z10\n")
	const x, y = 300.0, 200.0
	round := func(r float64, tabs bool) {
		fmt.Fprintf(&b, "G0 X%.4f Y%.4f\n", x+r, y)
		for _, depth := range []float64{0.55, 1.1, 1.7} {
			fmt.Fprintf(&b, "G1 Z-%g F150\n", depth)
			if !tabs || depth < 1.2 {
				fmt.Fprintf(&b, "G3 X%.4f Y%.4f I-%.4f F600\n", x+r, y, r)
				continue
			}
			// Of each quarter the tab and half the tool on either side stay 0.5 mm above the table.
			lift := (3.2 + p.toolMM) / r
			for quarter := range 4 {
				for _, stop := range []struct{ at, z float64 }{{math.Pi/4 - lift/2, -1.1}, {math.Pi/4 + lift/2, -depth},
					{math.Pi / 2, -depth}} {
					sin, cos := math.Sincos(float64(quarter)*math.Pi/2 + stop.at)
					fmt.Fprintf(&b, "G3 X%.4f Y%.4f R%.4f F600\nG1 Z%g F150\n", x+r*cos, y+r*sin, r, stop.z)
				}
			}
		}
		b.WriteString("G0 Z10\n")
	}
	round(20-p.toolMM/2, false)
	round(30+p.toolMM/2, true)
	b.WriteString("M30\n")
	a := road(t, b.String(), p.job())
	found := false
	for _, piece := range a.Result.Pieces {
		if area := math.Pi * (30*30 - 20*20); math.Abs(piece.AreaMM2-area) < 0.04*area {
			found = true
			if piece.Freed || piece.Least.Margin < 1 {
				t.Errorf("the ring: freed %v, margin %.2f", piece.Freed, piece.Least.Margin)
			}
			t.Logf("margin %.2f", piece.Least.Margin)
		}
	}
	if !found {
		t.Errorf("no ring among %d pieces", len(a.Result.Pieces))
	}
}

// 24 x 24 in under 22 inHg on a gasket is held by 27.7 kN: 0.6096^2 m2 times 22 x 3386.389 Pa (NIST SP 811, B.8) is 27
// 685 N; a workholding manual's rule, inHg times square inches times 0.5, says 6336 lbf (28.2 kN).
func TestTwoFeetSquareOnAGasket(t *testing.T) {
	const inHgPa = 3386.389
	a := road(t, "G20 G90\nT1 M6\nS10000 M3\nG0 X6 Y2 Z1\nG1 Z0.4 F10\nX6.5\nG0 Z1\nM30\n", `
[stock]
corner = ["0 in", "0 in", "0 in"]
size = ["24 in", "24 in", "0.5 in"]
material = "aluminium-wrought"
[[zone]]
name = "whole"
area = [["0 in","0 in"],["24 in","24 in"]]
seal = "gasket"
[pump]
kind = "rotary-vane"
flow = "100 m3/h"
ultimate = "7.9213 inHg"
leak = "0 m3/h"
[[tool]]
number = 1
diameter = "0.25 in"
`)
	if got := a.Result.Vacuum.LeastKPa * 1e3; !(math.Abs(got-22*inHgPa) <= 20) {
		t.Fatalf("vacuum %.0f Pa, want 22 inHg", got)
	}
	body := a.bodyOf(&a.air[len(a.air)-1], bodyKey{piece: 1}, a.air[len(a.air)-1].state.Chuck, change{})
	body.WeightN = 0
	support, err := contact.NewSupport(body)
	if err != nil {
		t.Fatal(err)
	}
	if got := support.NormalN(); math.Abs(got-27685) > 0.005*27685 {
		t.Errorf("hold %.0f N, want 27 685 N", got)
	}
}
