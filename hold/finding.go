package hold

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"github.com/paulmach/orb"

	"staydown/hold/wording"
	"staydown/parse/units"
)

// trial is the outcome of the worst check of one step on one piece.
type trial struct {
	step    int // index into the sweep's steps
	piece   int32
	epoch   int
	mode    Mode
	margin  float64
	holdN   float64 // by which pressure and weight press the piece down
	liftN   float64 // of the load, upward; 0 when it presses
	loadN   float64 // the mode's force: upward for lift, else sideways
	at      orb.Point
	timeS   float64
	line    int
	tool    int
	instant      // its moment
	alone   bool // the joins alone hold it, without pressure and weight
}

// worse reports whether t is closer to coming loose than u; on ties the earlier trial stays the worst.
func (t trial) worse(u trial) bool { return t.margin < u.margin }

// verbs and gerunds say what a piece does in each mode.
var (
	verbs   = map[Mode]string{Lift: "lifts", Slip: "slips", Twist: "twists", Tip: "tips"}
	gerunds = map[Mode]string{Lift: "lifting", Slip: "slipping", Twist: "twisting", Tip: "tipping"}
)

// finding is the finding for a stretch of trials on p, whose margin has the range d.
func (s *stretch) finding(p *Piece, d *pieceRange, u units.System) Finding {
	w := s.worst
	f := Finding{
		Line: s.first.line, LastLine: s.lastLine, WorstLine: w.line, TimeS: s.first.timeS, LastTimeS: s.lastTimeS,
		Piece: int(s.piece), Rule: w.mode.String(), Mode: w.mode, Level: LevelWarning,
		Margin: w.margin * d.learned,
		Low:    w.margin * d.lowShare(), High: w.margin * d.highShare(), Chance: math.NaN(),
		HoldN: w.holdN, LoadN: w.loadN, Tool: w.tool, At: w.at, HasAt: true,
	}
	does := "is at risk of " + gerunds[w.mode]
	if f.Margin < 1 {
		f.Level = LevelError
		does = "comes loose, " + verbs[w.mode]
	}
	f.Message = fmt.Sprintf("%s %s: %s, hold %s, load %s, tool %d", nameOf(p, u), does, f.marginText(),
		u.Force().Text(w.holdN), u.Force().Text(w.loadN), w.tool)
	switch {
	case w.line != s.first.line && w.line == s.lastLine:
		f.Message += fmt.Sprintf("; worst at its end, line %d", w.line)
	case w.line != s.first.line:
		f.Message += fmt.Sprintf("; worst at line %d, lasts to line %d", w.line, s.lastLine)
	case s.lastLine != s.first.line:
		f.Message += fmt.Sprintf("; lasts to line %d", s.lastLine)
	}
	if len(d.steps) > 0 && d.steps[0].step == w.step && d.decides != "" {
		f.Chance, f.Decides = d.chance, d.decides
		f.Message += fmt.Sprintf("; it moves in %s such jobs; %s decides", wording.Chance(f.Chance), f.Decides)
	}
	return f
}

// marginText is the margin of a finding in words.
func (f *Finding) marginText() string {
	return "margin " + wording.MarginRange(f.Low, f.Margin, f.High)
}

// inBrackets is an N word as it stands behind a message; "" for none.
func inBrackets(number string) string {
	if number == "" {
		return ""
	}
	return " (" + number + ")"
}

// nameOf names a piece so that the user finds it on the table: number, size and place.
func nameOf(p *Piece, u units.System) string {
	name := fmt.Sprintf("piece %d", p.ID)
	if math.IsNaN(p.SizeMM[0] + p.SizeMM[1]) {
		return name
	}
	return fmt.Sprintf("%s (%s at %s)", name, u.Size(p.SizeMM[0], p.SizeMM[1]), u.Spot(p.Centroid[0], p.Centroid[1]))
}

// NumberFindings names the blocks of the findings by their N words, where they have them. Check does it unless the
// program's text was let go of.
func (a *Analysis) NumberFindings() {
	fs := a.Result.Findings
	var lines []int
	for _, f := range fs {
		lines = append(lines, f.Line, f.WorstLine)
	}
	numbers := a.prog.NumbersAt(lines)
	for i := range fs {
		f := &fs[i]
		f.Number, f.WorstNumber = numbers[f.Line], numbers[f.WorstLine]
		f.Message += inBrackets(f.Number)
	}
}

// sortFindings puts findings in order of line, then piece, then rule.
func sortFindings(fs []Finding) {
	slices.SortStableFunc(fs, func(a, b Finding) int {
		return cmp.Or(cmp.Compare(a.Line, b.Line), cmp.Compare(a.Piece, b.Piece), cmp.Compare(a.Rule, b.Rule))
	})
}

// plain makes a finding without a margin.
func plain(rule string, level Level, line int, timeS float64, message string) Finding {
	return Finding{
		Rule: rule, Level: level, Line: line, LastLine: line, WorstLine: line, TimeS: timeS, LastTimeS: timeS,
		Message: message, Margin: math.NaN(), Low: math.NaN(), High: math.NaN(), Chance: math.NaN(), HoldN: math.NaN(),
		LoadN: math.NaN(),
	}
}
