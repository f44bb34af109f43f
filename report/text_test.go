package report

import (
	"bytes"
	"math"
	"slices"
	"strings"
	"testing"

	"staydown/hold/result"
	"staydown/parse"
	"staydown/report/annotate"
	"staydown/report/internal/reporttest"
	"staydown/report/page"
	"staydown/report/picture"
	"staydown/report/words"
)

func TestText(t *testing.T) {
	r, _ := reporttest.Fixture()
	for name, o := range map[string]TextOptions{"nest.txt": {}, "nest.colour.txt": {Colour: true},
		"nest.quiet.txt": {Quiet: true}, "nest.all.txt": {All: true}} {
		var b bytes.Buffer
		if err := Text(&b, r, o); err != nil {
			t.Fatal(err)
		}
		reporttest.Golden(t, name, b.Bytes())
	}
}

// A place in a subprogram file is told as the place of that file, beside the program.
func TestPlaceInASubprogramFile(t *testing.T) {
	for path, want := range map[string]string{
		"part.nc": "o12.nc:3:1: error: G999 is not understood\n", "shop/part.nc": "shop/o12.nc:3:1: error: G999 is " +
			"not understood\n",
		"C:/shop/part.nc": "C:/shop/o12.nc:3:1: error: G999 is not understood\n",
	} {
		r := &result.Result{Program: result.ProgramFacts{Path: path},
			Findings: []result.Finding{{Rule: result.RuleUnread,
				Level:  result.LevelError,
				Within: parse.Pos{File: "o12.nc", Line: 3, Col: 1}, Message: "o12.nc:3:1: G999 is not understood"}}}
		var b bytes.Buffer
		if err := Text(&b, r, TextOptions{Quiet: true}); err != nil || b.String() != want {
			t.Errorf("got %q, %v; want %q", b.String(), err, want)
		}
	}
}

// The form of a finding is that of the GNU Coding Standards, "Formatting Error Messages", with the words of the
// contract.
func TestFindingLine(t *testing.T) {
	nan := math.NaN()
	for _, c := range []struct {
		name string
		f    result.Finding
		want string
	}{
		{"slip below one", result.Finding{Line: 412, Rule: "slip", Level: result.LevelError, Margin: 0.62,
			Message: "piece 3 (60 x 40 mm at X120 Y85) comes loose, slips: margin 0.62, hold 41 N, load 23 N, tool 2"},
			"part.nc:412: error: piece 3 (60 x 40 mm at X120 Y85) comes loose, slips: margin 0.62, hold 41 N, load " +
				"23 N, tool 2\n"},
		{"tip below the margin asked for", result.Finding{Line: 7, Column: 3, Rule: "tip", Level: result.LevelWarning,
			Margin: 1.2, Message: "m"}, "part.nc:7:3: warning: m\n"},
		{"unheld", result.Finding{Line: 8, Rule: "unheld", Level: result.LevelError, Margin: nan, Message: "m"},
			"part.nc:8: error: m\n"},
		{"chuck", result.Finding{Line: 9, Rule: "chuck", Level: result.LevelWarning, Margin: nan, Message: "m"},
			"part.nc:9: warning: m\n"},
		{"whole program", result.Finding{Rule: "unread", Level: result.LevelError, Margin: nan, Message: "m"},
			"part.nc: error: m\n"},
		{"control characters cannot forge a line", result.Finding{Line: 1, Rule: "unread", Margin: nan,
			Message: "a\nb\x1b[2Jc\u202ed"}, "part.nc:1: note: a b\\x1b[2Jc\\u202ed\n"},
	} {
		t.Run(c.name, func(t *testing.T) {
			var b bytes.Buffer
			r := &result.Result{Program: result.ProgramFacts{Path: "part.nc"}, Findings: []result.Finding{c.f}}
			if err := Text(&b, r, TextOptions{Quiet: true}); err != nil {
				t.Fatal(err)
			}
			if b.String() != c.want {
				t.Errorf("got  %q\nwant %q", b.String(), c.want)
			}
		})
	}
}

// Wherever a margin just below a limit is shown, it reads the same and never as the limit: 0.9999 of 1 is loose.
func TestMarginsReadAlikeEverywhere(t *testing.T) {
	r, src := reporttest.Fixture()
	r.Timeline = r.Timeline[:3]
	for i := range r.Pieces {
		r.Pieces[i].Least.Margin = 0.9999
	}
	f := reporttest.At(93)
	f.Piece, f.Margin = 5, 0.9999
	r.Findings = []result.Finding{f}
	for i := range r.Timeline {
		r.Timeline[i].LeastMargin, r.Timeline[i].LeastLow = 0.9999, 0.9999
	}
	var text, whole, index, plan bytes.Buffer
	risky := *r
	risky.Verdict = result.AtRisk // a loose program's first line counts the pieces instead
	for _, err := range []error{Text(&text, &risky, TextOptions{}), page.HTML(&whole, r, src, nil),
		page.Index(&index, []page.IndexEntry{{Name: "nest", Result: r}}), picture.PlanSVG(&plan, r)} {
		if err != nil {
			t.Fatal(err)
		}
	}
	for name, c := range map[string]struct{ got, want string }{
		"text":    {text.String(), "least margin 0.99 at line"},
		"page":    {whole.String(), "The least margin is 0.99:"},
		"finding": {whole.String(), "<dd>0.99</dd>"},
		"table":   {whole.String(), ">0.99</td>"},
		"index":   {index.String(), ">0.99</td>"},
		"plan":    {plan.String(), ": 0.99<"},
	} {
		if !strings.Contains(c.got, c.want) {
			t.Errorf("%s: %q is missing", name, c.want)
		}
		if strings.Contains(c.got, ">1.00<") || strings.Contains(c.got, ": 1.00<") || strings.Contains(c.got,
			"margin: 1.00") {
			t.Errorf("%s: the margin reads as its limit", name)
		}
	}
}

