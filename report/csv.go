package report

import (
	"encoding/csv"
	"io"
	"math"
	"path"
	"strconv"
	"strings"

	"staydown/hold/result"
	"staydown/report/words"
)

// summaryHeader names the columns of summaryRow. Names carry their unit.
func summaryHeader() []string {
	return []string{"program", "verdict", "chance", "least_margin", "least_low", "least_high", "least_mode",
		"least_piece", "least_line", "margin_asked",
		"errors", "warnings", "notes", "pieces", "freed", "at_risk", "loose", "slivers", "blocks", "duration_s",
		"cut_length_mm",
		"vacuum_start_kpa", "vacuum_least_kpa", "alarm_setpoint_kpa", "never_below_kpa", "pump_needed_m3h", "sha256",
		"action", "remark"}
}

// summaryRow sums up one program. A cell is empty where there is no finite value.
func summaryRow(r *result.Result) []string {
	levels := make(map[result.Level]int)
	for _, f := range r.Findings {
		levels[f.Level]++
	}
	states, freed := make(map[result.State]int), 0
	for _, p := range r.Pieces {
		states[p.State]++
		if p.Freed {
			freed++
		}
	}
	least, mode, piece, line := result.Least{Margin: math.NaN(), Low: math.NaN(), High: math.NaN()}, "", "", ""
	if p, ok := r.LeastPiece(); ok {
		least, mode, piece, line = p.Least, p.Least.Mode.String(), strconv.Itoa(p.ID),
			strconv.Itoa(p.Least.Line)
	}
	return []string{cellPath(words.VisiblePath(r.Program.Path)), r.Verdict.String(), words.Number(r.Chance),
		words.Number(least.Margin),
		words.Number(least.Low), words.Number(least.High), mode, piece, line,
		words.Number(r.Margin),
		strconv.Itoa(levels[result.LevelError]), strconv.Itoa(levels[result.LevelWarning]),
		strconv.Itoa(levels[result.LevelNote]),
		strconv.Itoa(len(r.Pieces)), strconv.Itoa(freed), strconv.Itoa(states[result.StateAtRisk]),
		strconv.Itoa(states[result.StateLoose]),
		strconv.Itoa(states[result.StateSliver]), strconv.Itoa(r.Program.Blocks), words.Number(r.Program.DurationS),
		words.Number(r.Program.CutLengthMM),
		words.Number(r.Vacuum.StartKPa), words.Number(r.Vacuum.LeastKPa), words.Number(r.Vacuum.AlarmSetpointKPa),
		words.Number(r.Vacuum.NeverBelowKPa),
		words.Number(r.Vacuum.PumpNeededM3h), r.Program.SHA256, firstAction(r), words.WhyUnanalysed(r)}
}

// cellPath keeps spreadsheets from taking a file name for a formula: "./=A1.nc" is the same file as "=A1.nc".
func cellPath(p string) string {
	if p != "" && strings.ContainsRune("=+-@\t\r", rune(p[0])) && !path.IsAbs(p) {
		return "./" + p
	}
	return p
}

// passedOver stands where a program has its verdict.
const passedOver = "passed-over"

// firstAction is the best thing to do; "" where nothing is known or needed.
func firstAction(r *result.Result) string {
	if len(r.Actions) == 0 {
		return ""
	}
	return words.Visible(words.Action(&r.Actions[0]))
}

// Summary writes one row for each result below a header, then one for each path that was passed over, as RFC 4180 asks
// for: commas, CR LF, quotes doubled. Errors are those of w.
func Summary(w io.Writer, results []*result.Result, passed ...words.PassedOver) error {
	c := csv.NewWriter(w)
	c.UseCRLF = true
	if err := c.Write(summaryHeader()); err != nil {
		return err
	}
	for _, r := range results {
		if err := c.Write(summaryRow(r)); err != nil {
			return err
		}
	}
	for _, p := range passed {
		row := make([]string, len(summaryHeader()))
		row[0], row[1], row[len(row)-1] = cellPath(words.VisiblePath(p.Path)), passedOver, words.Visible(p.Why)
		if err := c.Write(row); err != nil {
			return err
		}
	}
	c.Flush()
	return c.Error()
}
