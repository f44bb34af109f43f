package report

import (
	"bytes"
	"encoding/json"
	"os"
	"slices"
	"strings"
	"sync"
	"testing"

	"staydown/report/annotate"
	"staydown/report/internal/reporttest"

	lib "github.com/owenrumney/go-sarif/v3/pkg/report/v210/sarif"
	"github.com/santhosh-tekuri/jsonschema/v6"

	"staydown/hold/result"
)

var compiledSARIF = sync.OnceValues(func() (*jsonschema.Schema, error) {
	raw, err := os.ReadFile("testdata/sarif-2.1.0.schema.json")
	if err != nil {
		return nil, err
	}
	return compiled(sarifSchema, raw)()
})

// validSARIF checks bytes against the OASIS schema (SARIF 2.1.0 errata 01, testdata/sarif-2.1.0.schema.json) and reads
// them with an independent library.
func validSARIF(t *testing.T, data []byte) *lib.Report {
	t.Helper()
	s, err := compiledSARIF()
	if err != nil {
		t.Fatal(err)
	}
	v, err := jsonschema.UnmarshalJSON(bytes.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	if err := s.Validate(v); err != nil {
		t.Error(err)
	}
	report, err := lib.FromBytes(data)
	if err != nil {
		t.Fatal(err)
	}
	return report
}

func sarifOf(t *testing.T, r *result.Result, src, before []byte) []byte {
	t.Helper()
	var baseline *Baseline
	if before != nil {
		var err error
		if baseline, err = NewBaseline(before); err != nil {
			t.Fatal(err)
		}
	}
	data, err := SARIF([]*result.Result{r}, []annotate.Lines{annotate.FindingLines(r, src)}, baseline, "1.0.0")
	if err != nil {
		t.Fatal(err)
	}
	return data
}

func TestSARIF(t *testing.T) {
	r, src := reporttest.Fixture()
	data := sarifOf(t, r, src, nil)
	reporttest.Golden(t, "nest.sarif", data)
	report := validSARIF(t, data)
	run := report.Runs[0]
	if len(run.Results) != len(r.Findings) {
		t.Fatalf("%d results", len(run.Results))
	}
	first := run.Results[0]
	region := first.Locations[0].PhysicalLocation.Region
	if *first.RuleID != "slip" || first.Level != "error" || *region.StartLine != 93 || *region.StartColumn != 4 {
		t.Errorf("first result: rule %v, level %v, region %+v", *first.RuleID, first.Level, region)
	}
	if rule := run.Tool.Driver.Rules[first.RuleIndex]; *rule.ID != "slip" || rule.Help == nil || *rule.Help.Text == "" {
		t.Errorf("rule index %d gives %+v", first.RuleIndex, rule)
	}
	if len(run.Tool.Driver.Rules) != len(result.Rules()) {
		t.Errorf("%d rules described, %d exist", len(run.Tool.Driver.Rules), len(result.Rules()))
	}
}

func TestSARIFOfNothingIsValid(t *testing.T) {
	data, err := SARIF(nil, nil, nil, "1.0.0")
	if err != nil {
		t.Fatal(err)
	}
	validSARIF(t, data)
}

func TestSARIFPathsAreURIs(t *testing.T) {
	for p, want := range map[string]string{"parts/a b.nc": "parts/a%20b.nc", "a:b.nc": "./a:b.nc",
		"/x/y.nc":   "file:///x/y.nc",
		"C:/x/é.nc": "file:///C:/x/%C3%A9.nc", "//server/nc data/y.nc": "file://server/nc%20data/y.nc",
		"100%.nc": "100%25.nc", "a#1?.nc": "a%231%3F.nc"} {
		if got := sarifPath(p); got != want {
			t.Errorf("%s: %s, want %s", p, got, want)
		}
	}
}

func states(t *testing.T, data []byte) []string {
	t.Helper()
	var out []string
	for _, r := range validSARIF(t, data).Runs[0].Results {
		s := ""
		if r.BaselineState != nil {
			s = *r.BaselineState
		}
		out = append(out, *r.RuleID+" "+s)
	}
	return out
}

func TestBaselineStates(t *testing.T) {
	r, src := reporttest.Fixture()
	base := sarifOf(t, r, src, nil)
	if got := states(t, sarifOf(t, r, src, base)); !slices.Equal(got, []string{"slip unchanged", "slip unchanged",
		"twist unchanged", "sliver unchanged", "reading unchanged"}) {
		t.Errorf("same run: %v", got)
	}

	// The program is renumbered and three lines are put in front: nothing is new.
	lines := strings.Split(string(src), "\n")
	for i, l := range lines {
		if strings.HasPrefix(l, "G") {
			lines[i] = "N" + strings.Repeat("7", 1+i%4) + " " + l
		}
	}
	moved, _ := reporttest.Fixture()
	for i := range moved.Findings {
		if moved.Findings[i].Line > 0 {
			moved.Findings[i].Line += 3
		}
	}
	newSrc := []byte("\n\n\n" + strings.Join(lines, "\n"))
	if got := states(t, sarifOf(t, moved, newSrc, base)); !slices.Equal(got, []string{"slip unchanged",
		"slip unchanged", "twist unchanged", "sliver unchanged", "reading unchanged"}) {
		t.Errorf("renumbered: %v", got)
	}

	// One finding is cured, one got worse (there is no state for that in use), one is new.
	changed, _ := reporttest.Fixture()
	changed.Findings[1].Margin = 0.5
	changed.Findings[3].Piece = 12
	changed.Findings = append(changed.Findings[:2], changed.Findings[3:]...)
	got := states(t, sarifOf(t, changed, src, base))
	if !slices.Equal(got, []string{"slip unchanged", "slip unchanged", "sliver new", "reading unchanged",
		"twist absent", "sliver absent"}) {
		t.Errorf("changed: %v", got)
	}

	// What is absent already is not carried on for ever.
	third := sarifOf(t, changed, src, sarifOf(t, changed, src, base))
	if got := states(t, third); slices.Contains(got, "twist absent") {
		t.Errorf("third run: %v", got)
	}

	// A program that is not part of the run is left out.
	other, _ := reporttest.Fixture()
	other.Program.Path = "parts/other.nc"
	for _, s := range states(t, sarifOf(t, other, src, base)) {
		if !strings.HasSuffix(s, " new") {
			t.Errorf("other program: %s", s)
		}
	}
}

// Two identical blocks that free the same piece give two findings; both are matched.
func TestRepeatedFindingsAreToldApart(t *testing.T) {
	src := []byte("G1 X1\nG1 X1\n")
	r := reporttest.ResultOf(src, reporttest.At(1), reporttest.At(2))
	base := sarifOf(t, r, src, nil)
	one := reporttest.ResultOf(src, reporttest.At(1))
	if got := states(t, sarifOf(t, one, src, base)); !slices.Equal(got, []string{"slip unchanged", "slip absent"}) {
		t.Error(got)
	}
}

func TestBaselineErrorsSayWhatToDo(t *testing.T) {
	for _, bad := range []string{"", "{", "[]", `{"version":"2.0.0"}`, `{"runs":3}`, "\x00"} {
		_, err := NewBaseline([]byte(bad))
		if err == nil || !strings.Contains(err.Error(), "findings.sarif of an earlier run") ||
			strings.Contains(err.Error(), "Go ") {
			t.Errorf("%q: %v", bad, err)
		}
	}
}

func TestWithoutNumber(t *testing.T) {
	for in, want := range map[string]string{"N10 G1 X1": "G1X1", "g1x1": "G1X1", "/N5 G0": "/G0", "n1.5G1": "G1",
		"NX": "NX", "": "", "N10": ""} {
		if got := annotate.WithoutNumber(in); got != want {
			t.Errorf("%q: %q, want %q", in, got, want)
		}
	}
}

func FuzzBaseline(f *testing.F) {
	r, src := reporttest.Fixture()
	data, err := SARIF([]*result.Result{r}, []annotate.Lines{annotate.FindingLines(r, src)}, nil, "1")
	if err != nil {
		f.Fatal(err)
	}
	f.Add(data)
	f.Add(
		[]byte(
			`{"version":"2.1.0","runs":[{"tool":{"driver":{"name":"staydown"}},"results":[{"partialFingerprints":{"ruleBlockPiece/v1":"x"}}]}]}`))
	f.Fuzz(func(t *testing.T, baseline []byte) {
		base, err := NewBaseline(baseline)
		if err != nil {
			return
		}
		out, err := SARIF([]*result.Result{r}, nil, base, "1")
		if err == nil && !json.Valid(out) {
			t.Error("not JSON")
		}
	})
}
