package drawing

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/paulmach/orb/planar"
)

// groups writes a DXF file from a short form: entities apart by lines, "LINE 8=0 10=1.5 ..." with a group for each
// word.
func groups(lines string) string {
	var b strings.Builder
	for _, line := range strings.Split(strings.TrimSpace(lines), "\n") {
		words := strings.Fields(line)
		if len(words) == 0 {
			continue
		}
		fmt.Fprintf(&b, "0\n%s\n", words[0])
		for _, w := range words[1:] {
			code, value, _ := strings.Cut(w, "=")
			fmt.Fprintf(&b, "%s\n%s\n", code, value)
		}
	}
	return b.String()
}

const mmHeader = "SECTION 2=HEADER 9=$INSUNITS 70=4\nENDSEC\n"

// inMM is a drawing of entities, in mm.
func inMM(entities string) string {
	return groups(mmHeader + "SECTION 2=ENTITIES\n" + entities + "\nENDSEC\nEOF")
}

func mustRead(t *testing.T, text string, opt Options) *Drawing {
	t.Helper()
	d, err := Read("t.dxf", []byte(text), opt)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

// areaOf is the area of all parts less their holes.
func areaOf(d *Drawing) (mm2, around float64) {
	for _, p := range d.Parts {
		mm2 += planar.Area(p.Ring)
		around += planar.Length(p.Ring)
		for _, h := range p.Holes {
			mm2 -= planar.Area(h.Ring)
			around += planar.Length(h.Ring)
		}
	}
	return mm2, around
}

const quarterNURBS = " 10=10 20=0 10=10 20=10 10=0 20=10 10=-10 20=10 10=-10 20=0 10=-10 20=-10 10=0 20=-10 10=10 " +
	"20=-10 10=10 20=0"

func TestAreasOfPublishedShapes(t *testing.T) {
	w := math.Sqrt(0.5)
	weights := strings.Repeat(fmt.Sprintf(" 41=1 41=%.15f", w), 4) + " 41=1"
	for _, tc := range []struct {
		name, entities string
		mm2            float64 // closed form
		parts          int
	}{
		{"circle", "CIRCLE 10=5 20=5 40=10", 100 * math.Pi, 1},
		{"ellipse of half axes 20 and 5", "ELLIPSE 10=0 20=0 11=20 21=0 40=0.25 41=0 42=6.283185307179586",
			100 * math.Pi, 1},
		{"ellipse, turned, major axis below the minor", "ELLIPSE 10=0 20=0 11=3 21=4 40=2", 50 * math.Pi, 1},
		{"half ellipse and its chord", "ELLIPSE 10=0 20=0 11=20 21=0 40=0.25 41=0 42=3.141592653589793\n" +
			"LINE 10=-20 20=0 11=20 21=0", 50 * math.Pi, 1},
		{"ellipse seen from below", "ELLIPSE 10=0 20=0 11=20 21=0 40=0.25 41=0 42=3.141592653589793 230=-1\n" +
			"LINE 10=-20 20=0 11=20 21=0", 50 * math.Pi, 1},
		// Bulge 1 is a half circle, tan(22.5 deg) a quarter.
		{"slot of two half circles", "LWPOLYLINE 90=4 70=1 10=0 20=0 10=30 20=0 42=1 10=30 20=10 10=0 20=10 42=1",
			300 + 25*math.Pi, 1},
		{"square with bulges inwards", "LWPOLYLINE 90=4 70=1 10=0 20=0 42=-1 10=20 20=0 10=20 20=20 10=0 20=20",
			400 - 50*math.Pi, 1},
		{"square with a corner of a quarter circle",
			fmt.Sprintf("LWPOLYLINE 90=5 70=1 10=0 20=0 10=20 20=0 10=20 20=15 42=%.15f 10=15 20=20 10=0 20=20",
				math.Tan(math.Pi/8)),
			400 - 25 + 25*math.Pi/4, 1},
		{"old polyline", "POLYLINE 66=1 70=1\nVERTEX 10=0 20=0\nVERTEX 10=30 20=0 42=1\nVERTEX 10=30 20=10\nVERTEX " +
			"10=0 20=10 42=1\nSEQEND", 300 + 25*math.Pi, 1},
		{"arcs and lines",
			"LINE 10=0 20=0 11=30 21=0\nARC 10=30 20=5 40=5 50=270 51=90\nLINE 10=0 20=10 11=30 21=10\n" +
				"ARC 10=0 20=5 40=5 50=90 51=270", 300 + 25*math.Pi, 1},
		// The circle as a rational spline of degree 2 (Piegl and Tiller, "The NURBS Book", 7.5).
		{"spline", "SPLINE 70=5 71=2 72=12 73=9 40=0 40=0 40=0 40=1 40=1 40=2 40=2 40=3 40=3 40=4 40=4 40=4" + weights +
			quarterNURBS, 100 * math.Pi, 1},
		{"ring", "CIRCLE 10=0 20=0 40=10\nCIRCLE 10=0 20=0 40=5", 75 * math.Pi, 1},
		{"disc in a ring", "CIRCLE 10=0 20=0 40=10\nCIRCLE 10=0 20=0 40=5\nCIRCLE 10=0 20=0 40=2", 79 * math.Pi, 2},
	} {
		d := mustRead(t, inMM(tc.entities), Options{})
		got, around := areaOf(d)
		if len(d.Parts) != tc.parts || math.Abs(got-tc.mm2) > FlatMM*around {
			t.Errorf("%s: %d parts of %.4f mm2, want %d of %.4f", tc.name, len(d.Parts), got, tc.parts, tc.mm2)
		}
		if len(d.Notes) != 0 && tc.parts == 1 && !strings.Contains(tc.name, "ring") {
			t.Errorf("%s: notes %v", tc.name, d.Notes)
		}
	}
}

func TestRefusals(t *testing.T) {
	for _, tc := range []struct {
		name, text string
		line       int
		want       string
	}{
		{"binary", "xxxxxxxx Binary DXF\r\n\x1a\x00", 1, "binary DXF"},
		{"other binary", "MZ\x00\x01", 1, "neither ASCII DXF"},
		{"empty", " \n", 0, "is empty"},
		{"no end", strings.TrimSuffix(inMM("CIRCLE 10=0 20=0 40=1"), "0\nEOF\n"), 24, "cut short"},
		{"not a code", "0\nSECTION\nx\nHEADER\n", 3, `"x" is not a group code`},
		{"unknown entity", inMM("CIRCLE 10=0 20=0 40=1\nREGION 10=0"), 24, "REGION is not read"},
		{"spline by fit points", inMM("SPLINE 11=0 21=0 11=1 21=1"), 16, "fit points only"},
		{"tilted", inMM("CIRCLE 10=0 20=0 40=1 210=1 220=0 230=0"), 16, "plane that is not that of the table"},
		{"number", inMM("CIRCLE 10=zero 20=0 40=1"), 18, `"zero" is not a number`},
		{"radius", inMM("CIRCLE 10=0 20=0 40=0"), 16, "radius of 0"},
		{"group missing", inMM("CIRCLE 10=0 20=0"), 16, "no group 40"},
		{"block missing", inMM("INSERT 2=ELSEWHERE 10=0 20=0"), 16, "which the file does not have"},
		{"vertices missing", inMM("LWPOLYLINE 90=5 10=0 20=0 10=1 20=0"), 16, "says 5 vertices"},
	} {
		_, err := Read("t.dxf", []byte(tc.text), Options{})
		var e *Error
		if !errors.As(err, &e) || e.Pos.Line != tc.line || !strings.Contains(e.Message, tc.want) {
			t.Errorf("%s: error %v, want line %d and %q", tc.name, err, tc.line, tc.want)
		}
	}
}

// told tells whether a note about a line contains words.
func told(d *Drawing, line int, words string) bool {
	for _, n := range d.Notes {
		if n.Line == line && strings.Contains(n.Message, words) {
			return true
		}
	}
	return false
}

const square = "LWPOLYLINE 8=CUT 90=4 70=1 10=0 20=0 10=40 20=0 10=40 20=30 10=0 20=30"

func TestWhatIsNoPartIsToldAndLeftOut(t *testing.T) {
	for _, tc := range []struct {
		name, head, entities string
		line                 int
		want                 string
		mm2                  float64
	}{
		{"text", "", square + "\nTEXT 10=5 20=5 40=3 1=A", 40, "lettering left out", 1200},
		{"dimension", "", square + "\nDIMENSION 10=5 20=5", 40, "dimension left out", 1200},
		{"hatch", "", square + "\nHATCH 10=5 20=5", 40, "hatching left out", 1200},
		{"open line", "", square + "\nLINE 8=CUT 10=50 20=0 11=60 21=0", 40, "open line from X50.000 Y0.000", 1200},
		{"paper space", "", square + "\nCIRCLE 67=1 10=100 20=0 40=5", 40, "paper space", 1200},
		{"layer off", "SECTION 2=TABLES\nLAYER 2=OLD 70=0 62=-7\nENDSEC", square + "\nCIRCLE 8=OLD 10=100 20=0 40=5",
			54,
			"layer that is off", 1200},
		{"layer frozen", "SECTION 2=TABLES\nLAYER 2=OLD 70=1 62=7\nENDSEC", square + "\nCIRCLE 8=OLD 10=100 20=0 40=5",
			54,
			"layer that is off", 1200},
		{"centre line of its own line type", "SECTION 2=TABLES\nLTYPE 2=CENTER 73=4\nENDSEC",
			square + "\nLINE 6=CENTER 8=CUT 10=0 20=0 11=40 21=30", 52, "dashed line left out", 1200},
		{"centre line by its layer", "SECTION 2=TABLES\nLTYPE 2=CHAIN 73=2\nLAYER 2=AXES 70=0 62=1 6=Chain\nENDSEC",
			square + "\nCIRCLE 8=axes 10=20 20=15 40=5", 62, "dashed line left out", 1200},
		// As files without tables name them.
		{"center line by the name of its line type", "", square + "\nCIRCLE 6=CENTER2 8=CUT 10=40 20=15 40=5", 40,
			"dashed line left out", 1200},
		{"hidden line that the table draws without gaps", "SECTION 2=TABLES\nLTYPE 2=HIDDEN 73=0\nENDSEC",
			"CIRCLE 6=HIDDEN 10=0 20=0 40=10\nLINE 8=CUT 10=50 20=0 11=60 21=0", 38, "open line", 100 * math.Pi},
		{"bolt circle on a layer of center lines", "", square + "\nCIRCLE 8=Center_Lines 10=40 20=15 40=5", 40,
			`layer "Center_Lines", which by its name is not for cutting`, 1200},
		{"table", "", square + "\nACAD_TABLE 10=50 20=5", 40, "lettering left out", 1200},
		{"duplicate", "", square + "\n" + square, 40, "that of line 16 once more", 1200},
		{"ellipse hole drawn twice", "", square + strings.Repeat("\nELLIPSE 10=20 20=15 11=10 21=0 40=0.5", 2), 52,
			"that of line 40 once more", 1200 - 50*math.Pi},
		{"lines drawn twice", "", strings.Repeat("LINE 10=0 20=0 11=40 21=0\n", 2) + "LINE 10=40 20=0 11=40 21=30\n" +
			"LINE 10=0 20=0 11=40 21=30", 26, "line drawn twice left out", 600},
		{"crossing itself", "", square + "\nLWPOLYLINE 90=4 70=1 10=100 20=0 10=120 20=20 10=120 20=0 10=100 20=10", 40,
			"crosses itself at X106.667 Y6.667", 1200},
		{"two that cross", "", square + "\nCIRCLE 10=100 20=0 40=5\nCIRCLE 10=106 20=0 40=5", 40, "both are left out",
			1200},
		{"no length", "", square + "\nLINE 10=1 20=1 11=1 21=1", 40, "without length", 1200},
		{"no area", "", square + "\nLWPOLYLINE 90=2 70=1 10=100 20=0 10=110 20=0", 40, "without area", 1200},
		{"gap", "", "LINE 10=0 20=0 11=40 21=0\nLINE 10=40.05 20=0 11=40 21=30\nLINE 10=0 20=0.03 11=40 21=30", 16,
			"gaps closed: 2, the widest 0.050 mm at X40", 600},
		{"three lines meet", "", square + "\nLINE 8=B 10=50 20=0 11=60 21=0\nLINE 8=B 10=60 20=0 11=55 21=9\n" +
			"LINE 8=B 10=55 20=9 11=50 21=0\nLINE 8=B 10=50 20=0 11=45 21=0", 40, "more than two lines meet", 1200},
	} {
		d := mustRead(t, groups(mmHeader+tc.head+"\nSECTION 2=ENTITIES\n"+tc.entities+"\nENDSEC\nEOF"), Options{})
		if !told(d, tc.line, tc.want) {
			t.Errorf("%s: notes %v, want line %d and %q", tc.name, d.Notes, tc.line, tc.want)
		}
		if got, around := areaOf(d); math.Abs(got-tc.mm2) > FlatMM*around+1.5 || len(d.Parts) != 1 {
			t.Errorf("%s: %d parts of %.2f mm2, want one of %.2f", tc.name, len(d.Parts), got, tc.mm2)
		}
	}
}

func TestBlocks(t *testing.T) {
	blocks := "SECTION 2=BLOCKS\nBLOCK 2=TAB 10=5 20=5 70=0\nLWPOLYLINE 8=0 90=3 70=1 10=5 20=5 10=15 20=5 10=5 " +
		"20=11\nENDBLK\nBLOCK 2=TWO 10=0 20=0 70=0\nINSERT 2=TAB 10=0 20=0\nINSERT 2=TAB 10=50 20=0\nENDBLK\nBLOCK " +
		"2=SELF 10=0 20=0\nINSERT 2=SELF 10=0 20=0\nENDBLK\nBLOCK 2=FAR 70=4 1=other\nENDBLK\nENDSEC"
	read := func(entities string) (*Drawing, error) {
		return Read("t.dxf", []byte(groups(mmHeader+blocks+"\nSECTION 2=ENTITIES\n"+entities+"\nENDSEC\nEOF")),
			Options{})
	}
	for _, tc := range []struct {
		name, entities string
		parts          int
		mm2            float64
		x, y           float64 // lower left of the first part
	}{
		{"placed by its base point", "INSERT 2=TAB 10=100 20=200", 1, 30, 100, 200},
		{"scale, mirrored", "INSERT 2=TAB 10=100 20=200 41=-2 42=3 43=0", 1, 180, 80, 200},
		{"turned", "INSERT 2=TAB 10=100 20=200 50=90", 1, 30, 94, 200},
		{"array with a Z scale of 0", "INSERT 2=TAB 10=0 20=0 43=0 70=3 71=2 44=20 45=20", 6, 180, 0, 0},
		{"array, turned", "INSERT 2=TAB 10=0 20=0 50=90 70=2 44=20", 2, 60, -6, 0},
		{"seen from below", "INSERT 2=TAB 10=100 20=200 230=-1", 1, 30, -110, 200},
		{"block in a block", "INSERT 2=TWO 10=7 20=8 8=PLATE", 2, 60, 7, 8},
	} {
		d, err := read(tc.entities)
		if err != nil {
			t.Fatalf("%s: %v", tc.name, err)
		}
		got, _ := areaOf(d)
		b := d.Parts[0].Ring.Bound().Min
		if len(d.Parts) != tc.parts || math.Abs(got-tc.mm2) > 1e-6 || math.Hypot(b[0]-tc.x, b[1]-tc.y) > 1e-6 {
			t.Errorf("%s: %d parts of %.3f mm2 from %v, want %d of %.3f from %g %g", tc.name, len(d.Parts), got, b,
				tc.parts,
				tc.mm2, tc.x, tc.y)
		}
		if tc.name == "block in a block" && d.Parts[0].Layer != "PLATE" {
			t.Errorf("layer %q, want that of the insert", d.Parts[0].Layer)
		}
	}
	for name, want := range map[string]string{"SELF": "more than 16 deep", "FAR": "another file"} {
		if _, err := read("INSERT 2=" + name + " 10=0 20=0"); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%s: error %v, want %q", name, err, want)
		}
	}
}

