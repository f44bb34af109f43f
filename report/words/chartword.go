package words

import (
	"fmt"
	"math"
	"strings"

	"staydown/hold/chart"
	"staydown/hold/result"
	"staydown/hold/wording"
	"staydown/parse/units"
)

// ChartHeadline says what the chart is of.
func ChartHeadline(r *chart.Result) string {
	return Visible(fmt.Sprintf("%s, %s, on %s", r.Job.Material, r.Units.Length().Text(r.ThickMM), r.Job.Layer))
}

// ChartFacts are the table and the cut behind a chart.
func ChartFacts(r *chart.Result) []Fact {
	b := r.Job.StockOutline.Bound()
	open := "as the job's blank leaves it"
	if r.OpenShare > 0 {
		open = fmt.Sprintf("%s %% of the sheet", Number(100*r.OpenShare))
	}
	tool := fmt.Sprintf("T%d", r.Tool)
	for _, t := range r.Job.Tools {
		if t.Number == r.Tool {
			tool += " " + Tool(t, r.Units.Length())
		}
	}
	mm := r.Units.Length()
	facts := []Fact{
		{"table", fmt.Sprintf("blank %s; open: %s", r.Units.Size(b.Max[0]-b.Min[0], b.Max[1]-b.Min[1]), open)},
		{"pump", fmt.Sprintf("%s; vacuum at the least %s", OrDash(r.Job.Pump), r.Units.Pressure().Text(r.VacuumKPa))},
		{"tool", fmt.Sprintf("%s, S%s", tool, Number(r.RPM))},
		{"required margin", Number(r.Margin) + MarginEnd(r)},
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

// MarginEnd says by which end of the margin a chart goes.
func MarginEnd(r *chart.Result) string {
	if HasRanges(r) {
		return ", of the low end of each margin"
	}
	return ", of the likely margin"
}

// HasRanges tells whether the margins of a chart have a low and a high end.
func HasRanges(r *chart.Result) bool {
	for _, t := range r.Trials {
		if !math.IsNaN(t.Margin.Low) {
			return true
		}
	}
	return false
}

func Feed(r *chart.Result, mmMin float64) string {
	return "F" + r.Units.Feed().Number(mmMin)
}

func Height(r *chart.Result, h chart.Height, mm float64) string {
	switch {
	case math.IsInf(mm, 1):
		return fmt.Sprintf("over %s widths", Number(chart.MostSlim))
	case math.IsNaN(mm):
		return h.Mode.String() + " first"
	}
	step := units.DigitStep(mm, 2) // toward the safe side
	return r.Units.Length().Number(math.Floor(mm/step+1e-9) * step)
}

// Tool is the size and shape of a tool: "flat 6 mm, 2 flutes".
func Tool(t result.ToolFacts, length units.Unit) string {
	s := t.Shape + " " + length.Text(t.DiameterMM)
	if t.CornerMM > 0 {
		s += ", corner " + length.Text(t.CornerMM)
	}
	if t.AngleRad > 0 {
		s += fmt.Sprintf(", %.0f deg", t.AngleRad*180/math.Pi)
	}
	s += ", " + wording.Count(t.Flutes, "flute", "flutes")
	if t.HelixRad < 0 {
		s += ", down-cut"
	}
	return s
}

func OrDash(s string) string {
	if s == "" {
		return "-"
	}
	return Visible(s)
}

type Fact struct{ Label, Value string }
