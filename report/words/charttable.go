package words

import (
	"fmt"
	"math"

	"staydown/hold/chart"
	"staydown/hold/dryrun"
	"staydown/hold/result"
	"staydown/parse/units"
)

// ChartDigits are those that are known of a size.
const ChartDigits = 3

// ChartCaption is what the table of a chart lists.
func ChartCaption(r *chart.Result) string {
	return fmt.Sprintf("smallest part (side, diameter, width), %s; smaller ones %s", r.Units.Length().Name,
		dryrun.WouldNotHold)
}

// ChartTable is a row for each shape and feed, below a header: the smallest sizes with each care.
func ChartTable(r *chart.Result) [][]string {
	rows := [][]string{{"part", "feed", dryrun.WouldHold.String(), dryrun.WithCare.String() + ": thin last pass",
		"skin", "tabs", "in one pass, likely (range)"}}
	for i, c := range r.Cares {
		points := r.Curves[i].Points
		rows = append(rows, []string{c.Shape.String(), Feed(r, c.FeedMMMin), sizeInWords(r, c.NoCareMM),
			sizeInWords(r, c.ThinPassMM), sizeInWords(r, c.SkinMM), sizeInWords(r, c.TabsMM),
			sizeRangeInWords(r, points[len(points)-1].Smallest)})
	}
	return rows
}

// HeightCaption is what the table of heights lists.
func HeightCaption(r *chart.Result) string {
	return fmt.Sprintf("height from which a free part tips when a step as deep as its last pass, half the tool wide, "+
		"is cut round its top at %s, %s", Feed(r, r.Heights[0].FeedMMMin), r.Units.Length().Name)
}

// HeightTable is a row for each height of a chart, below a header.
func HeightTable(r *chart.Result) [][]string {
	mm := r.Units.Length()
	rows := [][]string{{"part", "size", "last pass", "tips from", "likely from"}}
	for _, h := range r.Heights {
		rows = append(rows, []string{h.Shape.String(), mm.Number(h.SizeMM), mm.Number(h.DepthMM),
			Height(r, h, h.TipsMM), Height(r, h, h.LikelyMM)})
	}
	return rows
}

// sizeRangeInWords is a smallest size as likely, with its range.
func sizeRangeInWords(r *chart.Result, s result.Range) string {
	word := func(mm float64) string {
		if math.IsInf(mm, 1) {
			return "none"
		}
		return r.Units.Length().Number(units.Digits(mm, ChartDigits))
	}
	return fmt.Sprintf("%s (%s to %s)", word(s.Likely), word(s.Low), word(s.High))
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

func VisibleEach(texts []string) []string {
	out := make([]string, len(texts))
	for i, text := range texts {
		out[i] = Visible(text)
	}
	return out
}
