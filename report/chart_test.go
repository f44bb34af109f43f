package report

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"image/png"
	"math"
	"regexp"
	"strings"
	"testing"

	"github.com/paulmach/orb"

	"staydown/hold/chart"
	"staydown/hold/result"
	"staydown/internal/testrun"
	"staydown/parse/units"
	"staydown/report/internal/reporttest"
	"staydown/report/picture"
)

// chartResult is a chart of three shapes, five feeds and twelve depths by hand: the smallest size grows as depth and
// feed do, and none holds of the strip at the greatest feed in one pass.
func chartResult() *chart.Result {
	r := &chart.Result{Margin: 1, Tool: 1, RPM: 18000, ThickMM: 6, VacuumKPa: 80, SkinMM: 0.2, Tabs: 4, TabWideMM: 6,
		TabHighMM: 1.5, SizesMM: []float64{10, 16, 25, 40, 63, 100, 160, 250},
		DepthsMM:   []float64{0.1, 0.15, 0.2, 0.3, 0.44, 0.64, 0.93, 1.4, 2, 2.9, 4.1, 6},
		FeedsMMMin: []float64{540, 1100, 1600, 2200, 3200}, Places: []string{"along a groove (X300 Y210)"}}
	r.Job = result.JobFacts{Material: "aluminium-wrought", Layer: "porous-card", Pump: "rotary-vane",
		StockOutline: orb.MultiPolygon{{reporttest.Rectangle(0, 0, 600, 400)}},
		Tools: []result.ToolFacts{{Number: 1, Shape: "flat",
			DiameterMM: 6, Flutes: 2}}}
	r.Trials = []chart.Trial{{Margin: result.Range{Low: 0.5, Likely: 1, High: 2}}}
	for s := range 3 {
		for k, feed := range r.FeedsMMMin {
			c := chart.Curve{Shape: chart.Shape(s), FeedMMMin: feed}
			for _, d := range r.DepthsMM {
				high := 40 * math.Sqrt(d) * math.Pow(feed/540, 0.3)
				p := chart.Point{DepthMM: d, Smallest: result.Range{Low: 0.5 * high, Likely: 0.7 * high, High: high}}
				p.At = chart.Trial{Margin: result.Range{Low: 1.1, Likely: 2.2, High: 4.4}, Mode: result.Twist,
					Place: r.Places[0]}
				if s == 2 && k == 4 && d == 6 {
					p.Smallest.High = math.Inf(1)
				}
				c.Points = append(c.Points, p)
			}
			r.Curves = append(r.Curves, c)
			r.Cares = append(r.Cares, chart.Care{Shape: c.Shape, FeedMMMin: feed, NoCareMM: c.Points[11].Smallest.High,
				ThinPassMM: 16, SkinMM: 10, TabsMM: 12.7})
		}
	}
	thin := r.Curves[2].Points[2]
	r.Heights = []chart.Height{
		{Shape: chart.Square, SizeMM: thin.Smallest.High, FeedMMMin: 1600, DepthMM: thin.DepthMM, TipsMM: 129.9,
			LikelyMM: 254, Mode: result.Tip},
		{Shape: chart.Square, SizeMM: 63, FeedMMMin: 1600, DepthMM: thin.DepthMM, TipsMM: math.Inf(1),
			LikelyMM: math.Inf(1)},
		{Shape: chart.Disc, SizeMM: 25, FeedMMMin: 1600, DepthMM: thin.DepthMM, TipsMM: math.NaN(),
			LikelyMM: math.NaN(), Mode: result.Twist},
	}
	return r
}

