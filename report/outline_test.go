package report

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"regexp"
	"strings"
	"testing"

	"staydown/report/internal/reporttest"
	"staydown/report/words"
)

func TestOutlineText(t *testing.T) {
	var b bytes.Buffer
	if err := OutlineText(&b, reporttest.Outline(), TextOptions{}); err != nil {
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
	if err := OutlineText(&b, reporttest.Outline(), TextOptions{Quiet: true}); err != nil || strings.Count(b.String(),
		"\n") != 3 {
		t.Errorf("quiet: %v\n%s", err, b.String())
	}
}

func TestOutlineFiles(t *testing.T) {
	r := reporttest.Outline()
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
