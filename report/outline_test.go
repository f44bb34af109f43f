package report

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"image/png"
	"math"
	"regexp"
	"strings"
	"testing"

	"github.com/paulmach/orb"

	"staydown/hold/dryrun"
	"staydown/hold/outline"
	"staydown/hold/result"
	"staydown/internal/testrun"
	"staydown/report/words"
)

// anOutline is a drawing with an item of every answer, hand-made.
func anOutline() *outline.Result {
	square := func(x, side float64) orb.Polygon {
		return orb.Polygon{{{x, 10}, {x + side, 10}, {x + side, 10 + side}, {x, 10 + side}, {x, 10}}}
	}
	item := func(kind outline.Kind, part int, x, side float64, plain, thin outline.Trial) outline.Item {
		i := outline.Item{Kind: kind, Part: part, Line: 10 * part, Layer: "=CUT\x1b", Outline: square(x, side),
			AreaMM2: side * side, SizeMM: [2]float64{side, side}}
		i.Trials[outline.OnePass], i.Trials[outline.ThinPass] = plain, thin
		return i
	}
	nan := math.NaN()
	slip := outline.Trial{Tried: true, Margin: 0.4, Low: nan, High: nan, Mode: result.Slip, HoldN: 10, LoadN: 25}
	good := outline.Trial{Tried: true, Holds: true, Margin: 3, Low: nan, High: nan, Mode: result.Twist}
	r := &outline.Result{Path: "kit\x1b.dxf", Format: "DXF", Unit: "mm", Margin: 2, Class: dryrun.WouldNotHold,
		Places:       1,
		PumpPlainM3h: nan, PumpCareM3h: 12.34, Assumed: []string{"no coolant"}, Reasons: []string{"pump-short: low"},
		Notes: []outline.Note{{Line: 7, Message: "lettering left out"}},
		Job:   result.JobFacts{StockOutline: orb.MultiPolygon{square(0, 200)}}}
	large, middle, small := item(outline.PartItem, 1, 10, 80, good, outline.Trial{}),
		item(outline.PartItem, 2, 100, 40, slip, good), item(outline.PartItem, 3, 150, 20, slip, slip)
	middle.Class, middle.Way, small.Class = dryrun.WithCare, outline.ThinPass, dryrun.WouldNotHold
	again := middle
	again.Part, again.Trials[outline.OnePass].Margin = 4, 0.5
	gone := item(outline.OffcutItem, 1, 20, 5, outline.Trial{Tried: true, Holds: true, Margin: nan, Low: nan,
		High: nan},
		outline.Trial{})
	gone.Hole, gone.MilledAway = 1, true
	r.Items = []outline.Item{gone, large, middle, small, again, {Kind: outline.SheetItem}}
	r.Items[5].Trials[outline.OnePass] = outline.Trial{Tried: true, Holds: true, Margin: math.Inf(1)}
	return r
}

func TestOutlineText(t *testing.T) {
	var b bytes.Buffer
	if err := OutlineText(&b, anOutline(), TextOptions{}); err != nil {
		t.Fatal(err)
	}
	want := `kit\x1b.dxf:7: note: lettering left out
kit\x1b.dxf:30: error: part 3 (20 x 20 mm): would-not-hold; one pass: margin 0.40, slip; thin last pass: margin 0.40, slip
kit\x1b.dxf:20: warning: part 2 (40 x 40 mm) and 1 other like it: with-care, with a thin last pass; one pass: margin 0.40 to 0.50, slip; thin last pass: margin 3.00
kit\x1b.dxf:10: note: part 1 (80 x 80 mm): would-hold; one pass: margin 3.00
kit\x1b.dxf: note: sheet: would-hold; one pass: not loaded
kit\x1b.dxf: 4 parts, DXF in mm: 1 would-hold, 2 with-care, 1 would-not-hold
    required margin: 2.00; smallest pump for all: none in one pass, 12.3 m3/h with the care named
    pump-short: low
    assumed: no coolant
    ` + outlineCaution + " " + words.Caution + `
kit\x1b.dxf: would-not-hold
`
	if b.String() != want {
		t.Errorf("got\n%s\nwant\n%s", b.String(), want)
	}
	if regexp.MustCompile(`\bheld\b`).MatchString(b.String()) {
		t.Error("a drawing is called held")
	}
	b.Reset()
	if err := OutlineText(&b, anOutline(), TextOptions{Quiet: true}); err != nil || strings.Count(b.String(),
		"\n") != 3 {
		t.Errorf("quiet: %v\n%s", err, b.String())
	}
}

func TestOutlineFiles(t *testing.T) {
	r := anOutline()
	data, err := OutlineJSON(r)
	if err != nil {
		t.Fatal(err)
	}
	var back struct {
		Schema, Class, Caution string
		Pump                   map[string]*float64 `json:"pump_needed_m3h"`
		Items                  []struct {
			Kind, Class string
			Way         *string
			Trials      []struct {
				Way    string
				Margin *float64
			}
		}
	}
	if err := json.Unmarshal(data, &back); err != nil {
		t.Fatal(err)
	}
	if back.Schema != "staydown-outline/1" || back.Class != "would-not-hold" || !strings.Contains(back.Caution,
		"no order") ||
		back.Pump["one_pass"] != nil || *back.Pump["with_care"] != 12.34 || len(back.Items) != 6 {
		t.Errorf("%+v", back)
	}
	if i := back.Items[3]; i.Way != nil || len(i.Trials) != 2 || *i.Trials[0].Margin != 0.4 {
		t.Errorf("what would not hold: %+v", i)
	}
	var b bytes.Buffer
	if err := OutlineCSV(&b, r); err != nil {
		t.Fatal(err)
	}
	rows, err := csv.NewReader(&b).ReadAll()
	if err != nil || len(rows) != 7 {
		t.Fatalf("%d rows, %v", len(rows), err)
	}
	// A layer is no formula, and its control characters are visible.
	if row := rows[3]; row[3] != `./=CUT\x1b` || row[9] != "with-care" || row[10] != "thin last pass" ||
		row[11] != "false" ||
		row[12] != "0.4" || row[14] != "slip" || row[19] != "" {
		t.Errorf("row %q", row)
	}
}

func TestOutlinePlan(t *testing.T) {
	testrun.NotForRaces(t)
	var b bytes.Buffer
	if err := OutlinePNG(&b, anOutline()); err != nil {
		t.Fatal(err)
	}
	img, err := png.Decode(bytes.NewReader(b.Bytes()))
	if err != nil {
		t.Fatal(err)
	}
	if size := img.Bounds().Size(); size.X != pictureWidthPx || size.Y != pictureHeightPx {
		t.Errorf("size %v", size)
	}
	// Every answer has its color somewhere on the plan, beside the legend.
	found := map[string]bool{}
	for y := range img.Bounds().Dy() {
		for x := range pictureWidthPx * 4 / 5 {
			for _, c := range []dryrun.Class{dryrun.WouldHold, dryrun.WithCare, dryrun.WouldNotHold} {
				r, g, bl, _ := img.At(x, y).RGBA()
				want := stateColour(classState(c))
				if uint8(r>>8) == want.R && uint8(g>>8) == want.G && uint8(bl>>8) == want.B {
					found[c.String()] = true
				}
			}
		}
	}
	if len(found) != 3 {
		t.Errorf("only %v are on the plan", found)
	}
}
