package remark

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"staydown/hold/material"
)

// Comments as posts and programmers write them (common practice, no source).
func TestToolsInComments(t *testing.T) {
	const end = "\nT1 M6\n"
	for _, c := range []struct {
		src  string
		inch bool
		want string // diameter in mm, shape, flutes, corner in mm, angle, helix; - where nothing is said
	}{
		{"(T1 D=6. FLAT)", false, "6 flat - - - -"},
		{"(T1  D=6. CR=0. - ZMIN=-6.2 - FLAT END MILL)", false, "6 flat - - - -"},
		{"(T1 D=8. CR=1. - ZMIN=-3. - BULLNOSE END MILL)", false, "8 bull - 1 - -"},
		{"(1/4 END MILL)", true, "6.35 flat - - - -"},
		{"(1/4 END MILL)", false, "6.35 flat - - - -"}, // a fraction is of an inch
		{"(T1 D4.0 1FL)", false, "4 - 1 - - -"},
		{"(TOOL DIAMETER 3)", false, "3 - - - - -"},
		{"; Tool Diameter: 3.175", false, "3.175 - - - - -"},
		{"(TOOL 1: 6MM 2 FLUTE UPCUT)", false, "6 flat 2 - - -"},
		{"(tool 1 - 1/8 inch downcut, 2 flutes)", false, "3.175 flat 2 - - -30"},
		{"(T1 1/4 IN SINGLE STRAIGHT FLUTE)", true, "6.35 flat 1 - - 0"},
		{"(1-1/2 CUTTER)", true, "38.1 - - - - -"},
		{"(BALL DIA 6)", false, "6 ball - - - -"},
		{"(6.0MM DIA END MILL)", false, "6 flat - - - -"},
		{"(D5 DRILL 118DEG)", false, "5 drill - - 118 -"},
		{"(T1 .25 DIA V-BIT 60 DEG)", true, "6.35 vee - - 60 -"},
		{"(0.125 COMPRESSION)", true, "3.175 flat - - - -"},
		{"(TOOL 1: 4MM SINGLE FLUTE)", false, "4 - 1 - - -"},
		{"(T1 6 MM O-FLUTE, 1 FL)", false, "6 - 1 - - -"},
		{"(TOOL - 1 DIA. OFF. - 1 LEN. - 1 DIA. - .25)", true, "6.35 - - - - -"},
		{"(1/4 FLAT ENDMILL TOOL - 1 DIA. OFF. - 1 LEN. - 1 DIA. - .25)", true, "6.35 flat - - - -"},
		{"(End Mill {0.25 inch})", false, "6.35 flat - - - -"},
		{"(END MILL: 6 MM, 2 FLUTES)", false, "6 flat 2 - - -"},
		{"(OPERATION 3 WITH 2 FLUTES)", false, "- - - - - -"}, // a bare number counts beside no flutes
		{"(END MILL 2)", false, "- - - - - -"},                // nor behind the kind of cutter
		{"(H1 D1)", false, "- - - - - -"},                     // numbers of offsets
		{"(T1 D1)", false, "- - - - - -"},
		{"(T1 H1 D11)", false, "- - - - - -"},
		{"(OPERATION 3 POCKET)", false, "- - - - - -"},
		{"(PROGRAM 1234)", false, "- - - - - -"},
		{"(T1 D=600. FLAT)", false, "- - - - - -"}, // no cutter is so wide
		{"(T2 D=6. FLAT)", false, "- - - - - -"},   // another tool
		{"(FEED D6 CUT", false, "6 - - - - -"},     // a comment that is never closed
	} {
		r := Read([]byte(c.src+end), c.inch, -30)
		tool := r.Tools[1]
		if tool == nil {
			tool = &Tool{}
		}
		if got := toolInWords(tool); got != c.want {
			t.Errorf("%s: %s, want %s", c.src, got, c.want)
		}
	}
}

func toolInWords(r *Tool) string {
	or := func(given bool, v any) string {
		if !given {
			return "-"
		}
		return fmt.Sprint(v)
	}
	mm := func(v Told[float64]) string { return or(v.Given(), math.Round(v.Value*1e6)/1e6) }
	return strings.Join([]string{mm(r.DiameterMM), or(r.Shape.Given(), r.Shape.Value),
		or(r.Flutes.Given(), r.Flutes.Value),
		mm(r.CornerMM), mm(r.AngleDeg), mm(r.HelixDeg)}, " ")
}

