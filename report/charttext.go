package report

import (
	"bufio"
	"encoding/csv"
	"fmt"
	"io"
	"math"
	"strconv"

	"staydown/hold/chart"
	"staydown/hold/dryrun"
	"staydown/hold/result"
	"staydown/parse/units"
	"staydown/report/words"
)

// ChartText writes the smallest parts of a chart in words, and the caution. Errors are those of w.
func ChartText(w io.Writer, r *chart.Result) error {
	b := bufio.NewWriter(w)
	fmt.Fprintf(b, "%s\n", words.ChartHeadline(r))
	for _, reason := range r.Reasons {
		fmt.Fprintf(b, "  warning: %s\n", words.Visible(reason))
	}
	fmt.Fprintf(b, "  %s:\n", chartCaption(r))
	alignColumns(b, chartTable(r))
	if len(r.Heights) > 0 {
		fmt.Fprintf(b, "  %s:\n", heightCaption(r))
		alignColumns(b, heightTable(r))
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
		rows = append(rows, []string{c.Shape.String(), words.Feed(r, c.FeedMMMin), sizeInWords(r, c.NoCareMM),
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
		"is cut round its top at %s, %s", words.Feed(r, r.Heights[0].FeedMMMin), r.Units.Length().Name)
}

// heightTable is a row for each height of a chart, below a header.
func heightTable(r *chart.Result) [][]string {
	mm := r.Units.Length()
	rows := [][]string{{"part", "size", "last pass", "tips from", "likely from"}}
	for _, h := range r.Heights {
		rows = append(rows, []string{h.Shape.String(), mm.Number(h.SizeMM), mm.Number(h.DepthMM),
			words.Height(r, h, h.TipsMM), words.Height(r, h, h.LikelyMM)})
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
