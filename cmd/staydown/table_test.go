package main

import (
	"strings"
	"testing"

	"staydown/hold/result"
	"staydown/report"
)

// The closing table puts new risks before old ones, however grave, then the worst verdicts, then goes by path; notes
// are no risks. What holds and has not changed is left out, unless all are asked for.
func TestOrderOfTheClosingTable(t *testing.T) {
	program := func(path string, verdict result.Verdict, rules ...string) *result.Result {
		r := &result.Result{Program: result.ProgramFacts{Path: path}, Verdict: verdict}
		if verdict == result.Loose {
			r.Pieces = []result.Piece{{ID: 1, SizeMM: [2]float64{600, 400}},
				{ID: 2, SizeMM: [2]float64{40, 30}, State: result.StateLoose}}
		}
		piece := 0
		if verdict == result.Loose {
			piece = 2
		}
		for i, rule := range rules {
			level := result.LevelError
			if rule == result.RuleReading {
				level = result.LevelNote
			}
			r.Findings = append(r.Findings, result.Finding{Rule: rule, Level: level, Line: i + 1, Piece: piece,
				Margin: 0.5, Message: rule})
		}
		return r
	}
	before := []*result.Result{
		program("a.nc", result.Held), program("b.nc", result.Loose, result.RuleSlip), program("c.nc", result.Loose,
			result.RuleTip),
		program("d.nc", result.Incomplete, result.RuleUnread), program("e.nc", result.Held),
	}
	now := []*result.Result{
		program("a.nc", result.AtRisk, result.RulePumpShort), program("b.nc", result.Loose, result.RuleSlip),
		program("c.nc", result.Held),
		program("d.nc", result.Incomplete, result.RuleUnread), program("e.nc", result.Held, result.RuleReading),
	}
	old, err := report.SARIF(before, nil, nil, version)
	if err != nil {
		t.Fatal(err)
	}
	base, err := report.NewBaseline(old)
	if err != nil {
		t.Fatal(err)
	}
	var changes []report.Comparison
	for _, r := range now {
		changes = append(changes, base.Compare(r, nil))
	}
	now[1].Actions = []result.Action{{What: "feed at most F700 (now F1200) in line 94", Verdict: result.Held}}
	for _, c := range []struct {
		all  bool
		want string
	}{{false, `
5 programs: 1 loose, 1 incomplete, 1 at-risk, 2 held; risks since the baseline: 1 new, 1 gone
  NEW   a.nc  AT RISK     line 1: pump-short
        b.nc  LOOSE       1 part 40 x 30 mm   feed at most F700
        d.nc  INCOMPLETE  line 1: unread
  gone  c.nc  HELD
`}, {true, `
5 programs: 1 loose, 1 incomplete, 1 at-risk, 2 held; risks since the baseline: 1 new, 1 gone
  NEW   a.nc  AT RISK     line 1: pump-short
        b.nc  LOOSE       1 part 40 x 30 mm   feed at most F700
        d.nc  INCOMPLETE  line 1: unread
  gone  c.nc  HELD
        e.nc  HELD
`}} {
		var b strings.Builder
		if err := closingTable(&b, now, changes, c.all); err != nil {
			t.Fatal(err)
		}
		if b.String() != c.want {
			t.Errorf("got%s\nwant%s", b.String(), c.want)
		}
	}
}