// Heights are rounded down to two digits. A part that gives way in another way, or stands as tall as was tried, has
// none.
func TestChartSaysFromWhichHeightAPartTips(t *testing.T) {
	r := chartResult()
	var text, table, page, drawing bytes.Buffer
	for _, err := range []error{ChartText(&text, r), ChartCSV(&table, r), ChartHTML(&page, r), picture.ChartSVG(&drawing, r)} {
		if err != nil {
			t.Fatal(err)
		}
	}
	for _, want := range []string{`square +24\.78 +0\.2 +120 +250\n`,
		`square +63 +0\.2 +over 4 widths +over 4 widths\n`,
		`disc +25 +0\.2 +twist first +twist first\n`} {
		if !regexp.MustCompile(want).Match(text.Bytes()) {
			t.Errorf("%q is missing:\n%s", want, text.Bytes())
		}
	}
	rows, err := csv.NewReader(&table).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	for i, row := range rows[1:] {
		want := "[ ]"
		if i == 2*12+2 { // F1600, 0.2 mm
			want = "[130 254]"
		}
		if got := fmt.Sprint(row[len(row)-2:]); got != want {
			t.Errorf("row %d: tips from %s, want %s", i, got, want)
		}
	}
	if !strings.Contains(page.String(), "<td>twist first</td>") || !strings.Contains(drawing.String(),
		"63 wide: over 4 widths") {
		t.Error("page or picture do not say from which height on a part tips")
	}
}

// One word for each class, as of a drawing; the table says the same in both systems of units.
func TestChartWords(t *testing.T) {
	r := chartResult()
	var metric, inch bytes.Buffer
	if err := ChartText(&metric, r); err != nil {
		t.Fatal(err)
	}
	r.Units = units.Inch
	if err := ChartText(&inch, r); err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"would-hold", "with-care: thin last pass", "smaller ones would-not-hold",
		`4:1 strip +F3200 +none +16 +10 or less +12.7 +\d+ \(\d+\.?\d* to none\)`, "guards closed"} {
		if !regexp.MustCompile(want).Match(metric.Bytes()) {
			t.Errorf("%q is missing:\n%s", want, metric.Bytes())
		}
	}
	// 12.7 mm and 2540 mm/min are half an inch and 100 in/min.
	if want := `4:1 strip +F125.984 +none +0.6299 +0.3937 or less +0.5`; !regexp.MustCompile(want).Match(inch.Bytes()) {
		t.Errorf("%q is missing:\n%s", want, inch.Bytes())
	}
	for _, wrong := range []string{" held", "no care"} {
		if strings.Contains(metric.String(), wrong) {
			t.Errorf("%q: nothing is held before there is a program", wrong)
		}
	}
}

func TestChartCSVHasARowForEachPoint(t *testing.T) {
	r := chartResult()
	var b bytes.Buffer
	if err := ChartCSV(&b, r); err != nil {
		t.Fatal(err)
	}
	rows, err := csv.NewReader(&b).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	if len(rows) != 1+3*5*12 {
		t.Fatalf("%d rows, want a header and 180", len(rows))
	}
	if got, want := fmt.Sprint(rows[12][:6]), "[square 540 6 49 68.6 98]"; got != want {
		t.Errorf("%s, want %s", got, want)
	}
	if last := rows[180]; last[5] != "" || last[6] != "" {
		t.Errorf("no size holds, but the row says %v", last)
	}
}

func TestChartPictures(t *testing.T) {
	testrun.NotForRaces(t)
	r := chartResult()
	var drawn, drawing bytes.Buffer
	if err := picture.ChartPNG(&drawn, r); err != nil {
		t.Fatal(err)
	}
	if img, err := png.Decode(&drawn); err != nil || img.Bounds().Dx() != 1600 || img.Bounds().Dy() != 900 {
		t.Errorf("%v, want 1600 x 900", err)
	}
	if err := picture.ChartSVG(&drawing, r); err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"square: side", "disc: diameter", "strip 4:1: width", "would-hold",
		"with-care: thin last pass", "range at F1600", "F3200 mm/min", "guards closed"} {
		if !strings.Contains(drawing.String(), want) {
			t.Errorf("%q is missing", want)
		}
	}
}