// A comment speaks of the tool it names, else of that of its line, of the next call near by, or of the last one.
func TestWhichToolACommentMeans(t *testing.T) {
	r := Read([]byte("(T4 D4.)\n(D2.)\nT2 M6\nT3 M6 (D3.)\nG0 X0\n(DIA 3.)\n"), false, -30)
	for n, want := range map[int]float64{4: 4, 2: 2, 3: 3} {
		if got := r.Tools[n]; got == nil || got.DiameterMM.Value != want || got.Rival.Given() {
			t.Errorf("tool %d: %+v", n, got)
		}
	}
	if r := Read([]byte("(6MM FLAT)\nG1 X5 F100\n"), false, -30); r.Tools[0] == nil ||
		r.Tools[0].DiameterMM.Value != 6 {
		t.Errorf("the tool in the spindle: %+v", r.Tools[0])
	}
	// Two comments that disagree decide nothing.
	if r := Read([]byte("(T1 D=6.)\n(T1 D=5.)\nT1 M6\n"), false, -30); !r.Tools[1].Rival.Given() {
		t.Errorf("%+v", r.Tools[1])
	}
}

func TestStockInComments(t *testing.T) {
	for _, c := range []struct{ src, size, material, zero string }{
		{"(STOCK 600 X 400 X 6)", "[600 400 6]", "", ""},
		{"(STOCK SIZE X 250. Y 150. Z 6.)", "[250 150 6]", "", ""},
		{"(SHEET: 48 x 96 in, 3/4 PLYWOOD)", "[1219.2 2438.4]", "plywood", ""},
		{"(MATERIAL: ALUMINUM 6061)", "[]", "aluminium-sheet", ""},
		{"(MATERIAL = CAST ALUMINIUM PLATE)", "[]", "aluminium-cast", ""},
		{"(Stock: MDF, Z0 = TABLE)", "[]", "mdf", "table"},
		{"(Z ZERO ON TOP OF STOCK)", "[]", "", "top"},
		{"(ZERO: FRONT LEFT CORNER, SPOILBOARD)", "[]", "", "table"},
		{"(Z0 TOP, NOT THE TABLE)", "[]", "", ""}, // both are named
		{"(MATERIAL: ACM 3MM)", "[]", "aluminium-composite", ""},
		{"(Material: birch plywood)", "[]", "plywood", ""},
		{"(Material: red oak)", "[]", "hardwood", ""},
		{"(STOCK: EXPANDED PVC 10MM)", "[]", "pvc-foam", ""},
		{"(STOCK: PVC 5MM)", "[]", "pvc", ""},
		{"(SHEET: HPL 6MM)", "[]", "laminate-paper", ""},
		{"(POCKET 600 X 400)", "[]", "", ""},
		{"(TOP FACE)", "[]", "", ""},
	} {
		r := Read([]byte(c.src), false, -30)
		if got := fmt.Sprintf("%.6g", r.SizeMM.Value); got != c.size || r.Material.Value != c.material ||
			r.Zero.Value != c.zero {
			t.Errorf("%s: %s, %q, %q", c.src, got, r.Material.Value, r.Zero.Value)
		}
	}
}

// Every word for a material is a built-in one.
func TestMaterialWordsAreBuiltIn(t *testing.T) {
	known := map[string]bool{}
	for _, b := range material.Works() {
		known[b.Name] = true
	}
	for _, w := range materialWords {
		if !known[w.name] {
			t.Errorf("%s is no built-in material", w.name)
		}
	}
}

func FuzzRemarks(f *testing.F) {
	f.Add("(T1 D=6. FLAT)\nT1 M6 (1/0 END MILL)\n(STOCK 600 X 400 X 6)", true)
	f.Fuzz(func(t *testing.T, src string, inch bool) {
		for n, r := range Read([]byte(src), inch, -30).Tools {
			if d := r.DiameterMM; d.Given() && !(d.Value >= leastCutterMM && d.Value <= mostCutterMM) {
				t.Errorf("tool %d: %g mm", n, d.Value)
			}
		}
	})
}