func TestEveryVerdictHasItsSentence(t *testing.T) {
	seen := map[string]bool{}
	for v := result.Held; v <= result.Loose; v++ {
		var b bytes.Buffer
		r, _ := reporttest.Fixture()
		r.Verdict = v
		if v == result.AtRisk { // what comes loose in the fixture is not part of it
			r.Findings = slices.DeleteFunc(r.Findings,
				func(f result.Finding) bool { return f.Level == result.LevelError })
		}
		if err := Text(&b, r, TextOptions{}); err != nil {
			t.Fatal(err)
		}
		first, _, _ := strings.Cut(b.String(), "\n")
		word := map[result.Verdict]string{result.Held: "HELD", result.AtRisk: "AT RISK",
			result.Incomplete: "INCOMPLETE",
			result.Loose:      "LOOSE"}[v]
		if !strings.HasPrefix(first, "parts/nest.nc: "+word+". ") || seen[first] {
			t.Errorf("first line for %s: %q", v, first)
		}
		seen[first] = true
	}
}

// The sentence of a program at risk names what puts it there, and nothing else.
func TestTheRiskIsNamedByItsCause(t *testing.T) {
	nan := math.NaN()
	low := result.Finding{Rule: "slip", Level: result.LevelWarning, Margin: 1.3}
	layer := result.Finding{Rule: "chuck", Level: result.LevelWarning, Margin: nan}
	through := result.Finding{Rule: "chuck", Level: result.LevelError, Margin: nan}
	pump := result.Finding{Rule: "pump-short", Level: result.LevelWarning, Margin: nan}
	other := result.Finding{Rule: "outside", Level: result.LevelNote, Margin: nan}
	for _, c := range []struct {
		findings []result.Finding
		want     string
	}{
		{[]result.Finding{low, other}, "everything holds, but below the required margin"},
		{[]result.Finding{layer}, "every piece holds with the required margin, but the tool cuts deeper into " +
			"the layer than its limit"},
		{[]result.Finding{layer, through}, "every piece holds with the required margin, but the tool cuts into " +
			"the chuck"},
		{[]result.Finding{pump, other}, "every piece holds with the required margin, but the vacuum falls below " +
			"the alarm"},
		{[]result.Finding{through, pump}, "every piece holds with the required margin, but the tool cuts into " +
			"the chuck and the vacuum falls below the alarm"},
		{[]result.Finding{low, pump},
			"everything holds, but below the required margin, and the vacuum falls below the " +
				"alarm"},
		{[]result.Finding{pump, layer, low}, "everything holds, but below the required margin, and the tool cuts " +
			"deeper into the layer than its limit and the vacuum falls below the alarm"},
		{[]result.Finding{{Rule: "rapid-cut", Level: result.LevelError, Margin: nan}}, "every piece holds with the " +
			"required margin, but a rapid move goes through material"},
		{[]result.Finding{{Rule: "collision", Level: result.LevelError, Margin: nan}}, "every piece holds with the " +
			"required margin, but the tool or its holder meets a clamp, a fixture or the table's edge"},
		{nil, "everything holds, but a limit was exceeded"},
	} {
		if got := words.Risk(&result.Result{Verdict: result.AtRisk, Findings: c.findings}); got != c.want {
			t.Errorf("got  %q\nwant %q", got, c.want)
		}
	}
}

func TestAssumptionsOfSeveralProgramsAreSaidOnce(t *testing.T) {
	a, b := &result.Result{Assumed: []string{"one", "two"}}, &result.Result{Assumed: []string{"two", "three"}}
	o := TextOptions{All: true, Said: map[string]bool{}}
	var out strings.Builder
	for _, r := range []*result.Result{a, b} {
		if err := Text(&out, r, o); err != nil {
			t.Fatal(err)
		}
	}
	if n := strings.Count(out.String(), "two"); n != 1 {
		t.Errorf("the shared assumption is said %d times:\n%s", n, &out)
	}
	if !strings.Contains(out.String(), "1 assumption as listed above") || strings.Contains(out.String(), "guarantee") {
		t.Errorf("want the rest counted and the caution left to the end:\n%s", &out)
	}
	if err := TextCaution(&out, o); err != nil || !strings.Contains(out.String(), "not a guarantee") {
		t.Errorf("no caution at the end (%v):\n%s", err, &out)
	}
}

