package main

import (
	"cmp"
	"fmt"
	"io"
	"slices"
	"strings"
	"unicode/utf8"

	"staydown/hold/result"
	"staydown/hold/wording"
	"staydown/report"
	"staydown/report/words"
)

// row is a program in the closing table.
type row struct {
	path      string
	verdict   result.Verdict
	what, do  string
	new, gone int // warnings and errors against the baseline
}

// newRow sums up a program. changes is nil when there is no baseline.
func newRow(r *result.Result, changes *report.Comparison) row {
	out := row{path: r.Program.Path, verdict: r.Verdict}
	out.what, out.do = words.Trouble(r)
	if changes != nil {
		out.new, out.gone = changes.NewRisks, changes.GoneRisks
	}
	return out
}

// tableOf gives the rows of a run, those with new risks first, then the worst verdicts, then by path. changes holds the
// comparison of each program with the baseline; nil when there is none.
func tableOf(results []*result.Result, changes []report.Comparison) []row {
	rows := make([]row, len(results))
	for i, r := range results {
		var change *report.Comparison
		if changes != nil {
			change = &changes[i]
		}
		rows[i] = newRow(r, change)
	}
	slices.SortStableFunc(rows, func(a, b row) int {
		if (a.new > 0) != (b.new > 0) {
			return b.new - a.new
		}
		return cmp.Or(cmp.Compare(b.verdict, a.verdict), strings.Compare(a.path, b.path))
	})
	return rows
}

// closingTable sums up a run of several programs: how many have which verdict, then one line for each program that does
// not hold or has changed since the baseline, with what is wrong and what to do; with all for every program.
func closingTable(w io.Writer, results []*result.Result, changes []report.Comparison, all bool) error {
	rows := tableOf(results, changes)
	verdicts := map[result.Verdict]int{}
	newRisks, goneRisks := 0, 0
	for _, r := range rows {
		newRisks += r.new
		goneRisks += r.gone
		verdicts[r.verdict]++
	}
	var b strings.Builder
	fmt.Fprintf(&b, "\n%s:", wording.Count(len(rows), "program", "programs"))
	for i, v := range []result.Verdict{result.Loose, result.Incomplete, result.AtRisk, result.Held} {
		if i > 0 {
			b.WriteString(",")
		}
		fmt.Fprintf(&b, " %d %s", verdicts[v], v)
	}
	if changes != nil {
		fmt.Fprintf(&b, "; risks since the baseline: %d new, %d gone", newRisks, goneRisks)
	}
	b.WriteString("\n")
	if !all {
		rows = slices.DeleteFunc(rows, func(r row) bool { return r.verdict == result.Held && r.new+r.gone == 0 })
	}
	writeRows(&b, rows, changes != nil)
	_, err := io.WriteString(w, b.String())
	return err
}

// widestCell is the number of letters up to which a column is as wide as its widest cell.
const widestCell = 48

// writeRows writes rows as columns: whether it is new, program, verdict, what is wrong, what to do.
func writeRows(b *strings.Builder, rows []row, compared bool) {
	var cells [][]string
	for _, r := range rows {
		mark := ""
		switch {
		case r.new > 0:
			mark = "NEW"
		case r.gone > 0:
			mark = "gone"
		}
		line := []string{words.Visible(r.path), strings.ToUpper(strings.ReplaceAll(r.verdict.String(), "-", " ")),
			r.what, r.do}
		if compared {
			line = append([]string{mark}, line...)
		}
		cells = append(cells, line)
	}
	widths := make([]int, 5)
	for _, line := range cells {
		for k, cell := range line {
			if n := utf8.RuneCountInString(cell); n <= widestCell {
				widths[k] = max(widths[k], n)
			}
		}
	}
	for _, line := range cells {
		text := " "
		for k, cell := range line {
			text += fmt.Sprintf(" %-*s", widths[k]+1, cell)
		}
		b.WriteString(strings.TrimRight(text, " ") + "\n")
	}
}
