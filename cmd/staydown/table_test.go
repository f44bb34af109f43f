package main

import (
	"strings"
	"testing"

	"staydown/hold"
	"staydown/report"
)

// The closing table puts new risks before old ones, however grave, then the worst verdicts, then goes by path; notes
// are no risks.
func TestOrderOfTheClosingTable(t *testing.T) {
	program := func(path string, verdict hold.Verdict, rules ...string) *hold.Result {
		r := &hold.Result{Program: hold.ProgramFacts{Path: path}, Verdict: verdict}
		for i, rule := range rules {
			level := hold.LevelError
			if rule == hold.RuleReading {
				level = hold.LevelNote
			}
			r.Findings = append(r.Findings, hold.Finding{Rule: rule, Level: level, Line: i + 1, Piece: 1, Margin: 0.5,
				Message: rule})
		}
		return r
	}
	before := []*hold.Result{
		program("a.nc", hold.Held), program("b.nc", hold.Loose, hold.RuleSlip), program("c.nc", hold.Loose,
			hold.RuleTip),
		program("d.nc", hold.Incomplete, hold.RuleUnread), program("e.nc", hold.Held),
	}
	now := []*hold.Result{
		program("a.nc", hold.AtRisk, hold.RuleLift), program("b.nc", hold.Loose, hold.RuleSlip),
		program("c.nc", hold.Held),
		program("d.nc", hold.Incomplete, hold.RuleUnread), program("e.nc", hold.Held, hold.RuleReading),
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
	var b strings.Builder
	if err := closingTable(&b, now, changes); err != nil {
		t.Fatal(err)
	}
	const want = `
verdict      new  gone errors warnings least margin  program
at-risk        1     0      1        0   not loaded  a.nc
loose          0     0      1        0   not loaded  b.nc
incomplete     0     0      1        0   not loaded  d.nc
held           0     1      0        0   not loaded  c.nc
held           0     0      0        0   not loaded  e.nc
5 programs: 1 loose, 1 incomplete, 1 at-risk, 2 held; risks since the baseline: 1 new, 1 gone
`
	if b.String() != want {
		t.Errorf("got%s\nwant%s", b.String(), want)
	}
}
