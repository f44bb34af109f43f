package job_test

import (
	"errors"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"staydown/hold/job"
)

// minimal holds no more than what must be written.
const minimal = `[stock]
corner = ["0 mm", "0 mm", "-6 mm"]
size = ["600 mm", "400 mm", "6 mm"]
material = "aluminium-wrought"
[layer]
thickness = "0.8 mm"
through = "3e-13 m2"
[[zone]]
name = "A"
area = [["0 mm","0 mm"],["600 mm","400 mm"]]
[pump]
kind = "rotary-vane"
flow = "63 m3/h"
[[tool]]
number = 1
diameter = "6 mm"
`

// Each row changes one part of the minimal job and lists every message that follows, with its line and column.
func TestMessages(t *testing.T) {
	const disc = "shape = \"disc\"\ncentre = [\"0 mm\", \"0 mm\"]\ndiameter = \"300 mm\"\nthickness = \"6 " +
		"mm\"\nbottom = \"-6 mm\"\n"
	const stock = "corner = [\"0 mm\", \"0 mm\", \"-6 mm\"]\nsize = [\"600 mm\", \"400 mm\", \"6 mm\"]\n"
	const tool = "number = 1\n"
	const pull = "[[layer.pull]]\narea = \"100 cm2\"\nreadings = \"120 N\"\n"
	for _, c := range []struct {
		name, from, to string
		want           []string
	}{
		// quantities
		{"bare decimal number", `thickness = "0.8 mm"`, `thickness = 0.8`, []string{
			`j.toml:6:13: thickness: 0.8 has no unit; write "0.8 mm"`}},
		{"bare whole number with separators", `diameter = "6 mm"`, `diameter = 1_0`, []string{
			`j.toml:16:12: diameter: 1_0 has no unit; write "10 mm"`}},
		{"number in quotes without unit", `thickness = "0.8 mm"`, `thickness = "0.8"`, []string{
			`j.toml:6:13: thickness: "0.8" has no unit; write "0.8 mm"`}},
		{"permeability without unit", `"3e-13 m2"`, `3e-13`, []string{
			`j.toml:7:11: through: 3e-13 has no unit; write "3e-13 m2"`}},
		{"pressure for a length", `"0.8 mm"`, `"0.8 bar"`, []string{
			`j.toml:6:13: thickness: "0.8 bar" is a pressure, but a length is wanted; write one of mm, cm, m, in, ` +
				`ft, e.g. "6 mm"`}},
		{"length for a flow", `"63 m3/h"`, `"63 mm"`, []string{
			`j.toml:13:8: flow: "63 mm" is a length, but a flow is wanted; write one of m3/h, l/min, cfm, ` +
				`e.g. "63 m3/h"`}},
		{"unit that is none", `"0.8 mm"`, `"0.8 furlongs"`, []string{
			`j.toml:6:13: thickness: unit "furlongs" is unknown; write one of mm, cm, m, in, ft, e.g. "6 mm"`}},
		{"fraction of nothing", `"0.8 mm"`, `"1/0 in"`, []string{
			`j.toml:6:13: thickness: "1/0 in" is no fraction; write one as in "1/2 in" or "1-1/2 in"`}},
		{"decimal comma", `"0.8 mm"`, `"0,8 mm"`, []string{
			`j.toml:6:13: thickness: "0,8 mm" has a decimal comma; write a point: "0.8 mm"`}},
		{"no number", `"0.8 mm"`, `"thin"`, []string{
			`j.toml:6:13: thickness: "thin" does not begin with a number; write e.g. "6 mm"`}},
		{"two numbers", `"0.8 mm"`, `"0.8 0.9 mm"`, []string{
			`j.toml:6:13: thickness: unit "0.9 mm" is unknown; write one of mm, cm, m, in, ft, e.g. "6 mm"`}},
		{"empty text", `"0.8 mm"`, `""`, []string{
			`j.toml:6:13: thickness: "" does not begin with a number; write e.g. "6 mm"`}},
		{"not a number", `"0.8 mm"`, `nan`, []string{
			`j.toml:6:13: thickness: nan is not a finite number; write e.g. "6 mm"`}},
		{"not a number in quotes", `"0.8 mm"`, `"NaN mm"`, []string{
			`j.toml:6:13: thickness: "NaN mm" is not a finite number; write e.g. "6 mm"`}},
		{"infinite", `"0.8 mm"`, `-inf`, []string{
			`j.toml:6:13: thickness: -inf is not a finite number; write e.g. "6 mm"`}},
		{"too many digits for a number", `"0.8 mm"`, `"1e999 mm"`, []string{
			`j.toml:6:13: thickness: "1e999 mm" is too large; write a smaller number`}},
		{"hexadecimal", `"0.8 mm"`, `0x1F`, []string{
			`j.toml:6:13: thickness: 0x1F has no unit; write e.g. "6 mm"`}},
		{"truth for a length", `"0.8 mm"`, `true`, []string{
			`j.toml:6:13: thickness: true or false where a length is wanted; write e.g. "6 mm"`}},
		{"date for a length", `"0.8 mm"`, `2001-01-01`, []string{
			`j.toml:6:13: thickness: a date where a length is wanted; write e.g. "6 mm"`}},
		{"list for a length", `"0.8 mm"`, `["0.8 mm"]`, []string{
			`j.toml:6:13: thickness: a list where a length is wanted; write one value, e.g. "6 mm"`}},
		{"negative thickness", `"0.8 mm"`, `"-0.8 mm"`, []string{
			`j.toml:6:13: thickness: "-0.8 mm" is out of range; write at least 0.01 mm and at most 100 mm`}},
		{"absurd thickness", `"0.8 mm"`, `"0.8 m"`, []string{
			`j.toml:6:13: thickness: "0.8 m" is out of range; write at least 1e-05 m and at most 0.1 m`}},

		{"permeability in its plane alone", `material = "aluminium-wrought"`, "material = " +
			"\"a\"\n[material.a]\nbased_on = \"aluminium-wrought\"\nalong = \"1e-13 m2\"", []string{
			`j.toml:7:9: along: the permeability across the sheet is missing; write through = "1e-13 m2" as well`}},
		{"half a hose", `flow = "63 m3/h"`, "flow = \"63 m3/h\"\nhose = { bore = \"50 mm\" }", []string{
			`j.toml:14:8: hose: length is missing; write length = "3 m"`}},
		{"two valves", `flow = "63 m3/h"`, "flow = \"63 m3/h\"\nvalve = { kv = \"12 m3/h\", critical_ratio = 0.3 }",
			[]string{
				`j.toml:14:27: critical_ratio: belongs to the other way of writing a valve; write kv alone, ` +
					`or conductance and critical_ratio`}},
		{"conductance in another unit", `flow = "63 m3/h"`, "flow = \"63 m3/h\"\nvalve = { conductance = \"40 " +
			"m3/h\", critical_ratio = 0.3 }", []string{
			`j.toml:14:25: conductance: "40 m3/h" is a flow, but a sonic conductance is wanted; ` +
				`write one of dm3/(s bar), l/(s bar), m3/(s Pa), e.g. "40 dm3/(s bar)"`}},
		{"ports without number", "name = \"A\"", "name = \"A\"\nport = { diameter = \"20 mm\" }", []string{
			`j.toml:10:8: port: the number of ports is missing; write count = 1, or pitch = "100 mm"`}},
		{"ports that overlap", "name = \"A\"", "name = \"A\"\nport = { diameter = \"20 mm\", pitch = \"15 mm\" }",
			[]string{
				`j.toml:10:38: pitch: ports of 20 mm at a pitch of 15 mm overlap; write a pitch above the diameter`}},
		{"no such face", `material = "aluminium-wrought"`, "material = \"mdf\"\nfaced = \"botom\"", []string{
			`j.toml:5:9: faced: "botom" is not known here; write "bottom"`}},

		// words
		{"slip in a key", "thickness =", "thicknes =", []string{
			`j.toml:5:2: layer: thickness is missing; write thickness = "0.8 mm"`,
			`j.toml:6:1: thicknes: unknown key of layer; the nearest known one is thickness`}},
		{"letters swapped", "flow =", "folw =", []string{
			`j.toml:11:2: pump: flow is missing; write flow = "63 m3/h"`,
			`j.toml:13:1: folw: unknown key of pump; the nearest known one is flow`}},
		{"key of another table", tool, "number = 1\nultimate = \"20 mbar\"\n", []string{
			`j.toml:16:1: ultimate: unknown key of tool; it belongs to [pump]; move it there`}},
		{"table as a key", tool, "number = 1\nmachine = 3\n", []string{
			`j.toml:16:1: machine: unknown key of tool; it is a table of its own; write [machine]`}},
		{"slip in a nested table", "[pump]", "groove = { pitsch = \"20 mm\", pitch = \"20 mm\", width = \"5 mm\" " +
			"}\n[pump]", []string{
			`j.toml:11:12: pitsch: unknown key of groove; the nearest known one is pitch`}},
		{"slip in a table's name", "[pump]", "[pmup]", []string{
			`j.toml:11:2: pmup: unknown table; the nearest known one is pump`}},
		{"key above all tables", "[stock]", "margin = 2\n[stock]", []string{
			`j.toml:1:1: margin: is outside any table; write it below [limits]`}},
		{"slip above all tables", "[stock]", "friktion = 0.3\n[stock]", []string{
			`j.toml:1:1: friktion: unknown key outside any table; the nearest known one is friction below [layer]`}},
		{"one bracket for many", "[[zone]]", "[zone]", []string{
			`j.toml:8:2: zone: there can be several; write [[zone]] with two brackets`}},
		{"two brackets for one", "[pump]", "[[pump]]", []string{
			`j.toml:11:3: pump: there is only one; write [pump] with single brackets`}},
		{"value for a table", "[stock]", "limits = 2\n[stock]", []string{
			`j.toml:1:10: limits: a number where a table is wanted; write [limits]`}},

		// TOML itself
		{"key twice", tool, "number = 1\nnumber = 1\n", []string{
			`j.toml:16:1: not valid TOML: key number is already defined; write lines like key = "value unit" below ` +
				`headers like [table]`}},
		{"text without end", `"aluminium-wrought"`, `"aluminium`, []string{
			`j.toml:4:22: not valid TOML: basic strings cannot have new lines; ` +
				`write lines like key = "value unit" below headers like [table]`}},

		// site
		{"altitude and pressure", "[stock]", "[site]\naltitude = \"0 m\"\npressure = \"1000 mbar\"\n[stock]", []string{
			`j.toml:3:12: pressure: altitude and pressure are both given; write only one of them`}},
		{"altitude above the formula", "[stock]", "[site]\naltitude = \"20000 m\"\n[stock]", []string{
			`j.toml:2:12: altitude: "20000 m" is out of range; write at least -2000 m and at most 11000 m`}},

		// stock
		{"no stock", "[stock]\n" + stock + "material = \"aluminium-wrought\"\n", "", []string{
			`j.toml:1:1: stock: the table is missing; write [stock] with corner, size and material`}},
		{"no corner, no size", stock, "", []string{
			`j.toml:1:2: stock: corner is missing; write corner = ["0 mm", "0 mm", "-6 mm"]`,
			`j.toml:1:2: stock: size is missing; write size = ["600 mm", "400 mm", "6 mm"]`}},
		{"size of two", `["600 mm", "400 mm", "6 mm"]`, `["600 mm", "400 mm"]`, []string{
			`j.toml:3:8: size: a list of 2 where 3 is wanted; write size = ["600 mm", "400 mm", "6 mm"]`}},
		{"negative size", `"400 mm", "6 mm"]`, `"-400 mm", "6 mm"]`, []string{
			`j.toml:3:19: size: "-400 mm" is out of range; write at least 0.1 mm and at most 20000 mm`}},
		{"unknown material near a known one", `"aluminium-wrought"`, `"aluminum-wrought"`, []string{
			`j.toml:4:12: material: no material is called "aluminum-wrought"; ` +
				`the nearest known one is "aluminium-wrought"`}},
		{"keys of a disc in a rectangle", stock, stock + "diameter = \"3 mm\"\nshape = \"rectangle\"\n", []string{
			`j.toml:4:1: diameter: belongs to another shape; leave it out or write shape = "disc" or "polygon"`}},
		{"disc without bottom", stock, strings.Replace(disc, "bottom = \"-6 mm\"\n", "", 1), []string{
			`j.toml:1:2: stock: bottom is missing; write bottom = "-6 mm"`}},
		{"cut-out over the rim", "[layer]", "[[stock.cutout]]\ncorner = [\"-10 mm\", \"10 mm\"]\nsize = [\"50 mm\", " +
			"\"50 mm\"]\n[layer]", []string{
			`j.toml:5:3: cutout: does not lie wholly within its blank; write the blank's outline as a polygon that ` +
				`leaves it out`}},
		{"cut-outs over one another", "[layer]", "[[stock.cutout]]\ncentre = [\"50 mm\", \"50 mm\"]\ndiameter = " +
			"\"20 mm\"\n[[stock.cutout]]\ncentre = [\"60 mm\", \"50 mm\"]\ndiameter = \"20 mm\"\n[layer]", []string{
			`j.toml:8:3: cutout: cut-out 2 overlaps another; write both as one polygon`}},
		{"blanks over one another", "[layer]", "[[blank]]\ncorner = [\"500 mm\", \"0 mm\", \"-6 mm\"]\nsize = " +
			"[\"200 mm\", \"100 mm\", \"6 mm\"]\n[layer]", []string{
			`j.toml:5:3: blank: overlaps the part of stock on line 1; write blanks that lie beside one another`}},
		{"blanks on two levels", "[layer]", "[[blank]]\ncorner = [\"700 mm\", \"0 mm\", \"-5 mm\"]\nsize = [\"200 " +
			"mm\", \"100 mm\", \"6 mm\"]\n[layer]", []string{
			`j.toml:6:10: corner: the table side lies at -5 mm, but at -6 mm for the part of stock on line 1; ` +
				`write the same height: all parts rest on one layer`}},
		{"stock with two corners", stock, "corners = [[\"0 mm\", \"0 mm\"], [\"1 mm\", \"1 mm\"]]\nthickness = \"6 " +
			"mm\"\nbottom = \"0 mm\"\n", []string{
			`j.toml:2:11: corners: a list of 2 where 3 to 500 is wanted; write corners = [["0 mm","0 mm"], ` +
				`["600 mm","0 mm"], ["600 mm","400 mm"]]`}},

		// layer
		{"no permeability", "through = \"3e-13 m2\"\n", "", []string{
			`j.toml:5:2: layer: through is missing; write through = "3e-13 m2", ` +
				`or a table [layer.flow_test] or [layer.air_resistance], or material = "porous-card"`}},
		{"unknown layer", `through =`, "material = \"porous-cart\"\nthrough =", []string{
			`j.toml:7:12: material: no layer is called "porous-cart"; the nearest known one is "porous-card"`}},
		{"friction with a unit", "[[zone]]", "friction = \"0.3\"\n[[zone]]", []string{
			`j.toml:8:12: friction: a text where a bare number is wanted; write friction = 2`}},
		{"friction of nothing", "[[zone]]", "friction = 0\n[[zone]]", []string{
			`j.toml:8:12: friction: 0 is out of range; write a number more than 0 and at most 3`}},
		{"cut limit through the layer", "[[zone]]", "cut_limit = \"0.8 mm\"\n[[zone]]", []string{
			`j.toml:8:13: cut_limit: 0.8 mm is not less than the layer's thickness of 0.8 mm; write e.g. "0.4 mm"`}},
		{"edge that is neither", "[[zone]]", "edge = \"taped\"\n[[zone]]", []string{
			`j.toml:8:8: edge: "taped" is not known here; write one of open, sealed`}},
		{"permeability in two ways", "[[zone]]", "[layer.air_resistance]\nmethod = \"gurley\"\nseconds = \"10 " +
			"s\"\n[[zone]]", []string{
			`j.toml:8:2: air_resistance: the permeability is given in two ways; leave one of them out`}},
		{"flow test beyond the air", "through = \"3e-13 m2\"\n", "[layer.flow_test]\narea = \"100 cm2\"\nflow = " +
			"\"30 l/min\"\npressure_drop = \"1.1 bar\"\n", []string{
			`j.toml:10:17: pressure_drop: 1100 mbar is more than the ambient pressure of 1013.25 mbar; ` +
				`write the difference between the two faces of the sheet`}},
		{"test without its value", "through = \"3e-13 m2\"\n", "[layer.air_resistance]\nmethod = " +
			"\"bendtsen\"\nseconds = \"3 s\"\n", []string{
			`j.toml:7:2: layer.air_resistance: flow is missing; write flow = "1000 ml/min"`,
			`j.toml:9:1: seconds: belongs to the other method; write flow`}},

		// zones
		{"no zone", "[[zone]]\nname = \"A\"\narea = [[\"0 mm\",\"0 mm\"],[\"600 mm\",\"400 mm\"]]\n", "", []string{
			`j.toml:1:1: zone: the chuck has no zone; write [[zone]] with name and area`}},
		{"zone without area or name", "name = \"A\"\narea = [[\"0 mm\",\"0 mm\"],[\"600 mm\",\"400 mm\"]]\n", "",
			[]string{
				`j.toml:8:3: zone: name is missing; write name = "A"`,
				`j.toml:8:3: zone: area is missing; write area = [["0 mm","0 mm"], ["600 mm","400 mm"]]`}},
		{"one corner", `[["0 mm","0 mm"],["600 mm","400 mm"]]`, `[["0 mm","0 mm"]]`, []string{
			`j.toml:10:8: area: a list of 1 where 2 to 500 is wanted; write area = [["0 mm","0 mm"], ` +
				`["600 mm","400 mm"]]`}},
		{"corners on a vertical", `["600 mm","400 mm"]]`, `["0 mm","400 mm"]]`, []string{
			`j.toml:10:8: area: the two corners span no area; write two opposite corners of a rectangle`}},
		{"three corners, two of them alike", `["600 mm","400 mm"]]`, `["600 mm","400 mm"],["0 mm","0 mm"]]`, []string{
			`j.toml:10:8: area: 2 different corners span no area; write three or more different corners`}},
		{"corners on a line", `["600 mm","400 mm"]]`, `["600 mm","400 mm"],["300 mm","200 mm"]]`, []string{
			`j.toml:10:8: area: the outline crosses or touches itself (side 1 and side 2); ` +
				`write the corners in order round it`}},
		{"bow tie", `["600 mm","400 mm"]]`, `["600 mm","400 mm"],["600 mm","0 mm"],["0 mm","400 mm"]]`, []string{
			`j.toml:10:8: area: the outline crosses or touches itself (side 1 and side 3); ` +
				`write the corners in order round it`}},
		{"corner of three", `["600 mm","400 mm"]]`, `["600 mm","400 mm","1 mm"]]`, []string{
			`j.toml:10:25: area: corner 2 is not a pair of lengths; write ["0 mm", "0 mm"]`}},
		{"bare number in a corner", `["600 mm","400 mm"]]`, `["600 mm",400]]`, []string{
			`j.toml:10:35: area: 400 has no unit; write "400 mm"`}},
		{"zone over another", "[pump]", "[[zone]]\nname = \"B\"\narea = [[\"500 mm\",\"0 mm\"],[\"900 mm\",\"400 " +
			"mm\"]]\n[pump]", []string{
			`j.toml:13:8: area: overlaps the zone on line 8; give each part of the chuck to one zone`}},
		{"name twice", "[pump]", "[[zone]]\nname = \"A\"\narea = [[\"600 mm\",\"0 mm\"],[\"900 mm\",\"400 " +
			"mm\"]]\n[pump]", []string{
			`j.toml:12:8: name: "A" is already the zone on line 8; write another name`}},
		{"layer seal without layer", "[layer]\nthickness = \"0.8 mm\"\nthrough = \"3e-13 m2\"\n[[zone]]\n",
			"[[zone]]\nseal = \"layer\"\n", []string{
				`j.toml:6:8: seal: no layer lies on the chuck; write a [layer] table, or seal = "gasket"`}},
		{"grooves without land", "[pump]", "groove = { pitch = \"5 mm\", width = \"5 mm\" }\n[pump]", []string{
			`j.toml:11:36: width: grooves 5 mm wide at a pitch of 5 mm leave no land between them; ` +
				`write a width below the pitch, or leave groove out where the whole zone breathes`}},
		{"truth in quotes", "[pump]", "open = \"yes\"\n[pump]", []string{
			`j.toml:11:8: open: a text where true or false is wanted; write open = true or open = false, ` +
				`without quotes`}},

		// pump
		{"no pump", "[pump]\nkind = \"rotary-vane\"\nflow = \"63 m3/h\"\n", "", []string{
			`j.toml:1:1: pump: the table is missing; write [pump] with kind and flow`}},
		{"kind misspelt", `"rotary-vane"`, `"Rotary-Vain"`, []string{
			`j.toml:12:8: kind: "Rotary-Vain" is not known here; write "rotary-vane"`}},
		{"ultimate above ambient", `flow = "63 m3/h"`, "flow = \"63 m3/h\"\nultimate = \"1020 mbar\"", []string{
			`j.toml:14:12: ultimate: 1020 mbar is not below the ambient pressure of 1013.25 mbar (at sea level); ` +
				`write the lowest absolute pressure the pump reaches, not its vacuum below ambient`}},
		{"ultimate of a blower above sea level", "kind = \"rotary-vane\"\nflow = \"63 m3/h\"",
			"kind = \"ejector\"\nflow = \"63 m3/h\"\nultimate = \"1020 mbar\"", []string{
				`j.toml:14:12: ultimate: 1020 mbar is not below the ambient pressure of 1013.25 mbar (at sea ` +
					`level, where the figures of such pumps are taken); write the lowest absolute pressure the ` +
					`pump reaches, not its vacuum below ambient`}},
		{"curve without kind", "kind = \"rotary-vane\"\nflow = \"63 m3/h\"",
			`curve = [["1013 mbar","50 m3/h"], ["500 mbar","0 m3/h"]]`, []string{
				`j.toml:11:2: pump: kind is missing; write kind = "rotary-vane"`}},
		{"curve above the air", `flow = "63 m3/h"`, `curve = [["1100 mbar","50 m3/h"], ["1050 mbar","0 m3/h"]]`,
			[]string{
				`j.toml:13:35: curve: the whole curve lies above the ambient pressure of 1013.25 mbar (at sea ` +
					`level); write absolute pressures, not vacuum below ambient`}},
		{"curve that rises", `flow = "63 m3/h"`, `curve = [["1013 mbar","50 m3/h"], ["500 mbar","60 m3/h"]]`, []string{
			`j.toml:13:35: curve: the flow of point 2 rises while the pressure falls; ` +
				`write flows that fall towards the lowest pressure`}},
		{"curve out of order", `flow = "63 m3/h"`, `curve = [["20 mbar","0 m3/h"], ["500 mbar","60 m3/h"]]`, []string{
			`j.toml:13:32: curve: the pressure of point 2 is not below that of the point before it; ` +
				`write the points from the highest absolute pressure to the lowest`}},
		{"curve of one point", `flow = "63 m3/h"`, `curve = [["20 mbar","0 m3/h"]]`, []string{
			`j.toml:13:9: curve: a list of 1 where 2 to 200 is wanted; write curve = [["1013 mbar", "63 m3/h"], ` +
				`["20 mbar", "0 m3/h"]]`}},
		{"curve without flow", `flow = "63 m3/h"`, `curve = [["900 mbar","0 m3/h"],["20 mbar","0 m3/h"]]`, []string{
			`j.toml:13:10: curve: the pump moves no air at the highest pressure; write a flow above 0 there`}},
		{"point of the wrong kinds", `flow = "63 m3/h"`, `curve = [["63 m3/h","900 mbar"],["20 mbar"]]`, []string{
			`j.toml:13:11: curve: "63 m3/h" is a flow, but a pressure is wanted; write one of mbar, Pa, kPa, bar, ` +
				`psi, inHg, mmHg, e.g. "200 mbar"`,
			`j.toml:13:21: curve: "900 mbar" is a pressure, but a flow is wanted; write one of m3/h, l/min, cfm, ` +
				`e.g. "63 m3/h"`,
			`j.toml:13:33: curve: point 2 is not a pressure and a flow; write ["500 mbar", "60 m3/h"]`}},

		// tools
		{"no tool", "[[tool]]\nnumber = 1\ndiameter = \"6 mm\"\n", "", []string{
			`j.toml:1:1: tool: the job has no tool; write a [[tool]] with number and diameter for each tool that ` +
				`the program calls`}},
		{"number twice", tool, "number = 1\ndiameter = \"6 mm\"\n[[tool]]\nnumber = 1\n", []string{
			`j.toml:18:10: number: tool 1 is already given on line 14; write each number once`}},
		{"number with a point", tool, "number = 1.0\n", []string{
			`j.toml:15:10: number: 1.0 is not a whole number; write digits without a point`}},
		{"number below zero", tool, "number = -1\n", []string{
			`j.toml:15:10: number: -1 is out of range; write a number at least 0 and at most 2147483647`}},
		{"helix beyond sixty", tool, tool + "helix = \"-61 deg\"\n", []string{
			`j.toml:16:9: helix: "-61 deg" is out of range; write at least -60 deg and at most 60 deg`}},
		{"down-cut compression tool", tool, tool + "helix = \"-30 deg\"\nupcut = \"8 mm\"\n", []string{
			`j.toml:17:9: upcut: the helix below it is not up-cut; write helix = "30 deg" or what it is, above 0; ` +
				`it is turned above upcut`}},
		{"compression drill", tool, tool + "shape = \"drill\"\nupcut = \"8 mm\"\n", []string{
			`j.toml:17:9: upcut: a drill has no down-cut part; leave it out`}},
		{"up-cut length without unit", tool, tool + "upcut = 8\n", []string{
			`j.toml:16:9: upcut: 8 has no unit; write "8 mm"`}},
		{"hand of neither", tool, tool + "hand = \"lefft\"\n", []string{
			`j.toml:16:8: hand: "lefft" is not known here; write "left"`}},
		{"bull without corner", tool, tool + "shape = \"bull\"\n", []string{
			`j.toml:14:3: tool: corner is missing; write corner = "1 mm"`}},
		{"corner beyond the radius", tool, tool + "shape = \"bull\"\ncorner = \"4 mm\"\n", []string{
			`j.toml:17:10: corner: a radius of 4 mm is more than half the diameter of 6 mm; write a smaller radius`}},
		{"corner of a flat tool", tool, tool + "corner = \"1 mm\"\n", []string{
			`j.toml:16:1: corner: only a bull-nosed tool has a corner radius; leave it out or write shape = "bull"`}},
		{"vee without angle", tool, tool + "shape = \"vee\"\n", []string{
			`j.toml:14:3: tool: angle is missing; write angle = "60 deg"`}},
		{"angle of a flat tool", tool, tool + "angle = \"60 deg\"\n", []string{
			`j.toml:16:1: angle: only vee tools and drills have a point angle; ` +
				`leave it out or write shape = "vee" or "drill"`}},
		{"flutes longer than the tool", tool, tool + "reach = \"22 mm\"\nlength = \"20 mm\"\n", []string{
			`j.toml:16:9: reach: the flutes (22 mm) are longer than the tool (20 mm); ` +
				`write length as what stands out of the holder`}},
		{"run-out beyond the edge", "number = 1\ndiameter = \"6 mm\"\n", "number = 1\ndiameter = \"0.2 mm\"\nrunout " +
			"= \"0.1 mm\"\n", []string{
			`j.toml:17:10: runout: 0.1 mm is not less than half the diameter of 0.2 mm; ` +
				`write how far the edges run off the axis`}},
		{"no flutes", tool, tool + "flutes = 0\n", []string{
			`j.toml:16:10: flutes: 0 is out of range; write a number at least 1 and at most 64`}},

		// the rest
		{"margin of nothing", "[stock]", "[limits]\nmargin = 0\n[stock]", []string{
			`j.toml:2:10: margin: 0 is out of range; write a number at least 1 and at most 1000`}},
		{"web as high as the stock", "[stock]", "[web]\nheight = \"6 mm\"\n[stock]", []string{
			`j.toml:2:10: height: 6 mm is not less than the stock's thickness of 6 mm; ` +
				`write the height of tabs or skin that are to count as webs`}},
		{"ending without dot", "[stock]", "[machine]\nextensions = [\"nc\", \".toml\"]\n[stock]", []string{
			`j.toml:2:15: extensions: "nc" is not the ending of a file name; write it with its dot, like ".nc"`,
			`j.toml:2:21: extensions: job files end in .toml, programs cannot; write the endings of programs, ` +
				`like ".nc"`}},
		{"code that is none", "[stock]", "[machine]\nharmless_m = [62, -1, \"M7\"]\n[stock]", []string{
			`j.toml:2:19: harmless_m: -1 is no M code; write whole numbers, like [62, 63]`,
			`j.toml:2:23: harmless_m: M7 is no M code; write whole numbers, like [62, 63]`}},
		{"offset twice", "[stock]", "[[origin]]\nsystem = \"G55\"\nat = [\"1 mm\", \"0 mm\", \"0 " +
			"mm\"]\n[[origin]]\nsystem = \"G55\"\nat = [\"1 mm\", \"0 mm\", \"0 mm\"]\n[stock]", []string{
			`j.toml:5:10: system: G55 is already given on line 1; write each work offset once`}},
		{"offset that is none", "[stock]", "[[origin]]\nsystem = \"G60\"\nat = [\"1 mm\", \"0 mm\", \"0 mm\"]\n[stock]",
			[]string{
				`j.toml:2:10: system: "G60" is not known here; write one of G54, G55, G56, G57, G58, G59, G59.1, ` +
					`G59.2, G59.3`}},

		// ranges
		{"list of four", "[layer]", "[layer]\nfriction = [0.1, 0.2, 0.3, 0.4]", []string{
			`j.toml:6:12: friction: a list of 4 where a range is wanted; write one value, [low, high] or [low, ` +
				`likely, high] (5, 50 and 95 %)`}},
		{"list of one", "[layer]", "[layer]\ntack = [\"1 kPa\"]", []string{
			`j.toml:6:8: tack: a list of 1 where a range is wanted; write one value, [low, high] or [low, likely, ` +
				`high] (5, 50 and 95 %)`}},
		{"range that falls", "[layer]", "[layer]\nfriction = [0.4, 0.3]", []string{
			`j.toml:6:12: friction: the values of the range do not rise; write one value, [low, high] or [low, ` +
				`likely, high] (5, 50 and 95 %)`}},
		{"likely value outside its range", `"63 m3/h"`, `["60 m3/h", "70 m3/h", "65 m3/h"]`, []string{
			`j.toml:13:8: flow: the values of the range do not rise; write one value, [low, high] or [low, likely, ` +
				`high] (5, 50 and 95 %)`}},
		{"end of a range without unit", `"63 m3/h"`, `["60 m3/h", 65]`, []string{
			`j.toml:13:20: flow: 65 has no unit; write "65 m3/h"`}},
		{"end of a range out of bounds", "[layer]", "[layer]\nfriction = [0, 0.3]", []string{
			`j.toml:6:13: friction: 0 is out of range; write a number more than 0 and at most 3`}},
		{"range of what moves with another", "[layer]", "[layer]\nalong = [\"1e-13 m2\", \"2e-13 m2\"]", []string{
			`j.toml:6:9: along: a list where a permeability is wanted; write one value, e.g. "3e-13 m2"; ` +
				`its doubt is part of through`}},
		{"range of what is not doubtful", "[stock]", "[site]\naltitude = [\"0 m\", \"9 m\"]\n[stock]", []string{
			`j.toml:2:12: altitude: a list where a length is wanted; write one value, e.g. "6 mm"`}},
		{"tolerance that does not hold 0", "[stock]", "[stock]\ntolerance = [\"0.1 mm\", \"0.2 mm\"]", []string{
			`j.toml:2:14: tolerance: "0.1 mm" is out of range; write at least -10 mm and at most 0 mm`}},
		// pulls
		{"pull without its figures", "[[zone]]", "[[layer.pull]]\nweight = \"1 N\"\n[[zone]]", []string{
			`j.toml:8:3: layer.pull: area is missing; write area = "100 cm2"`,
			`j.toml:8:3: layer.pull: vacuum is missing; write vacuum = "400 mbar"`,
			`j.toml:8:3: layer.pull: readings is missing; write readings = ["80 N", "95 N", "88 N"]`}},
		{"pull at more than all vacuum", "[[zone]]", pull + "vacuum = \"1020 mbar\"\n[[zone]]", []string{
			`j.toml:11:10: vacuum: 1020 mbar is more than the ambient pressure of 1013.25 mbar; ` +
				`write what the gauge shows below ambient`}},
		{"friction and pulls", "[[zone]]", "friction = 0.3\n" + pull + "vacuum = \"400 mbar\"\n[[zone]]", []string{
			`j.toml:9:9: layer.pull: the friction is given in two ways; leave one of them out`}},
		{"pull of no material", "[[zone]]", pull + "vacuum = \"400 mbar\"\nmaterial = \"pmmx\"\n[[zone]]", []string{
			`j.toml:12:12: material: no material is called "pmmx"; the nearest known one is "pmma"`}},
		{"pulls of another unit", "[[zone]]", "[[layer.pull]]\narea = \"100 cm2\"\nvacuum = \"400 mbar\"\nreadings " +
			"= [\"9 N\", \"9 kg\"]\n[[zone]]", []string{
			`j.toml:11:20: readings: unit "kg" is unknown; write one of N, kN, lbf, e.g. "50 N"`}},
		{"pulls beyond all friction", "[[zone]]", pull + "vacuum = \"1 mbar\"\n[[zone]]", []string{
			`j.toml:8:9: layer.pull: the readings give a friction of 120, which no pair has; check area, ` +
				`vacuum and forces and their units`}},
		{"tack that would have held", "[layer]\nthickness = \"0.8 mm\"\nthrough = \"3e-13 m2\"",
			"[layer]\nthickness = \"0.8 mm\"\nthrough = \"3e-13 m2\"\ntack = \"20 kPa\"\n" + pull +
				"vacuum = \"400 mbar\"", []string{
				`j.toml:9:9: layer.pull: tack of 200 mbar alone would have held a coupon that slid; check area, ` +
					`forces and tack`}},
		// gauge readings
		{"gauge without its figures", "[[zone]]", "[[layer.gauge]]\n[[zone]]", []string{
			`j.toml:8:3: layer.gauge: covered is missing; write covered = "50 %"`,
			`j.toml:8:3: layer.gauge: readings is missing; write readings = ["620 mbar", "630 mbar"]`}},
		{"share above all", "[[zone]]", "[[layer.gauge]]\ncovered = \"110 %\"\nreadings = \"600 mbar\"\n[[zone]]",
			[]string{
				`j.toml:9:11: covered: "110 %" is no share; write "0 %" (bare) to "100 %"`}},
		{"cover larger than the zones", "[[zone]]", "[[layer.gauge]]\ncovered = \"1 m2\"\nreadings = \"600 " +
			"mbar\"\n[[zone]]", []string{
			`j.toml:9:11: covered: 10000 cm2 is more than the 2400 cm2 of the open zones on the layer; ` +
				`write the covered area of the zones, or "100 %"`}},
		{"gauge beyond all vacuum", "[[zone]]", "[[layer.gauge]]\ncovered = \"0.1 m2\"\nreadings = [\"600 mbar\", " +
			"\"1.1 bar\"]\n[[zone]]", []string{
			`j.toml:10:25: readings: 1100 mbar is more than the ambient pressure of 1013.25 mbar; ` +
				`write what the gauge shows below ambient`}},
		{"left to fill in", `"0.8 mm"`, `"FILL"`, []string{
			`j.toml:6:13: thickness: still to be filled in; write the value in place of FILL`}},
	} {
		t.Run(c.name, func(t *testing.T) {
			text := strings.Replace(minimal, c.from, c.to, 1)
			if text == minimal && c.want != nil {
				t.Fatalf("%q is not in the minimal job", c.from)
			}
			_, err := job.Parse("j.toml", []byte(text))
			var got []string
			var all job.Errors
			if errors.As(err, &all) {
				for _, p := range all {
					got = append(got, p.Error())
				}
			} else if err != nil {
				t.Fatalf("%T: %v", err, err)
			}
			if d := cmp.Diff(c.want, got); d != "" {
				t.Errorf("(-want +got)\n%s", d)
			}
		})
	}
}
