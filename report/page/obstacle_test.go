package page

import (
	"bytes"
	"strings"
	"testing"

	"staydown/hold/result"
	"staydown/report/internal/reporttest"
	"staydown/report/picture"
)

func TestPlansShowWhatStandsInTheWay(t *testing.T) {
	r, src := reporttest.Fixture()
	plain := planOf(t, r) + string(htmlOf(t, r, src))
	for _, word := range []string{">clamp<", ">fixture<", ">edge of the table<", "collision of tool or holder",
		`class="clamp"`} {
		if strings.Contains(plain, word) {
			t.Errorf("%s without any", word)
		}
	}
	reporttest.WithClamps(r)
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
}

func planOf(t *testing.T, r *result.Result) string {
	t.Helper()
	var b bytes.Buffer
	if err := picture.PlanSVG(&b, r); err != nil {
		t.Fatal(err)
	}
	return b.String()
}