// Writers differ in line ends, blanks, case and the order of groups; none of it changes what is drawn.
func TestWritersDiffer(t *testing.T) {
	plain := inMM("LWPOLYLINE 8=A 90=3 70=1 10=0 20=0 10=30 20=0 42=1 10=30 20=10\nCIRCLE 8=A 10=20 20=3 40=2")
	want, _ := areaOf(mustRead(t, plain, Options{}))
	for name, text := range map[string]string{
		"CR LF":              strings.ReplaceAll(plain, "\n", "\r\n"),
		"CR alone":           strings.ReplaceAll(plain, "\n", "\r"),
		"blanks":             strings.ReplaceAll(plain, "\n", "  \t\n  "),
		"byte order mark":    "\xef\xbb\xbf" + plain,
		"comments":           "999\nmade by hand\n" + plain,
		"blank lines behind": plain + "\n\n  \n",
		"Y before X": inMM("LWPOLYLINE 20=0 10=0 20=0 10=30 42=1 20=10 10=30 70=1 90=3 8=A\nCIRCLE 40=2 " +
			"20=3 10=20 8=A"),
		"bulge first": inMM("LWPOLYLINE 90=3 70=1 42=0 10=0 20=0 42=1 10=30 20=0 42=0 10=30 20=10\nCIRCLE 10=20 " +
			"20=3 40=2"),
		"data of others": inMM("LWPOLYLINE 102={X 330=1 102=} 90=3 70=1 10=0 20=0 10=30 20=0 42=1 10=30 20=10 " +
			"1001=ME 1010=5\nCIRCLE 10=20 20=3 40=2"),
	} {
		d, err := Read("t.dxf", []byte(text), Options{})
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		if got, _ := areaOf(d); math.Abs(got-want) > 1e-9 {
			t.Errorf("%s: %.6f mm2, want %.6f", name, got, want)
		}
	}
}

