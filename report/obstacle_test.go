package report

import (
	"bytes"
	"math"
	"strings"
	"testing"

	"staydown/hold/result"
)

// withClamps puts a clamp, a fixture, the edge of the table and a collision on a plan.
func withClamps(r *result.Result) *result.Result {
	r.Job.Clamps = []result.ObstacleFacts{{Name: "clamp <left>", Footprint: rectangle(-20, 150, 40, 30)}}
	r.Job.Fixtures = []result.ObstacleFacts{{Name: "fixture rail", Footprint: rectangle(-80, 0, 30, 400)}}
	r.Job.Table = rectangle(-100, -50, 800, 500)
	r.Findings = append(r.Findings, result.Finding{Rule: result.RuleCollision, Level: result.LevelError, Line: 30,
		LastLine: 30, HasAt: true,
		At: [2]float64{20, 160}, Margin: math.NaN(), HoldN: math.NaN(), LoadN: math.NaN(),
		Message: "tool 2 meets clamp <left> from the side"})
	return r
}

func TestPlansShowWhatStandsInTheWay(t *testing.T) {
	r, src := fixture()
	plain := planOf(t, r) + string(htmlOf(t, r, src))
	for _, word := range []string{">clamp<", ">fixture<", ">edge of the table<", "collision of tool or holder",
		`class="clamp"`} {
		if strings.Contains(plain, word) {
			t.Errorf("%s without any", word)
		}
	}
	withClamps(r)
	if b := planBound(r); b.Min[0] != -100 || b.Max[1] != 450 {
		t.Errorf("the plan shows %v", b)
	}
	svg := planOf(t, r)
	for _, word := range []string{"clamp &lt;left&gt;", "fixture rail", "edge of the table",
		"collision of tool or holder", "line 30"} {
		if !strings.Contains(svg, word) {
			t.Errorf("the plan lacks %q", word)
		}
	}
	page := string(htmlOf(t, r, src))
	for _, word := range []string{`<path class="clamp" d="M`, "<title>clamp &lt;left&gt;</title>",
		`<path class="fixture" d="M`, `<path class="table" d="M`, `<path class="meets"`,
		"</svg>clamp</li>", "</svg>fixture</li>", "</svg>edge of the table</li>", "</svg>tool or holder meets " +
			"something</li>"} {
		if !strings.Contains(page, word) {
			t.Errorf("the page lacks %q", word)
		}
	}
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

func planOf(t *testing.T, r *result.Result) string {
	t.Helper()
	var b bytes.Buffer
	if err := PlanSVG(&b, r); err != nil {
		t.Fatal(err)
	}
	return b.String()
}
