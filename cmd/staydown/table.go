package main

import (
	"cmp"
	"fmt"
	"io"
	"math"
	"slices"
	"strings"

	"staydown/hold"
	"staydown/hold/wording"
	"staydown/report"
)

// row is a program in the closing table.
type row struct {
	path             string
	verdict          hold.Verdict
	errors, warnings int
	least            float64 // +Inf when nothing is loaded
	new, gone        int     // warnings and errors against the baseline
}

// newRow sums up a program. changes is nil when there is no baseline.
func newRow(r *hold.Result, changes *report.Comparison) row {
	out := row{path: r.Program.Path, verdict: r.Verdict, least: math.Inf(1)}
	if p, loaded := r.LeastPiece(); loaded {
		out.least = p.Least.Margin
	}
	for _, f := range r.Findings {
		switch f.Level {
		case hold.LevelError:
			out.errors++
		case hold.LevelWarning:
			out.warnings++
		}
	}
	if changes != nil {
		out.new, out.gone = changes.New, changes.Gone
	}
	return out
}

// closingTable sums up a run of several programs: those with new risks first, then the worst verdicts, then by path.
// changes holds the comparison of each program with the baseline; nil when there is none.
func closingTable(w io.Writer, results []*hold.Result, changes []report.Comparison) error {
	rows := make([]row, len(results))
	verdicts := map[hold.Verdict]int{}
	newRisks, goneRisks := 0, 0
	for i, r := range results {
		var change *report.Comparison
		if changes != nil {
			change = &changes[i]
		}
		rows[i] = newRow(r, change)
		newRisks += rows[i].new
		goneRisks += rows[i].gone
		verdicts[r.Verdict]++
	}
	slices.SortStableFunc(rows, func(a, b row) int {
		if (a.new > 0) != (b.new > 0) {
			return b.new - a.new
		}
		return cmp.Or(cmp.Compare(b.verdict, a.verdict), strings.Compare(a.path, b.path))
	})
	var b strings.Builder
	b.WriteString("\n")
	columns := func(verdict, new, gone, errors, warnings, least, path any) {
		fmt.Fprintf(&b, "%-10v ", verdict)
		if changes != nil {
			fmt.Fprintf(&b, "%5v %5v ", new, gone)
		}
		fmt.Fprintf(&b, "%6v %8v %12v  %v\n", errors, warnings, least, path)
	}
	columns("verdict", "new", "gone", "errors", "warnings", "least margin", "program")
	for _, r := range rows {
		columns(r.verdict, r.new, r.gone, r.errors, r.warnings, wording.Margin(r.least), report.Visible(r.path))
	}
	fmt.Fprintf(&b, "%s:", wording.Count(len(rows), "program", "programs"))
	for i, v := range []hold.Verdict{hold.Loose, hold.Incomplete, hold.AtRisk, hold.Held} {
		if i > 0 {
			b.WriteString(",")
		}
		fmt.Fprintf(&b, " %d %s", verdicts[v], v)
	}
	if changes != nil {
		fmt.Fprintf(&b, "; risks since the baseline: %d new, %d gone", newRisks, goneRisks)
	}
	b.WriteString("\n")
	_, err := io.WriteString(w, b.String())
	return err
}