func TestUnits(t *testing.T) {
	body := "SECTION 2=ENTITIES\nLWPOLYLINE 90=4 70=1 10=0 20=0 10=24 20=0 10=24 20=12 10=0 20=12\nENDSEC\nEOF"
	for code, side := range map[string]float64{"1": 609.6, "4": 24, "5": 240, "6": 24000, "14": 2400} {
		d := mustRead(t, groups("SECTION 2=HEADER 9=$INSUNITS 70="+code+"\nENDSEC\n"+body), Options{})
		if b := d.Parts[0].Ring.Bound(); math.Abs(b.Max[0]-side) > 1e-6 {
			t.Errorf("$INSUNITS %s: %g mm wide, want %g", code, b.Max[0], side)
		}
	}
	for name, head := range map[string]string{"none": "", "0": "SECTION 2=HEADER 9=$INSUNITS 70=0\nENDSEC\n",
		"miles": "SECTION 2=HEADER 9=$INSUNITS 70=3\nENDSEC\n"} {
		_, err := Read("t.dxf", []byte(groups(head+body)), Options{BlankMM: [2]float64{620, 320}})
		if err == nil || !strings.Contains(err.Error(), "say its unit with --units") ||
			!strings.Contains(err.Error(), "inch: 609.6 x 304.8 mm") ||
			!strings.Contains(err.Error(), "cm, inch go with the blank of 620 x 320 mm") {
			t.Errorf("%s: error %v", name, err)
		}
		inch, _ := UnitNamed("inch")
		if d := mustRead(t, groups(head+body), Options{Unit: inch}); math.Abs(
			d.Parts[0].Ring.Bound().Max[0]-609.6) > 1e-6 {
			t.Errorf("%s: --units inch is not obeyed", name)
		}
	}
}

