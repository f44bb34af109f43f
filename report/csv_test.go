package report

import (
	"bytes"
	"encoding/csv"
	"math"
	"strings"
	"testing"

	"staydown/hold/result"
	"staydown/report/internal/reporttest"
	"staydown/report/page"
	"staydown/report/words"
)

// RFC 4180: CR LF ends every record, quotes are doubled, fields with commas, quotes or line breaks are quoted. The
// reader is that of the standard library.
func TestSummaryRoundTrip(t *testing.T) {
	nest, _ := reporttest.Fixture()
	odd := &result.Result{Program: result.ProgramFacts{Path: "a \"b\", c\nd.nc"}, Margin: 2,
		Vacuum: result.Vacuum{AlarmSetpointKPa: math.NaN(), PumpNeededM3h: math.Inf(1)}}
	formula := &result.Result{Program: result.ProgramFacts{Path: "=1+1.nc"}}
	var b bytes.Buffer
	if err := Summary(&b, []*result.Result{nest, odd, formula}); err != nil {
		t.Fatal(err)
	}
	rows, err := csv.NewReader(bytes.NewReader(b.Bytes())).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	if len(rows) != 4 || len(rows[0]) != len(rows[1]) {
		t.Fatalf("%d rows", len(rows))
	}
	cell := func(row int, name string) string {
		for i, h := range rows[0] {
			if h == name {
				return rows[row][i]
			}
		}
		t.Fatalf("no column %s", name)
		return ""
	}
	for _, c := range []struct {
		row        int
		name, want string
	}{
		{1, "program", "parts/nest.nc"}, {1, "verdict", "loose"}, {1, "least_margin", "0.35"}, {1, "least_piece", "9"},
		{1, "least_mode", "twist"},
		{1, "errors", "2"}, {1, "warnings", "2"}, {1, "notes", "1"}, {1, "freed", "8"}, {1, "pieces", "9"},
		{1, "slivers", "1"}, {1, "alarm_setpoint_kpa", ""}, {1, "pump_needed_m3h", "71.5"},
		{2, "program", "a \"b\", c\nd.nc"}, {2, "least_margin", ""}, {2, "pump_needed_m3h", ""},
		{3, "program", "./=1+1.nc"},
	} {
		if got := cell(c.row, c.name); got != c.want {
			t.Errorf("row %d, %s: %q, want %q", c.row, c.name, got, c.want)
		}
	}
	if strings.Count(b.String(), "\r\n") != 5 { // four records and the break inside a field
		t.Errorf("line ends: %q", b.String())
	}
	for _, h := range rows[0] {
		if strings.ToLower(h) != h || strings.ContainsAny(h, " -") {
			t.Errorf("column %q", h)
		}
	}
}

// What was not looked at stands in summary and index with its reason, whatever its name.
func TestWhatWasNotLookedAtIsListed(t *testing.T) {
	lost := result.Unanalysed("shop/locked", "may not be read by this user; change its permissions")
	passed := words.PassedOver{Path: "shop/a\u202ecn.annotated.nc", Why: "is an annotated copy and is passed over"}
	var table, index bytes.Buffer
	for _, err := range []error{Summary(&table, []*result.Result{lost}, passed),
		page.Index(&index, []page.IndexEntry{{Name: "shop/locked", Result: lost, NoReport: true}}, passed)} {
		if err != nil {
			t.Fatal(err)
		}
	}
	rows, err := csv.NewReader(&table).ReadAll()
	if err != nil || len(rows) != 3 {
		t.Fatalf("%v, %v", rows, err)
	}
	last := len(rows[0]) - 1
	if r := rows[1]; rows[0][last] != "remark" || r[1] != "incomplete" || r[last] != "may not be read by this user; "+
		"change its permissions" {
		t.Errorf("lost: %q", r)
	}
	if r := rows[2]; r[0] != passed.Path || r[1] != "passed-over" || r[last] != passed.Why {
		t.Errorf("passed over: %q", r)
	}
	for _, want := range []string{`shop/locked<br><small>may not be read by this user; change its permissions</small>`,
		`<li>shop/a\u202ecn.annotated.nc: is an annotated copy and is passed over</li>`} {
		if !strings.Contains(index.String(), want) {
			t.Errorf("the index lacks %s", want)
		}
	}
}
