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

// stretch is a run of trials on one piece, block after block, all below the required margin and on the same side of 1.
type stretch struct {
	piece     int32
	first     trial
	worst     trial
	lastStep  int
	lastLine  int
	lastTimeS float64
}

// stretches collects trials in program order into stretches.
type stretches struct {
	asked float64
	open  map[int32]*stretch
	done  []*stretch
}

func newStretches(asked float64) *stretches {
	return &stretches{asked: asked, open: map[int32]*stretch{}}
}

// add takes the next trial of a piece.
func (s *stretches) add(t trial) {
	run := s.open[t.piece]
	if t.margin >= s.asked {
		if run != nil && t.line != run.lastLine {
			s.close(t.piece)
		}
		return
	}
	if run != nil && (run.worst.margin < 1) != (t.margin < 1) {
		// A block has one finding per piece: a piece that is loose somewhere in the block is loose in all of it.
		sameBlock := run.worst.margin < 1 && t.line == run.lastLine || t.margin < 1 && t.line == run.first.line
		if !sameBlock {
			s.close(t.piece)
			run = nil
		}
	}
	if run == nil {
		run = &stretch{piece: t.piece, first: t, worst: t}
		s.open[t.piece] = run
	}
	if t.worse(run.worst) {
		run.worst = t
	}
	run.lastStep, run.lastLine, run.lastTimeS = t.step, t.line, t.timeS
}

func (s *stretches) close(piece int32) {
	s.done = append(s.done, s.open[piece])
	delete(s.open, piece)
}

// all returns every stretch in the order of its first block.
func (s *stretches) all() []*stretch {
	for piece := range s.open {
		s.done = append(s.done, s.open[piece])
	}
	clear(s.open)
	slices.SortFunc(s.done, func(a, b *stretch) int {
		return cmp.Or(cmp.Compare(a.first.step, b.first.step), cmp.Compare(a.piece, b.piece))
	})
	return s.done
}

// verbs and gerunds say what a piece does in each mode.
var (
	verbs   = map[Mode]string{Lift: "lifts", Slip: "slips", Twist: "twists", Tip: "tips"}
	gerunds = map[Mode]string{Lift: "lifting", Slip: "slipping", Twist: "twisting", Tip: "tipping"}
)

// finding is the finding for a stretch of trials on p.
func (s *stretch) finding(p *Piece, u units.System) Finding {
	w := s.worst
	f := Finding{
		Line: s.first.line, LastLine: s.lastLine, WorstLine: w.line, TimeS: s.first.timeS, LastTimeS: s.lastTimeS,
		Piece: int(s.piece), Rule: w.mode.String(), Mode: w.mode, Level: LevelWarning,
		Margin: w.margin, HoldN: w.holdN, LoadN: w.loadN, Tool: w.tool, At: w.at, HasAt: true,
	}
	does := "is at risk of " + gerunds[w.mode]
	if w.margin < 1 {
		f.Level = LevelError
		does = "comes loose, " + verbs[w.mode]
	}
	f.Message = fmt.Sprintf("%s %s: %s, hold %s, load %s, tool %d", nameOf(p, u), does, f.marginText(),
		u.Force().Text(w.holdN), u.Force().Text(w.loadN), w.tool)
	switch {
	case w.line != s.first.line:
		f.Message += fmt.Sprintf("; worst at line %d, lasts to line %d", w.line, s.lastLine)
	case s.lastLine != s.first.line:
		f.Message += fmt.Sprintf("; lasts to line %d", s.lastLine)
	}
	return f
}

// marginText is the margin of a finding in words.
func (f *Finding) marginText() string { return "margin " + wording.Margin(f.Margin) }

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
		Message: message,
		Margin:  math.NaN(), HoldN: math.NaN(), LoadN: math.NaN(),
	}
}
