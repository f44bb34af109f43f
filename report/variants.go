package report

import (
	"bufio"
	"encoding/csv"
	"fmt"
	"io"
	"math"
	"strings"
	"unicode/utf8"

	"staydown/hold/result"
	"staydown/report/words"
)

// VariantsText writes a table with a row for each variant, and the caution. Errors are those of w.
func VariantsText(w io.Writer, v *result.Variants) error {
	header := words.VisibleEach(v.Keys)
	rows := [][]string{append(header, "verdict", "least margin", "lowest vacuum", "alarm setpoint")}
	for _, one := range v.Rows {
		r := one.Result
		rows = append(rows, append(words.VisibleEach(one.Values), r.Verdict.String(), words.LeastMargin(r),
			r.Units.Pressure().Text(r.Vacuum.LeastKPa), setpointInWords(r)))
	}
	b := bufio.NewWriter(w)
	fmt.Fprintf(b, "%s:\n", words.Visible(v.Program))
	alignColumns(b, rows)
	textCaution(b, "", TextOptions{})
	return b.Flush()
}

// alignColumns writes rows with their columns one below the other.
func alignColumns(w io.Writer, rows [][]string) {
	widths := make([]int, len(rows[0]))
	for _, row := range rows {
		for i, cell := range row {
			widths[i] = max(widths[i], utf8.RuneCountInString(cell))
		}
	}
	for _, row := range rows {
		var line strings.Builder
		for i, cell := range row {
			line.WriteString("  " + cell + strings.Repeat(" ", widths[i]-utf8.RuneCountInString(cell)))
		}
		fmt.Fprintln(w, strings.TrimRight(line.String(), " "))
	}
}

// setpointInWords is rounded up, so that nothing comes loose above it.
func setpointInWords(r *result.Result) string {
	switch v := r.Vacuum; {
	case !v.Known():
		return "unknown"
	case math.IsNaN(v.AlarmSetpointKPa):
		return "none"
	default:
		return r.Units.Pressure().Up(v.AlarmSetpointKPa)
	}
}

// VariantsCSV writes a row for each variant below a header, in the form of Summary. Errors are those of w.
func VariantsCSV(w io.Writer, v *result.Variants) error {
	c := csv.NewWriter(w)
	c.UseCRLF = true
	var header []string
	for _, key := range v.Keys {
		header = append(header, cellText(key))
	}
	header = append(header, "verdict", "least_margin_low", "least_margin", "least_margin_high", "vacuum_least_kpa",
		"alarm_setpoint_kpa")
	if err := c.Write(header); err != nil {
		return err
	}
	for _, one := range v.Rows {
		var row []string
		for _, value := range one.Values {
			row = append(row, cellText(value))
		}
		r := one.Result
		least := leastRange(r)
		row = append(row, r.Verdict.String(), words.Number(least.Low), words.Number(least.Likely),
			words.Number(least.High),
			words.Number(r.Vacuum.LeastKPa), words.Number(r.Vacuum.AlarmSetpointKPa))
		if err := c.Write(row); err != nil {
			return err
		}
	}
	c.Flush()
	return c.Error()
}

// cellText keeps spreadsheets from taking a text for a formula. A number with its sign is none.
func cellText(s string) string {
	s = words.Visible(s)
	if s != "" && strings.ContainsRune("=+@", rune(s[0])) {
		return "'" + s
	}
	return s
}

// leastRange is the range of the least margin; all NaN when nothing is loaded.
func leastRange(r *result.Result) result.Range {
	p, ok := r.LeastPiece()
	if !ok {
		return result.Range{Low: math.NaN(), Likely: math.NaN(), High: math.NaN()}
	}
	return result.Range{Low: p.Least.Low, Likely: p.Least.Margin, High: p.Least.High}
}

// variantsName is the version of the table in JSON.
const variantsName = "staydown-vary/1"

type (
	jsonVariants struct {
		Schema   string        `json:"schema"`
		Program  jsonVaried    `json:"program"`
		Keys     []string      `json:"keys"`
		Variants []jsonVariant `json:"variants"`
		Caution  string        `json:"caution"`
	}
	jsonVaried struct {
		Path   string `json:"path"`
		SHA256 string `json:"sha256"`
	}
	jsonVariant struct {
		Values           []string   `json:"values"`
		Verdict          string     `json:"verdict"`
		LeastMargin      [3]decimal `json:"least_margin"`
		VacuumLeastKPa   decimal    `json:"vacuum_least_kpa"`
		AlarmSetpointKPa decimal    `json:"alarm_setpoint_kpa"`
	}
)

// VariantsJSON writes the table as JSON: values in the order of keys, the least margin as low, likely and high, null
// for what is not known or does not exist. Errors are those of w.
func VariantsJSON(w io.Writer, v *result.Variants) error {
	out := jsonVariants{Schema: variantsName, Program: jsonVaried{words.VisiblePath(v.Program), v.SHA256}, Keys: v.Keys,
		Caution: words.Caution}
	for _, one := range v.Rows {
		least := leastRange(one.Result)
		out.Variants = append(out.Variants, jsonVariant{
			Values: one.Values, Verdict: one.Result.Verdict.String(),
			LeastMargin:    [3]decimal{decimal(least.Low), decimal(least.Likely), decimal(least.High)},
			VacuumLeastKPa: decimal(one.Result.Vacuum.LeastKPa), AlarmSetpointKPa: decimal(
				one.Result.Vacuum.AlarmSetpointKPa),
		})
	}
	return encode(w, out)
}
