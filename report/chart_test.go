package report

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"image/png"
	"regexp"
	"strings"
	"testing"

	"staydown/internal/testrun"
	"staydown/parse/units"
	"staydown/report/internal/reporttest"
	"staydown/report/page"
	"staydown/report/picture"
)

// Heights are rounded down to two digits. A part that gives way in another way, or stands as tall as was tried, has
// none.
func TestChartSaysFromWhichHeightAPartTips(t *testing.T) {
	r := reporttest.Chart()
	var text, table, sheet, drawing bytes.Buffer
	for _, err := range []error{ChartText(&text, r), ChartCSV(&table, r), page.ChartHTML(&sheet, r),
		picture.ChartSVG(&drawing, r)} {
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
	if !strings.Contains(sheet.String(), "<td>twist first</td>") || !strings.Contains(drawing.String(),
		"63 wide: over 4 widths") {
		t.Error("page or picture do not say from which height on a part tips")
	}
}

// One word for each class, as of a drawing; the table says the same in both systems of units.
func TestChartWords(t *testing.T) {
	r := reporttest.Chart()
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
	r := reporttest.Chart()
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
	r := reporttest.Chart()
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
