package report

import (
	"bytes"
	"math"
	"strings"
	"testing"

	"staydown/hold/result"
	"staydown/report/annotate"
	"staydown/report/internal/reporttest"
	"staydown/report/words"
)

// Where slivers alone come loose their margin is not that of the parts.
func TestAnActionThatLeavesSliversSaysSo(t *testing.T) {
	got := words.Action(&result.Action{What: "a layer with an adhesive face", Verdict: result.AtRisk,
		LeastMargin: result.Range{Low: 0, Likely: 0, High: 0.01}})
	if want := "a layer with an adhesive face: nothing but slivers comes loose, but it stays at risk"; got != want {
		t.Errorf("%q, want %q", got, want)
	}
}

// What to do stands before the findings, what leaves parts loose says so first, and the same stands in the head of the
// annotated copy and in the summary.
func TestActionsStandFirst(t *testing.T) {
	r, src := reporttest.Fixture()
	nan := math.NaN()
	r.Actions = []result.Action{
		{What: "end the closing pass at Z-5.9 (lines 20 to 90)", Verdict: result.Held, Lines: []int{20, 90},
			LeastMargin: result.Range{Low: 1.2, Likely: 2.5, High: 4}},
		{What: "feed at most F700 in line 94", Verdict: result.Loose, Lines: []int{94}, LeftLoose: []int{5},
			LeastMargin: result.Range{Low: nan, Likely: 0.7, High: nan}},
		{What: "c", Verdict: result.AtRisk, LeastMargin: result.Range{Low: nan, Likely: 1.1, High: nan}},
		{What: "d", Verdict: result.AtRisk, LeastMargin: result.Range{Low: nan, Likely: 1.1, High: nan}},
	}
	cure := "end the closing pass at Z-5.9 (lines 20 to 90): everything holds, least margin 2.50 (1.20 to 4.00)"
	for name, o := range map[string]TextOptions{"check": {}, "-q": {Quiet: true}, "--all": {All: true}} {
		var b bytes.Buffer
		if err := Text(&b, r, o); err != nil {
			t.Fatal(err)
		}
		text := strings.Join(strings.Fields(b.String()), " ")
		for _, want := range []string{"1 " + cure, "2 leaves 1 part loose (piece 5): feed at most F700 in line 94; " +
			"least margin 0.70", "3 c: nothing comes loose, but it stays at risk, least margin 1.10"} {
			at := strings.Index(text, want)
			if at < 0 || at > strings.Index(text, ": error: ") {
				t.Errorf("%s: %q is not before the findings in\n%s", name, want, &b)
			}
		}
		if strings.Contains(text, "1 more (--all)") == o.All {
			t.Errorf("%s: the fourth action\n%s", name, &b)
		}
		if has := strings.Contains(text, "remedy: "); has != o.All {
			t.Errorf("%s: remedies of single findings: %v", name, has)
		}
	}
	copied, err := annotate.Program(src, r, annotate.Options{})
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Contains(copied, []byte("STAYDOWN WHAT TO DO 1: END THE CLOSING PASS AT Z-5.9")) {
		t.Errorf("head of the copy:\n%.1500s", copied)
	}
	r.Program.SHA256 = ""
	if again, err := annotate.Program(copied, r, annotate.Options{}); err != nil || bytes.Count(again,
		[]byte("WHAT TO DO 1: ")) != 1 {
		t.Errorf("a copy of the copy (%v) repeats what to do", err)
	}
	var table bytes.Buffer
	if err := Summary(&table, []*result.Result{r}); err != nil || !strings.Contains(table.String(), cure) {
		t.Errorf("summary (%v):\n%s", err, &table)
	}
}
