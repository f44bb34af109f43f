package drawing

import (
	"errors"
	"math"
	"strings"
	"testing"

	"github.com/paulmach/orb"
)

// page wraps elements into an SVG file of 100 x 80 mm whose numbers are mm.
func page(elements string) string {
	return `<?xml version="1.0"?>
<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" ` +
		`width="100mm" height="80mm" viewBox="0 0 100 80">` + "\n" + elements + "\n</svg>\n"
}

func mustReadSVG(t *testing.T, text string, opt Options) *Drawing {
	t.Helper()
	d, err := Read("t.svg", []byte(text), opt)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

func TestShapesOfSVG(t *testing.T) {
	for _, tc := range []struct {
		name, elements string
		mm2            float64 // closed form
		low            orb.Point
	}{
		{"rect", `<rect x="10" y="20" width="30" height="10"/>`, 300, orb.Point{10, 50}},
		{"rounded rect", `<rect x="10" y="20" width="30" height="10" rx="5"/>`, 300 - 100 + 25*math.Pi,
			orb.Point{10, 50}},
		{"circle", `<circle cx="50" cy="40" r="10"/>`, 100 * math.Pi, orb.Point{40, 30}},
		{"ellipse", `<ellipse cx="50" cy="40" rx="20" ry="5"/>`, 100 * math.Pi, orb.Point{30, 35}},
		{"polygon", `<polygon points="10,10 40 10, 10,50"/>`, 600, orb.Point{10, 30}},
		{"closed polyline", `<polyline points="10,10 40 10 10,50 10,10"/>`, 600, orb.Point{10, 30}},
		{"three lines", `<line x1="10" y1="10" x2="40" y2="10"/><line x1="40" y1="10" x2="10" y2="50"/>` +
			`<line x1="10" y1="10" x2="10" y2="50"/>`, 600, orb.Point{10, 30}},
		{"path, relative, packed", `<path d="m10 10h30l-30 40z"/>`, 600, orb.Point{10, 30}},
		{"path, implied lines", `<path d="M10,10 40,10 10,50z"/>`, 600, orb.Point{10, 30}},
		{"path, V and H", `<path d="M10 10H40V50H10Z"/>`, 1200, orb.Point{10, 30}},
		{"two subpaths, the second from where the first began", `<path d="M10 10h30v40h-30zm5 5h10v10h-10z"/>`, 1100,
			orb.Point{10, 30}},
		{"arcs with packed flags", `<path d="M40 40a10 10 0 1020 0a10 10 0 10-20 0z"/>`, 100 * math.Pi,
			orb.Point{40, 30}},
		{"arc too small for its ends grows", `<path d="M40 40A1 1 0 0 1 60 40z"/>`, 50 * math.Pi, orb.Point{40, 40}},
		{"turned ellipse arc", `<path d="M50 20A20 5 90 0 1 50 60A20 5 90 0 1 50 20"/>`, 100 * math.Pi,
			orb.Point{45, 20}},
		// The parabola arc over a chord has two thirds of the triangle of its control points (Archimedes).
		{"quadratic", `<path d="M10 40Q30 0 50 40z"/>`, 2.0 / 3 * 800, orb.Point{10, 40}},
		{"smooth quadratic", `<path d="M10 40Q20 20 30 40T50 40z"/>`, 0, orb.Point{}},
		// A cubic with its inner points at two thirds of the way to those of a quadratic is that quadratic.
		{"cubic", `<path d="M10 40C23.333333333 13.333333333 36.666666667 13.333333333 50 40z"/>`, 2.0 / 3 * 800,
			orb.Point{10, 40}},
		{"transforms", `<g transform="translate(50 40)rotate(90)"><rect x="0" y="0" width="20" height="10" ` +
			`transform="scale(1,2),matrix(1 0 0 1 0 0)"/></g>`, 400, orb.Point{30, 20}},
		{"rotation about a point", `<rect x="40" y="40" width="20" height="10" transform="rotate(180 50 45)"/>`, 200,
			orb.Point{40, 30}},
		{"skew keeps areas", `<rect x="10" y="10" width="20" height="10" transform="skewX(30)"/>`, 200,
			orb.Point{10 + 10*math.Tan(math.Pi/6), 60}},
		{"use", `<defs><rect id="a" width="10" height="10"/></defs><use xlink:href="#a" x="5" y="60"/>`, 100,
			orb.Point{5, 10}},
		{"use of a symbol", `<symbol id="a"><rect width="10" height="10"/></symbol><use href="#a" x="5" y="60"/>`, 100,
			orb.Point{5, 10}},
		{"lengths with units", `<rect width="1in" height="10" x="0" y="0"/>`, 960, orb.Point{0, 70}},
	} {
		d := mustReadSVG(t, page(tc.elements), Options{})
		if tc.mm2 == 0 { // as much above the line back as below it
			if len(d.Parts) != 0 || !told(d, 3, "without area") {
				t.Errorf("%s: %d parts, notes %v", tc.name, len(d.Parts), d.Notes)
			}
			continue
		}
		got, around := areaOf(d)
		if len(d.Parts) != 1 || math.Abs(got-tc.mm2) > FlatMM*around {
			t.Errorf("%s: %d parts of %.4f mm2, want one of %.4f: %v", tc.name, len(d.Parts), got, tc.mm2, d.Notes)
			continue
		}
		if low := d.Parts[0].Ring.Bound().Min; math.Hypot(low[0]-tc.low[0], low[1]-tc.low[1]) > 0.02 {
			t.Errorf("%s: lower left %v, want %v", tc.name, low, tc.low)
		}
	}
}

func TestWhatOfSVGIsLeftOut(t *testing.T) {
	const part = `<rect x="10" y="20" width="30" height="10"/>` + "\n"
	for _, tc := range []struct{ name, elements, want string }{
		{"page", part + `<rect width="100" height="80"/>`, "rectangle of the page"},
		{"page in percent", part + `<rect width="100%" height="100%"/>`, "rectangle of the page"},
		{"letters placed one by one", part + `<text x="1 2.5,4" y="2em">ABC</text>`, "lettering"},
		{"flowed text", part + `<flowRoot><flowRegion><rect width="9" height="9"/></flowRegion></flowRoot>`,
			"lettering"},
		{"dashes", part + `<circle cx="50" cy="50" r="9" stroke-dasharray="8 2 1 2"/>`, "dashed line"},
		{"dashes of a group", part + `<g style="stroke-dasharray:4,2"><circle cx="50" cy="50" r="9"/></g>`,
			"dashed line"},
		{"dashes by class", part + `<circle class="a" cx="50" cy="50" r="9"/><style>.b,.a{stroke-dasharray:8}</style>`,
			"dashed line"},
		{"hidden by class", part + `<circle class="b a" cx="50" cy="50" r="9"/><style>.a{display:none}</style>`,
			"hidden element"},
		{"layer of center lines", part + `<g label="Center lines"><circle cx="50" cy="50" r="9"/></g>`,
			"by its name is not for cutting"},
		{"text", part + `<text x="1" y="2">A<tspan>B</tspan></text>`, "lettering"},
		{"image", part + `<image width="3" height="3"/>`, "image"},
		{"hidden", part + `<g style="fill:none; display : none"><rect x="50" width="9" height="9"/></g>`,
			"hidden element"},
		{"open", part + `<path d="M50 50h10v10"/>`, "open line"},
		{"duplicate", part + part, "once more"},
	} {
		d := mustReadSVG(t, page(tc.elements), Options{})
		if len(d.Parts) != 1 || !told(d, 4, tc.want) {
			t.Errorf("%s: %d parts, notes %v", tc.name, len(d.Parts), d.Notes)
		}
	}
	// Dashes that a group has and an element has not are none.
	solid := part + `<g stroke-dasharray="4"><circle cx="50" cy="50" r="9" stroke-dasharray="none"/></g>`
	if d := mustReadSVG(t, page(solid), Options{}); len(d.Parts) != 2 || len(d.Notes) != 0 {
		t.Errorf("a line without dashes in a group with them: %d parts, notes %v", len(d.Parts), d.Notes)
	}
	d := mustReadSVG(t, page(part+`<other xmlns="urn:other"><rect width="5" height="5"/></other>`), Options{})
	if len(d.Parts) != 1 || len(d.Notes) != 0 {
		t.Errorf("elements of other name spaces: %d parts, notes %v", len(d.Parts), d.Notes)
	}
}

func TestUnitsOfSVG(t *testing.T) {
	const square = `<rect x="0" y="0" width="360" height="360"/>`
	file := func(attributes string) string {
		return `<svg xmlns="http://www.w3.org/2000/svg" ` + attributes + `><g>` + square + `</g></svg>`
	}
	for _, tc := range []struct {
		name, attributes, unit string
		side                   float64 // 0: refused
	}{
		{"no size", ``, "", 0},
		{"px", `width="720" height="720px" viewBox="0 0 720 720"`, "", 0},
		{"mm without a viewBox", `width="200mm" height="200mm"`, "", 0},
		{"72 dpi", `width="720" height="720"`, "px72", 127},
		{"90 dpi", `width="720" height="720"`, "px90", 101.6},
		{"96 dpi", `width="720" height="720" viewBox="0 0 720 720"`, "px96", 95.25},
		{"96 dpi, half the viewBox", `width="720" height="720" viewBox="0 0 1440 1440"`, "px96", 47.625},
		{"mm and a viewBox", `width="190.5mm" height="190.5mm" viewBox="0 0 720 720"`, "", 95.25},
		{"inches and a viewBox", `width="7.2in" height="7.2in" viewBox="0 0 720 720"`, "", 91.44},
		{"points and a viewBox", `width="720pt" height="720pt" viewBox="0 0 720 720"`, "", 127},
		{"width alone", `width="72mm" viewBox="0 0 720 720"`, "", 36},
		{"wider page: the smaller scale", `width="144mm" height="72mm" viewBox="0 0 720 720"`, "", 36},
		{"as mm", ``, "mm", 360},
	} {
		var opt Options
		if tc.unit != "" {
			opt.Unit, _ = UnitNamed(tc.unit)
		}
		d, err := Read("t.svg", []byte(file(tc.attributes)), opt)
		if tc.side == 0 {
			if err == nil || !strings.Contains(err.Error(), "px72: 127 x 127 mm, px90: 101.6 x 101.6 mm, px96: "+
				"95.25 x 95.25 mm") {
				t.Errorf("%s: error %v", tc.name, err)
			}
			continue
		}
		if err != nil {
			t.Errorf("%s: %v", tc.name, err)
			continue
		}
		if b := d.Parts[0].Ring.Bound(); math.Abs(b.Max[0]-b.Min[0]-tc.side) > 1e-6 {
			t.Errorf("%s: %.4f mm wide, want %.4f", tc.name, b.Max[0]-b.Min[0], tc.side)
		}
	}
}

func TestRefusalsOfSVG(t *testing.T) {
	for _, tc := range []struct {
		name, text string
		line       int
		want       string
	}{
		{"malformed", page("<g>\n<rect>\n</g>"), 5, "malformed XML: element <rect> closed by </g>; save the drawing " +
			"again"},
		{"svg in svg", page(`<svg><rect width="9" height="9"/></svg>`), 3, "a drawing within the drawing"},
		{"cut short", strings.TrimSuffix(page("<g/>"), "</svg>\n"), 4, "malformed XML"},
		{"unknown entity", page("<g>&what;</g>"), 3, "malformed XML"},
		{"no SVG", "<html></html>", 1, "it is no SVG"},
		{"unknown element", page("\n<mesh/>"), 4, `element "mesh" is not read`},
		{"path", page(`<path d="M0 0L10"/>`), 3, "path data, character 8: a number is missing"},
		{"path without M", page(`<path d="L10 0"/>`), 3, "begins with M"},
		{"path command", page(`<path d="M0 0B10 0"/>`), 3, `"B" is no command`},
		{"flag", page(`<path d="M0 0A1 1 0 2 0 5 5"/>`), 3, "a flag of an arc is 0 or 1"},
		{"transform", page(`<g transform="turn(3)"/>`), 3, "transform turn(3)"},
		{"use", page(`<use href="#none"/>`), 3, "which is not in the file"},
		{"use of itself", page(`<g id="a"><use href="#a"/></g>`), 3, "more than 16 deep"},
	} {
		_, err := Read("t.svg", []byte(tc.text), Options{})
		var e *Error
		if !errors.As(err, &e) || e.Pos.Line != tc.line || !strings.Contains(e.Message, tc.want) {
			t.Errorf("%s: error %v, want line %d and %q", tc.name, err, tc.line, tc.want)
		}
	}
	const entities = `<!DOCTYPE svg [<!ENTITY ns "http://www.w3.org/2000/svg">]>` +
		`<svg xmlns="&ns;" width="10mm" height="10mm" viewBox="0 0 10 10"><circle cx="5" cy="5" r="4"/></svg>`
	if d := mustReadSVG(t, entities, Options{}); len(d.Parts) != 1 {
		t.Errorf("entities of the document type: %d parts", len(d.Parts))
	}
	tooLong := strings.Replace(entities, "2000/svg\">", "2000/svg"+strings.Repeat(" ", maxEntity)+"\">", 1)
	if _, err := Read("t.svg", []byte(tooLong), Options{}); err == nil || !strings.Contains(err.Error(),
		"malformed XML") {
		t.Errorf("an entity longer than any name space: %v", err)
	}
}

const report = `{
 "type": "FeatureCollection",
 "coordinates": "X and Y in mm, program coordinates",
 "features": [
  {"type": "Feature", "geometry": {"type": "MultiPolygon", "coordinates": [[[[0,0],[100,0],[100,80],[0,80],[0,0]]]]},
   "properties": {"kind": "stock"}},
  {"type": "Feature", "geometry": {"type": "MultiPolygon", "coordinates": [[[[0,0],[100,0],[100,80],[0,80],[0,0]]]]},
   "properties": {"kind": "piece", "piece": 1}},
  {"type": "Feature", "geometry": {"type": "MultiPolygon",
    "coordinates": [[[[10,10],[50,10],[50,40],[10,40],[10,10]],[[20,20],[20,30],[30,30],[30,20],[20,20]]]]},
   "properties": {"kind": "piece", "piece": 2}}
 ]
}
`

func TestGeoJSON(t *testing.T) {
	d, err := Read("t.geojson", []byte(report), Options{})
	if err != nil {
		t.Fatal(err)
	}
	if got, _ := areaOf(d); len(d.Parts) != 1 || len(d.Parts[0].Holes) != 1 || got != 1100 || d.Parts[0].Line != 9 {
		t.Errorf("%d parts of %g mm2, %v", len(d.Parts), got, d.Notes)
	}
	for _, tc := range []struct {
		text string
		line int
		want string
	}{
		{strings.Replace(report, `"X and Y in mm, program coordinates"`, `""`, 1), 0, "degrees"},
		{strings.Replace(report, `"piece": 2}`, `"piece": 2`, 1), 12, "malformed GeoJSON"},
		{strings.Replace(report, "[50,40]", "[50]", 1), 9, "less than two numbers"},
		{strings.Replace(report, "FeatureCollection", "Topology", 1), 1, `type "Topology" is not read`},
	} {
		_, err := Read("t.geojson", []byte(tc.text), Options{})
		var e *Error
		if !errors.As(err, &e) || e.Pos.Line != tc.line || !strings.Contains(e.Message, tc.want) {
			t.Errorf("error %v, want line %d and %q", err, tc.line, tc.want)
		}
	}
}