func TestFrames(t *testing.T) {
	frame := "LWPOLYLINE 8=F 90=4 70=1 10=-10 20=-10 10=400 20=-10 10=400 20=280 10=-10 20=280\n"
	inner := "LWPOLYLINE 8=F 90=4 70=1 10=-5 20=-5 10=395 20=-5 10=395 20=275 10=-5 20=275\n"
	title := "LWPOLYLINE 8=F 90=4 70=1 10=300 20=0 10=390 20=0 10=390 20=40 10=300 20=40\n" +
		"TEXT 10=305 20=5 1=A\nTEXT 10=305 20=15 1=B\nMTEXT 10=305 20=25 1=C\n"
	circle := "CIRCLE 10=100 20=100 40=10\n"
	d := mustRead(t, inMM(frame+inner+title+square+"\n"+circle), Options{WithoutFrame: true})
	if len(d.Parts) != 2 || !told(d, 16, "frame of the sheet left out") ||
		!told(d, 40, "frame of the sheet left out") ||
		!told(d, 64, "title block") {
		t.Errorf("%d parts, notes %v", len(d.Parts), d.Notes)
	}
	d = mustRead(t, inMM(frame+square+"\n"+circle), Options{})
	if len(d.Parts) != 1 || len(d.Parts[0].Holes) != 2 || !told(d, 16, "holds all others") {
		t.Errorf("without being asked: %d parts, notes %v", len(d.Parts), d.Notes)
	}
	d = mustRead(t, inMM(square+"\n"+circle), Options{WithoutFrame: true})
	if len(d.Parts) != 2 || !told(d, 0, "no frame was left out") {
		t.Errorf("no frame: %d parts, notes %v", len(d.Parts), d.Notes)
	}
}

