package picture

import (
	"bytes"
	"image/png"
	"math"
	"strings"
	"testing"

	"staydown/hold/result"
	"staydown/internal/testrun"
	"staydown/report/internal/reporttest"
)

func TestHeatMap(t *testing.T) {
	testrun.NotForRaces(t)
	v := reporttest.ThreeVariants()
	v.Rows = append(v.Rows, reporttest.Variant(result.AtRisk, reporttest.Margin{Low: math.NaN(), Likely: 1.5,
		High: math.NaN()}, 50, 49, "60 m3/h", "2000 m"))
	var b bytes.Buffer
	if err := HeatMapPNG(&b, v); err != nil {
		t.Fatal(err)
	}
	img := reporttest.SamePicture(t, "vary.heatmap.png", b.Bytes())
	for _, verdict := range []result.Verdict{result.Held, result.AtRisk, result.Loose, result.Incomplete} {
		if fill, _ := verdictFill(verdict); !reporttest.HasColour(img, fill) {
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
		v.Rows = append(v.Rows, reporttest.Variant(result.Loose, reporttest.Margin{Low: 0.1, Likely: 0.5, High: 0.9},
			50, 49, "[1 mm, 2 mm, 3 mm, 4 mm, 5 "+
				"mm, 6 mm]"+
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
