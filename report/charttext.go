package report

import (
	"bufio"
	"encoding/csv"
	"fmt"
	"io"
	"math"
	"strconv"

	"staydown/hold/chart"
	"staydown/hold/result"
	"staydown/report/words"
)

// ChartText writes the smallest parts of a chart in words, and the caution. Errors are those of w.
func ChartText(w io.Writer, r *chart.Result) error {
	b := bufio.NewWriter(w)
	fmt.Fprintf(b, "%s\n", words.ChartHeadline(r))
	for _, reason := range r.Reasons {
		fmt.Fprintf(b, "  warning: %s\n", words.Visible(reason))
	}
	fmt.Fprintf(b, "  %s:\n", words.ChartCaption(r))
	alignColumns(b, words.ChartTable(r))
	if len(r.Heights) > 0 {
		fmt.Fprintf(b, "  %s:\n", words.HeightCaption(r))
		alignColumns(b, words.HeightTable(r))
	}
	for _, s := range words.ChartFacts(r) {
		fmt.Fprintf(b, "  %s: %s\n", s.Label, s.Value)
	}
	fmt.Fprintf(b, "  assumed:\n")
	for _, s := range r.Assumed {
		fmt.Fprintf(b, "    %s\n", words.Visible(s))
	}
	textCaution(b, "", TextOptions{})
	return b.Flush()
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
			row := []string{curve.Shape.String(), words.Number(curve.FeedMMMin), words.Number(p.DepthMM),
				sizeCell(p.Smallest.Low),
				sizeCell(p.Smallest.Likely), sizeCell(p.Smallest.High)}
			if math.IsInf(p.Smallest.High, 1) {
				row = append(row, "", "", "", "", "")
			} else {
				m := p.At.Margin
				row = append(row, words.Number(m.Low), words.Number(m.Likely), words.Number(m.High),
					modeWord(p.At.Mode),
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

func sizeCell(mm float64) string {
	if math.IsInf(mm, 0) || math.IsNaN(mm) {
		return ""
	}
	return strconv.FormatFloat(mm, 'g', words.ChartDigits, 64)
}

func modeWord(m result.Mode) string {
	if m == result.NoMode {
		return ""
	}
	return m.String()
}
