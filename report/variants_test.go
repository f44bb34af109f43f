package report

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"os"
	"testing"

	"github.com/google/go-cmp/cmp"

	"staydown/report/internal/reporttest"
	"staydown/report/words"
)

func ExampleVariantsText() {
	_ = VariantsText(os.Stdout, reporttest.ThreeVariants())
	// Output:
	// part.nc:
	//   pump.flow  site.altitude  verdict     least margin         lowest vacuum  alarm setpoint
	//   100 m3/h   0 m            held        3.21 (2.10 to 4.50)  81.2 kPa       40.1 kPa
	//   100 m3/h   2000 m         loose       0.99                 61.0 kPa       none
	//   60 m3/h    0 m            incomplete  none                 unknown        unknown
	// caution: This is an estimate, not a guarantee. Prove the program with a test cut, with guards closed and
	//          people clear: loose parts and broken tools fly. The machine's manual, local safety rules and
	//          licensed practice come first.
}

func TestVariantsForOtherPrograms(t *testing.T) {
	v := reporttest.ThreeVariants()
	v.Rows[2].Values[0] = "=1+1"
	var b bytes.Buffer
	if err := VariantsCSV(&b, v); err != nil {
		t.Fatal(err)
	}
	rows, err := csv.NewReader(&b).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	want := [][]string{
		{"pump.flow", "site.altitude", "verdict", "least_margin_low", "least_margin", "least_margin_high",
			"vacuum_least_kpa", "alarm_setpoint_kpa"},
		{"100 m3/h", "0 m", "held", "2.104", "3.217", "4.5", "81.239", "40.01"},
		{"100 m3/h", "2000 m", "loose", "", "0.996", "", "61", ""},
		{"'=1+1", "0 m", "incomplete", "", "", "", "", ""},
	}
	if d := cmp.Diff(want, rows); d != "" {
		t.Error(d)
	}
	b.Reset()
	if err := VariantsJSON(&b, v); err != nil {
		t.Fatal(err)
	}
	var got struct {
		Keys     []string
		Variants []struct {
			Values         []string
			Verdict        string
			LeastMargin    []*float64 `json:"least_margin"`
			VacuumLeastKPa *float64   `json:"vacuum_least_kpa"`
		}
		Caution string
	}
	if err := json.Unmarshal(b.Bytes(), &got); err != nil {
		t.Fatal(err)
	}
	one := got.Variants[1]
	if len(got.Variants) != 3 || one.LeastMargin[0] != nil || *one.LeastMargin[1] != 0.996 ||
		*one.VacuumLeastKPa != 61 || got.Variants[2].Values[0] != "=1+1" || got.Caution != words.Caution {
		t.Error(b.String())
	}
}
