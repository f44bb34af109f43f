package report

import (
	"bytes"
	"encoding/json"
	"math"
	"testing"

	"github.com/paulmach/orb"
	"github.com/peterstace/simplefeatures/geom"

	"staydown/hold/result"
	"staydown/report/internal/reporttest"
	"staydown/report/words"
)

// The collection is read by an independent library, whose area must be that of the outlines.
func TestGeoJSON(t *testing.T) {
	r, _ := reporttest.Fixture()
	data, err := GeoJSON(r)
	if err != nil {
		t.Fatal(err)
	}
	var c geom.GeoJSONFeatureCollection
	if err := json.Unmarshal(data, &c); err != nil {
		t.Fatal(err)
	}
	kinds := map[string]int{}
	for _, f := range c {
		kind := f.Properties["kind"].(string)
		kinds[kind]++
		if kind == "piece" && f.Properties["piece"].(float64) == 2 {
			// 110 x 140 mm with a hole of 4 x 4 mm
			if got := f.Geometry.Area(); math.Abs(got-(110*140-16)) > 1e-9 {
				t.Errorf("area %v", got)
			}
		}
		if p, ok := f.Geometry.AsMultiPolygon(); ok && !p.IsCCW() {
			t.Errorf("%s: outer rings must run counter-clockwise and holes clockwise (RFC 7946, 3.1.6)", kind)
		}
	}
	want := map[string]int{"stock": 1, "zone": 3, "piece": 9, "entry": 16, "finding": 4}
	for k, n := range want {
		if kinds[k] != n {
			t.Errorf("%d features of kind %s, want %d", kinds[k], k, n)
		}
	}
	var doc struct {
		Type    string `json:"type"`
		Caution string `json:"caution"`
	}
	if err := json.Unmarshal(data, &doc); err != nil || doc.Type != "FeatureCollection" ||
		doc.Caution != words.Caution {
		t.Errorf("%v %+v", err, doc)
	}
}

func TestGeoJSONLeavesOutWhatIsNoNumber(t *testing.T) {
	nan := math.NaN()
	r := &result.Result{Pieces: []result.Piece{{ID: 1, Outline: orb.MultiPolygon{{orb.Ring{{0, 0}, {nan, 0}, {1, 1},
		{0, 0}}}}}},
		Findings: []result.Finding{{HasAt: true, At: orb.Point{math.Inf(1), 0}, Margin: nan}},
		Entries:  []result.Entry{{At: orb.Point{nan, nan}}}}
	data, err := GeoJSON(r)
	if err != nil || !json.Valid(data) {
		t.Fatal(err)
	}
}

func TestWhatStandsInTheWayIsInTheGeoJSON(t *testing.T) {
	r, _ := reporttest.Fixture()
	reporttest.WithClamps(r)
	data, err := GeoJSON(r)
	if err != nil {
		t.Fatal(err)
	}
	for _, kind := range []string{"clamp", "fixture", "table"} {
		if !bytes.Contains(data, []byte(`"kind":"`+kind+`"`)) && !bytes.Contains(data, []byte(`"kind": "`+kind+`"`)) {
			t.Errorf("the GeoJSON lacks a %s", kind)
		}
	}
}