// With a baseline each finding ends in its state, and what is gone is told, but not to those who asked for findings
// only.
func TestFindingsAreMarkedAgainstABaseline(t *testing.T) {
	r, src := reporttest.Fixture()
	base, err := NewBaseline(sarifOf(t, r, src, nil))
	if err != nil {
		t.Fatal(err)
	}
	changed, _ := reporttest.Fixture()
	changed.Findings[1].Margin = 0.5 // as before, only worse
	changed.Findings[3].Piece = 12
	changed.Findings = append(changed.Findings[:2], changed.Findings[3:]...)
	compared := base.Compare(changed, annotate.FindingLines(changed, src))
	if want := []string{"unchanged", "unchanged", "new", "unchanged"}; !slices.Equal(compared.States, want) {
		t.Errorf("states %v, want %v", compared.States, want)
	}
	if len(compared.Gone) != 2 {
		t.Errorf("absent: %q", compared.Gone)
	}
	var all, quiet, bare bytes.Buffer
	for _, c := range []struct {
		b *bytes.Buffer
		o TextOptions
	}{{&all, TextOptions{Compared: &compared}}, {&quiet, TextOptions{Compared: &compared, Quiet: true}},
		{&bare, TextOptions{}}} {
		if err := Text(c.b, changed, c.o); err != nil {
			t.Fatal(err)
		}
	}
	for _, want := range []string{"lines 93 and 94 [unchanged]\n", "can be thrown [new]\n",
		"parts/nest.nc: note: gone since the baseline: 1 piece of 110 x 140 mm (X225 Y290) was at risk, twist\n",
		"parts/nest.nc: note: gone since the baseline: sliver: " + r.Findings[3].Message + "\n"} {
		if !strings.Contains(all.String(), want) {
			t.Errorf("%q is missing in\n%s", want, &all)
		}
	}
	if strings.Count(quiet.String(), "]\n") != len(changed.Groups()) || strings.Contains(quiet.String(), "gone since") {
		t.Errorf("quiet, marked:\n%s", &quiet)
	}
	if strings.Contains(bare.String(), "unchanged") || strings.Contains(bare.String(), "gone since") {
		t.Errorf("marked without a baseline:\n%s", &bare)
	}

	// A program that the baseline does not know is new throughout.
	changed.Program.Path = "parts/other.nc"
	if c := base.Compare(changed, annotate.FindingLines(changed, src)); slices.Contains(c.States, "unchanged") ||
		len(c.Gone) > 0 {
		t.Errorf("another program: %+v", c)
	}
}

// Somebody cuts a part elsewhere in the order: pieces have other numbers and blocks other lines, and the findings are
// those of before. One that was at risk and comes loose now is worse, and counts as a new risk.
func TestFindingsFollowTheirPieceToAnotherNumber(t *testing.T) {
	r, src := reporttest.Fixture()
	base, err := NewBaseline(sarifOf(t, r, src, nil))
	if err != nil {
		t.Fatal(err)
	}
	changed, _ := reporttest.Fixture()
	p, q := changed.Findings[1].Piece, changed.Findings[2].Piece
	changed.Pieces[p-1], changed.Pieces[q-1] = changed.Pieces[q-1], changed.Pieces[p-1]
	for i := range changed.Findings {
		switch f := &changed.Findings[i]; f.Piece {
		case p:
			f.Piece, f.Line = q, f.Line+3
		case q:
			f.Piece, f.Line, f.Level = p, f.Line-3, result.LevelError
		}
	}
	c := base.Compare(changed, annotate.FindingLines(changed, src))
	for i, f := range changed.Findings {
		want := "unchanged"
		if f.Piece == p {
			want = "worse: was a warning"
		}
		if c.States[i] != want {
			t.Errorf("%s of piece %d: %q, want %q", f.Rule, f.Piece, c.States[i], want)
		}
	}
	if c.NewRisks != 1 || c.GoneRisks != 0 || len(c.Gone) != 0 {
		t.Errorf("%+v", c)
	}
}

// The stock is no part: what stays loose with an action names it apart.
func TestAnActionThatLeavesTheStockLooseSaysSo(t *testing.T) {
	for want, left := range map[string][]int{
		"leaves the stock loose: ":                           {1},
		"leaves 1 part loose (piece 4): ":                    {4},
		"leaves the stock and 2 parts loose (pieces 3, 4): ": {1, 3, 4},
		"leaves the stock and 1 part loose (piece 3): ":      {1, 3},
		"leaves 3 parts loose (pieces 2, 3, 4): ":            {2, 3, 4},
	} {
		got := words.Action(&result.Action{What: "a larger pump", LeftLoose: left, Verdict: result.Loose})
		if !strings.HasPrefix(got, want) {
			t.Errorf("got %q, want %q...", got, want)
		}
	}
}
