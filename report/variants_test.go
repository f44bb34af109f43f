package report

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"image/png"
	"math"
	"os"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"staydown/hold/result"
	"staydown/internal/testrun"
	"staydown/report/words"
)

// variant is a made-up row: one piece with the least margin, low and high.
func variant(verdict result.Verdict, low, margin, high, vacuumKPa, setKPa float64, values ...string) result.Variant {
	r := &result.Result{Verdict: verdict, Margin: 2, Vacuum: result.Vacuum{LeastKPa: vacuumKPa,
		AlarmSetpointKPa: setKPa}}
	if !math.IsNaN(margin) {
		r.Pieces = []result.Piece{{ID: 2, Least: result.Least{Mode: result.Slip, Margin: margin, Low: low, High: high}}}
	}
	return result.Variant{Values: values, Result: r}
}

// threeVariants has a margin with a range, one without, and a variant that could not be analyzed.
func threeVariants() *result.Variants {
	nan := math.NaN()
	return &result.Variants{Program: "part.nc", SHA256: "ab", Keys: []string{"pump.flow", "site.altitude"},
		Rows: []result.Variant{
			variant(result.Held, 2.104, 3.217, 4.5, 81.239, 40.01, "100 m3/h", "0 m"),
			variant(result.Loose, nan, 0.996, nan, 61, nan, "100 m3/h", "2000 m"),
			variant(result.Incomplete, nan, nan, nan, nan, nan, "60 m3/h", "0 m"),
		}}
}

func ExampleVariantsText() {
	_ = VariantsText(os.Stdout, threeVariants())
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
	v := threeVariants()
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

func TestHeatMap(t *testing.T) {
	testrun.NotForRaces(t)
	v := threeVariants()
	v.Rows = append(v.Rows, variant(result.AtRisk, math.NaN(), 1.5, math.NaN(), 50, 49, "60 m3/h", "2000 m"))
	var b bytes.Buffer
	if err := HeatMapPNG(&b, v); err != nil {
		t.Fatal(err)
	}
	img := samePicture(t, "vary.heatmap.png", b.Bytes())
	for _, verdict := range []result.Verdict{result.Held, result.AtRisk, result.Loose, result.Incomplete} {
		if fill, _ := verdictFill(verdict); !hasColour(img, fill) {
			t.Errorf("no cell in the color of %v", verdict)
		}
	}
	if err := HeatMapPNG(&b, &result.Variants{Keys: []string{"a"}}); err == nil {
		t.Error("a heat map of one key")
	}
}

// A thousand cells with long values still are a picture.
func TestHeatMapOfManyValues(t *testing.T) {
	testrun.NotForRaces(t)
	v := &result.Variants{Program: strings.Repeat("long/", 60) + "part.nc", Keys: []string{"a", "b"}}
	for i := range 1000 {
		v.Rows = append(v.Rows, variant(result.Loose, 0.1, 0.5, 0.9, 50, 49, "[1 mm, 2 mm, 3 mm, 4 mm, 5 mm, 6 mm]"+
			strings.Repeat("x", i/500), strings.Repeat("y", i%500+1)))
	}
	var b bytes.Buffer
	if err := HeatMapPNG(&b, v); err != nil {
		t.Fatal(err)
	}
	if _, err := png.Decode(&b); err != nil {
		t.Error(err)
	}
}
