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
	"staydown/parse/units"
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
	if len(r.Heights) > 0 {
		fmt.Fprintf(b, "  %s:\n", heightCaption(r))
		alignColumns(b, heightTable(r))
	}
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
		"skin", "tabs", "in one pass, likely (range)"}}
	for i, c := range r.Cares {
		points := r.Curves[i].Points
		rows = append(rows, []string{c.Shape.String(), feedInWords(r, c.FeedMMMin), sizeInWords(r, c.NoCareMM),
			sizeInWords(r, c.ThinPassMM), sizeInWords(r, c.SkinMM), sizeInWords(r, c.TabsMM),
			sizeRangeInWords(r, points[len(points)-1].Smallest)})
	}
	return rows
}

// sizeRangeInWords is a smallest size as likely, with its range.
func sizeRangeInWords(r *chart.Result, s result.Range) string {
	word := func(mm float64) string {
		if math.IsInf(mm, 1) {
			return "none"
		}
		return r.Units.Length().Number(units.Digits(mm, chartDigits))
	}
	return fmt.Sprintf("%s (%s to %s)", word(s.Likely), word(s.Low), word(s.High))
}

// heightCaption is what the table of heights lists.
func heightCaption(r *chart.Result) string {
	return fmt.Sprintf("height from which a free part tips when a step as deep as its last pass, half the tool wide, "+
		"is cut round its top at %s, %s", feedInWords(r, r.Heights[0].FeedMMMin), r.Units.Length().Name)
}

// heightTable is a row for each height of a chart, below a header.
func heightTable(r *chart.Result) [][]string {
	mm := r.Units.Length()
	rows := [][]string{{"part", "size", "last pass", "tips from", "likely from"}}
	for _, h := range r.Heights {
		rows = append(rows, []string{h.Shape.String(), mm.Number(h.SizeMM), mm.Number(h.DepthMM),
			heightInWords(r, h, h.TipsMM), heightInWords(r, h, h.LikelyMM)})
	}
	return rows
}

func heightInWords(r *chart.Result, h chart.Height, mm float64) string {
	switch {
	case math.IsInf(mm, 1):
		return fmt.Sprintf("over %s widths", number(chart.MostSlim))
	case math.IsNaN(mm):
		return h.Mode.String() + " first"
	}
	step := units.DigitStep(mm, 2) // toward the safe side
	return r.Units.Length().Number(math.Floor(mm/step+1e-9) * step)
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

// tipsAt are the heights from which the smallest part at a point tips; +Inf where none was looked for, or it never
// does.
func tipsAt(r *chart.Result, c chart.Curve, p chart.Point) (low, likely float64) {
	for _, h := range r.Heights {
		if h.Shape == c.Shape && h.FeedMMMin == c.FeedMMMin && h.DepthMM == p.DepthMM && h.SizeMM == p.Smallest.High {
			return h.TipsMM, h.LikelyMM
		}
	}
	return math.Inf(1), math.Inf(1)
}

// ChartCSV writes a row for each point of a chart below a header, in the form of Summary. A size is empty where no size
// that was tried holds; the height from which a part tips is known at one depth of the middle feed. Errors are those of
// w.
func ChartCSV(w io.Writer, r *chart.Result) error {
	c := csv.NewWriter(w)
	c.UseCRLF = true
	rows := [][]string{{"part", "feed_mm_min", "closing_pass_mm", "smallest_low_mm", "smallest_likely_mm",
		"smallest_mm", "margin_low", "margin", "margin_high", "mode", "place", "tips_from_mm", "tips_likely_from_mm"}}
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
			low, likely := tipsAt(r, curve, p)
			row = append(row, sizeCell(low), sizeCell(likely))
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
