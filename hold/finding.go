package hold

import (
	"fmt"
	"math"

	"github.com/paulmach/orb"

	"staydown/hold/result"
	"staydown/hold/wording"
	"staydown/parse/units"
)

// trial is the outcome of the worst check of one step on one piece.
type trial struct {
	step    int // index into the sweep's steps
	piece   int32
	epoch   int
	mode    result.Mode
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

// finding is the finding for a stretch of trials on p, whose margin has the range d.
func (s *stretch) finding(p *result.Piece, d *pieceRange, u units.System) result.Finding {
	w := s.worst
	f := result.Finding{
		Line: s.first.line, LastLine: s.lastLine, WorstLine: w.line, TimeS: s.first.timeS, LastTimeS: s.lastTimeS,
		Piece: int(s.piece), Rule: w.mode.String(), Mode: w.mode, Level: result.LevelWarning,
		Margin: w.margin * d.learned,
		Low:    w.margin * d.lowShare(), High: w.margin * d.highShare(), Chance: math.NaN(),
		HoldN: w.holdN, LoadN: w.loadN, Tool: w.tool, At: w.at, HasAt: true,
	}
	if f.Margin < 1 {
		f.Level = result.LevelError
	}
	f.Message = fmt.Sprintf("%s %s: %s, hold %s, load %s, tool %d", p.Name(u), result.Does(f.Mode, f.Margin),
		f.MarginText(),
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

// NumberFindings names the blocks of the findings by their N words, where they have them. Check does it unless the
// program's text was let go of.
func (a *Analysis) NumberFindings() { a.Result.Number(a.prog.NumbersAt) }
