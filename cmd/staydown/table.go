package main

import (
	"encoding/json"
	"fmt"
	"io"
	"math"
	"slices"
	"strings"

	"staydown/hold"
	"staydown/report"
)

// change counts the risks of one program against the baseline.
type change struct{ new, gone int }

// changes reads how the risks of each program stand against the baseline off the SARIF output, where the findings were
// matched. Programs are in the order of the artifacts.
func changes(sarif []byte, programs int) ([]change, error) {
	var log struct {
		Runs []struct {
			Artifacts []struct{ Location struct{ URI string } }
			Results   []struct {
				Level, BaselineState string
				Locations            []struct {
					PhysicalLocation struct{ ArtifactLocation struct{ URI string } }
				}
			}
		}
	}
	if err := json.Unmarshal(sarif, &log); err != nil {
		return nil, err
	}
	out := make([]change, programs)
	for _, run := range log.Runs {
		index := map[string]int{}
		for i, a := range run.Artifacts {
			index[a.Location.URI] = i
		}
		for _, r := range run.Results {
			if len(r.Locations) == 0 || r.Level == hold.LevelNote.String() {
				continue
			}
			i, ok := index[r.Locations[0].PhysicalLocation.ArtifactLocation.URI]
			if !ok || i >= programs {
				continue
			}
			switch r.BaselineState {
			case "new":
				out[i].new++
			case "absent":
				out[i].gone++
			}
		}
	}
	return out, nil
}

// row is a program in the closing table.
type row struct {
	path             string
	verdict          hold.Verdict
	errors, warnings int
	least            float64
	change
}

// closingTable sums up a run of several programs: those with new risks first, then the worst verdicts, then by path.
func closingTable(w io.Writer, results []*hold.Result, sarif []byte, compared bool) error {
	delta, err := changes(sarif, len(results))
	if err != nil {
		return err
	}
	rows := make([]row, len(results))
	var total change
	verdicts := map[hold.Verdict]int{}
	for i, r := range results {
		rows[i] = row{path: r.Program.Path, verdict: r.Verdict, least: leastMargin(r), change: delta[i]}
		for _, f := range r.Findings {
			switch f.Level {
			case hold.LevelError:
				rows[i].errors++
			case hold.LevelWarning:
				rows[i].warnings++
			}
		}
		total.new += delta[i].new
		total.gone += delta[i].gone
		verdicts[r.Verdict]++
	}
	slices.SortStableFunc(rows, func(a, b row) int {
		switch {
		case (a.new > 0) != (b.new > 0):
			return b.new - a.new
		case a.verdict != b.verdict:
			return int(b.verdict) - int(a.verdict)
		}
		return strings.Compare(a.path, b.path)
	})
	var b strings.Builder
	b.WriteString("\n")
	columns := func(verdict, new, gone, errors, warnings, least, path string) {
		fmt.Fprintf(&b, "%-10s ", verdict)
		if compared {
			fmt.Fprintf(&b, "%5s %5s ", new, gone)
		}
		fmt.Fprintf(&b, "%6s %8s %12s  %s\n", errors, warnings, least, path)
	}
	columns("verdict", "new", "gone", "errors", "warnings", "least margin", "program")
	for _, r := range rows {
		columns(r.verdict.String(), fmt.Sprint(r.new), fmt.Sprint(r.gone), fmt.Sprint(r.errors), fmt.Sprint(r.warnings),
			marginCell(r.least), report.Visible(r.path))
	}
	noun := "programs"
	if len(rows) == 1 {
		noun = "program"
	}
	fmt.Fprintf(&b, "%d %s:", len(rows), noun)
	for i, v := range []hold.Verdict{hold.Loose, hold.Incomplete, hold.AtRisk, hold.Held} {
		if i > 0 {
			b.WriteString(",")
		}
		fmt.Fprintf(&b, " %d %s", verdicts[v], v)
	}
	if compared {
		fmt.Fprintf(&b, "; risks since the baseline: %d new, %d gone", total.new, total.gone)
	}
	b.WriteString("\n")
	_, err = io.WriteString(w, b.String())
	return err
}

// leastMargin is the least over all pieces; +Inf when nothing is loaded.
func leastMargin(r *hold.Result) float64 {
	least := math.Inf(1)
	for _, p := range r.Pieces {
		if p.Least.Mode != hold.NoMode {
			least = math.Min(least, p.Least.Margin)
		}
	}
	return least
}

// marginCell writes a margin with two decimals, rounded down so that what misses a limit never reads as the limit.
func marginCell(m float64) string {
	if math.IsInf(m, 0) || math.IsNaN(m) {
		return "-"
	}
	return fmt.Sprintf("%.2f", math.Floor(m*100+1e-9)/100)
}