// A sheet of paper as it is drawn: a border, a frame in it that holds all lettering, a title block of open lines or of
// rectangles. What is drawn in the frame is a part, however many texts the frame holds.
func TestPartsInAFrameWithLettering(t *testing.T) {
	rectangle := func(x0, y0, x1, y1 int) string {
		return fmt.Sprintf("LINE 10=%d 20=%d 11=%d 21=%d\nLINE 10=%d 20=%d 11=%d 21=%d\n"+
			"LINE 10=%d 20=%d 11=%d 21=%d\nLINE 10=%d 20=%d 11=%d 21=%d\n",
			x0, y0, x1, y0, x1, y0, x1, y1, x1, y1, x0, y1, x0, y1, x0, y0)
	}
	border, frame := rectangle(0, 0, 297, 210), rectangle(10, 10, 287, 200)
	openTitle := "LINE 10=187 20=10 11=187 21=50\nLINE 10=187 20=50 11=287 21=50\n"
	closedTitle := "LWPOLYLINE 90=4 70=1 10=187 20=10 10=287 20=10 10=287 20=50 10=187 20=50\n" +
		"LWPOLYLINE 90=4 70=1 10=187 20=10 10=237 20=10 10=237 20=20 10=187 20=20\n"
	texts := "TEXT 10=190 20=12 1=A\nTEXT 10=190 20=30 1=B\nTEXT 10=200 20=40 1=C\nMTEXT 10=20 20=190 1=D\n"
	bracket := "LWPOLYLINE 90=6 70=1 10=60 20=60 10=160 20=60 10=160 20=100 10=100 20=100 10=100 20=140 " +
		"10=60 20=140\n" +
		"CIRCLE 10=80 20=80 40=6"
	const mm2 = 100*40 + 40*40 - 36*math.Pi
	for name, title := range map[string]string{"open": openTitle, "closed": closedTitle} {
		d := mustRead(t, inMM(border+frame+title+texts+bracket), Options{WithoutFrame: true})
		if got, _ := areaOf(d); len(d.Parts) != 1 || math.Abs(got-mm2) > 1 {
			t.Errorf("%s title block: %d parts of %.0f mm2, want one of %.0f; notes %v", name, len(d.Parts), got, mm2,
				d.Notes)
		}
	}
}

// Parts 74 m from the origin keep their shape to a thousandth.
func TestFarFromTheOrigin(t *testing.T) {
	d := mustRead(t, inMM("CIRCLE 10=74000.25 20=-31000.5 40=10\nARC 10=74100 20=0 40=5 50=0 51=180\n"+
		"LINE 10=74095 20=0 11=74105 21=0"), Options{})
	if got, _ := areaOf(d); len(d.Parts) != 2 || math.Abs(got-112.5*math.Pi) > 0.4 {
		t.Errorf("%d parts of %.3f mm2, want 2 of %.3f", len(d.Parts), got, 112.5*math.Pi)
	}
}
