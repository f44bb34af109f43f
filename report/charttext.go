package report

import (
	"bufio"
	"encoding/csv"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"

	"staydown/hold/chart"
	"staydown/hold/dryrun"
	"staydown/hold/result"
)

// ChartText writes the smallest parts of a chart in words, and the caution. Errors are those of w.
func ChartText(w io.Writer, r *chart.Result) error {
	b := bufio.NewWriter(w)
	fmt.Fprintf(b, "%s\n", chartHeadline(r))
	for _, reason := range r.Reasons {
		fmt.Fprintf(b, "  warning: %s\n", Visible(reason))
	}
	fmt.Fprintf(b, "  %s:\n", chartCaption(r))
	alignColumns(b, chartTable(r))
	for _, s := range chartFacts(r) {
		fmt.Fprintf(b, "  %s: %s\n", s.Label, s.Value)
	}
	fmt.Fprintf(b, "  assumed:\n")
	for _, s := range r.Assumed {
		fmt.Fprintf(b, "    %s\n", Visible(s))
	}
	textCaution(b, "", TextOptions{})
	return b.Flush()
}

// chartHeadline says what the chart is of.
func chartHeadline(r *chart.Result) string {
	return Visible(fmt.Sprintf("%s, %s, on %s", r.Job.Material, r.Units.Length().Text(r.ThickMM), r.Job.Layer))
}

// chartCaption is what the table of a chart lists.
func chartCaption(r *chart.Result) string {
	return fmt.Sprintf("smallest part (side, diameter, width), %s; smaller ones %s", r.Units.Length().Name,
		dryrun.WouldNotHold)
}

// chartTable is a row for each shape and feed, below a header: the smallest sizes with each care.
func chartTable(r *chart.Result) [][]string {
	rows := [][]string{{"part", "feed", dryrun.WouldHold.String(), dryrun.WithCare.String() + ": thin last pass",
		"skin",
		"tabs"}}
	for _, c := range r.Cares {
		rows = append(rows, []string{c.Shape.String(), feedInWords(r, c.FeedMMMin), sizeInWords(r, c.NoCareMM),
			sizeInWords(r, c.ThinPassMM), sizeInWords(r, c.SkinMM), sizeInWords(r, c.TabsMM)})
	}
	return rows
}

// sizeInWords is a smallest size. The smallest one tried says only that it holds.
func sizeInWords(r *chart.Result, mm float64) string {
	switch {
	case math.IsInf(mm, 1):
		return "none"
	case mm == r.SizesMM[0]:
		return r.Units.Length().Number(mm) + " or less"
	}
	return r.Units.Length().Number(mm)
}

func feedInWords(r *chart.Result, mmMin float64) string {
	return "F" + r.Units.Feed().Number(mmMin)
}

// chartFacts are the table and the cut behind a chart.
func chartFacts(r *chart.Result) []fact {
	b := r.Job.StockOutline.Bound()
	open := "as the job's blank leaves it"
	if r.OpenShare > 0 {
		open = fmt.Sprintf("%s %% of the sheet", number(100*r.OpenShare))
	}
	tool := fmt.Sprintf("T%d", r.Tool)
	for _, t := range r.Job.Tools {
		if t.Number == r.Tool {
			tool += " " + toolInWords(t, r.Units.Length())
		}
	}
	mm := r.Units.Length()
	facts := []fact{
		{"table", fmt.Sprintf("blank %s; open: %s", r.Units.Size(b.Max[0]-b.Min[0], b.Max[1]-b.Min[1]), open)},
		{"pump", fmt.Sprintf("%s; vacuum at the least %s", orDash(r.Job.Pump), r.Units.Pressure().Text(r.VacuumKPa))},
		{"tool", fmt.Sprintf("%s, S%s", tool, number(r.RPM))},
		{"required margin", number(r.Margin) + marginEndInWords(r)},
		{"feeds", r.Units.Feed().Name},
		{"thin last pass", fmt.Sprintf("the best of %s to %s", mm.Number(r.DepthsMM[0]), mm.Text(r.ThickMM))},
		{"skin", mm.Text(r.SkinMM)},
		{"tabs", fmt.Sprintf("%d of %s, %s high", r.Tabs, mm.Text(r.TabWideMM), mm.Text(r.TabHighMM))},
		{"sizes tried", fmt.Sprintf("%s to %s, %d of them; the strip is four times as long as wide",
			mm.Number(r.SizesMM[0]), mm.Text(r.SizesMM[len(r.SizesMM)-1]), len(r.SizesMM))},
		{"places tried", strings.Join(r.Places, ", ")},
	}
	for i := range facts {
		facts[i].Value = Visible(facts[i].Value)
	}
	return facts
}

// marginEndInWords says by which end of the margin a chart goes.
func marginEndInWords(r *chart.Result) string {
	if hasRanges(r) {
		return ", of the low end of each margin"
	}
	return ", of the likely margin"
}

// hasRanges tells whether the margins of a chart have a low and a high end.
func hasRanges(r *chart.Result) bool {
	for _, t := range r.Trials {
		if !math.IsNaN(t.Margin.Low) {
			return true
		}
	}
	return false
}

// ChartCSV writes a row for each point of a chart below a header, in the form of Summary. A size is empty where no size
// that was tried holds. Errors are those of w.
func ChartCSV(w io.Writer, r *chart.Result) error {
	c := csv.NewWriter(w)
	c.UseCRLF = true
	rows := [][]string{{"part", "feed_mm_min", "closing_pass_mm", "smallest_low_mm", "smallest_likely_mm",
		"smallest_mm", "margin_low", "margin", "margin_high", "mode", "place"}}
	for _, curve := range r.Curves {
		for _, p := range curve.Points {
			row := []string{curve.Shape.String(), number(curve.FeedMMMin), number(p.DepthMM), sizeCell(p.Smallest.Low),
				sizeCell(p.Smallest.Likely), sizeCell(p.Smallest.High)}
			if math.IsInf(p.Smallest.High, 1) {
				row = append(row, "", "", "", "", "")
			} else {
				m := p.At.Margin
				row = append(row, number(m.Low), number(m.Likely), number(m.High), modeWord(p.At.Mode),
					cellText(p.At.Place))
			}
			rows = append(rows, row)
		}
	}
	if err := c.WriteAll(rows); err != nil {
		return err
	}
	return c.Error()
}

// chartDigits are those that are known of a size.
const chartDigits = 3

func sizeCell(mm float64) string {
	if math.IsInf(mm, 0) || math.IsNaN(mm) {
		return ""
	}
	return strconv.FormatFloat(mm, 'g', chartDigits, 64)
}

func modeWord(m result.Mode) string {
	if m == result.NoMode {
		return ""
	}
	return m.String()
}
