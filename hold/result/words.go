package result

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"staydown/hold/wording"
	"staydown/parse/units"
)

// verbs and gerunds say what a piece does in each mode.
var (
	verbs   = map[Mode]string{Lift: "lifts", Slip: "slips", Twist: "twists", Tip: "tips"}
	gerunds = map[Mode]string{Lift: "lifting", Slip: "slipping", Twist: "twisting", Tip: "tipping"}
)

// Does says what a piece does at a margin: "comes loose, slips", "is at risk of slipping".
func Does(m Mode, margin float64) string {
	if margin < 1 {
		return "comes loose, " + verbs[m]
	}
	return "is at risk of " + gerunds[m]
}

// MarginText is the margin of a finding in words.
func (f *Finding) MarginText() string {
	return "margin " + wording.MarginRange(f.Low, f.Margin, f.High)
}

// inBrackets is an N word as it stands behind a message; "" for none.
func inBrackets(number string) string {
	if number == "" {
		return ""
	}
	return " (" + number + ")"
}

// Name names a piece so that the user finds it on the table: number, size and place.
func (p *Piece) Name(u units.System) string {
	name := fmt.Sprintf("piece %d", p.ID)
	if math.IsNaN(p.SizeMM[0] + p.SizeMM[1]) {
		return name
	}
	return fmt.Sprintf("%s (%s at %s)", name, u.Size(p.SizeMM[0], p.SizeMM[1]), u.Spot(p.Centroid[0], p.Centroid[1]))
}

// Number names the blocks of the findings by their N words; numbers gives those of the lines that have any.
func (r *Result) Number(numbers func(lines []int) map[int]string) {
	var lines []int
	for _, f := range r.Findings {
		lines = append(lines, f.Line, f.WorstLine)
	}
	found := numbers(lines)
	for i := range r.Findings {
		f := &r.Findings[i]
		f.Number, f.WorstNumber = found[f.Line], found[f.WorstLine]
		f.Message += inBrackets(f.Number)
	}
}

// Sort puts findings in order of line, then piece, then rule.
func Sort(fs []Finding) {
	slices.SortStableFunc(fs, func(a, b Finding) int {
		return cmp.Or(cmp.Compare(a.Line, b.Line), cmp.Compare(a.Piece, b.Piece), cmp.Compare(a.Rule, b.Rule))
	})
}

// NewFinding makes a finding without a margin.
func NewFinding(rule string, level Level, line int, timeS float64, message string) Finding {
	return Finding{
		Rule: rule, Level: level, Line: line, LastLine: line, WorstLine: line, TimeS: timeS, LastTimeS: timeS,
		Message: message, Margin: math.NaN(), Low: math.NaN(), High: math.NaN(), Chance: math.NaN(), HoldN: math.NaN(),
		LoadN: math.NaN(),
	}
}
