package hold

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"sort"
	"staydown/hold/result"
	"staydown/hold/wording"
	"staydown/parse/units"

	"staydown/hold/contact"
)

// stretch is a run of trials on one piece, block after block, all below the required margin and on the same side of 1.
type stretch struct {
	piece     int32
	first     trial
	worst     trial
	lastStep  int
	lastLine  int
	lastTimeS float64
}

// lowTrial is what is kept of a trial: how low is too low is known only with the ranges, at the end.
type lowTrial struct {
	margin float64
	step   int32
	apart  bool // steps without a low trial have touched the piece since the one before
}

// lowTrials collects the trials with a margin below the kept one, piece by piece.
type lowTrials struct {
	kept  float64
	of    map[int32][]lowTrial
	apart map[int32]bool // pieces touched since by a step without
}

func newLowTrials(kept float64) *lowTrials {
	return &lowTrials{kept: kept, of: map[int32][]lowTrial{}, apart: map[int32]bool{}}
}

// add takes the next trial of a piece.
func (l *lowTrials) add(t trial) {
	if t.margin >= l.kept {
		l.apart[t.piece] = true
		return
	}
	l.of[t.piece] = append(l.of[t.piece], lowTrial{t.margin, int32(t.step), l.apart[t.piece]})
	delete(l.apart, t.piece)
}

// run is a stretch of which only the steps are known.
type run struct {
	first, worst, last lowTrial
}

// stretches joins the trials in which a piece is below its required margin, in the order of their first steps.
func (a *Analysis) stretches(low *lowTrials) ([]*stretch, error) {
	var out []*stretch
	for piece, trials := range low.of {
		for _, r := range a.runs(trials, a.required(piece), a.limit(piece)) {
			s, err := a.stretchOf(piece, r)
			if err != nil {
				return nil, err
			}
			out = append(out, s)
		}
	}
	// A low end below the one asked for is told even where no likely margin is low.
	for id := range a.ranges.pieces {
		p := &a.ranges.pieces[id]
		if len(p.steps) == 0 || p.low >= a.asked || slices.ContainsFunc(out,
			func(s *stretch) bool { return s.piece == int32(id) }) {
			continue
		}
		least := lowTrial{margin: p.steps[0].margin, step: int32(p.steps[0].step)}
		s, err := a.stretchOf(int32(id), run{least, least, least})
		if err != nil {
			return nil, err
		}
		out = append(out, s)
	}
	slices.SortFunc(out, func(a, b *stretch) int {
		return cmp.Or(cmp.Compare(a.first.step, b.first.step), cmp.Compare(a.piece, b.piece))
	})
	return out, nil
}

// runs joins the trials of a piece below a margin; below the limit it moves.
func (a *Analysis) runs(trials []lowTrial, margin, limit float64) []run {
	var out []run
	line := func(t lowTrial) int { return int(a.prog.Moves.At(int(a.rec.Steps.At(int(t.step)).Move)).Line) }
	open, apart := false, false // apart: a trial of another block has kept the margin since
	for _, t := range trials {
		n := len(out) - 1
		apart = apart || t.apart
		if t.margin >= margin {
			apart = apart || open && line(t) != line(out[n].last)
			continue
		}
		if open {
			r := &out[n]
			open = !apart || line(t) == line(r.last)
			if open && (r.worst.margin < limit) != (t.margin < limit) {
				// A block has one finding per piece: a piece that is loose somewhere in the block is loose in all of
				// it.
				open = r.worst.margin < limit && line(t) == line(r.last) || t.margin < limit && line(t) == line(r.first)
			}
		}
		if apart = false; !open {
			out, open = append(out, run{t, t, t}), true
			continue
		}
		r := &out[n]
		if r.last = t; t.margin < r.worst.margin {
			r.worst = t
		}
	}
	return out
}

// stretchOf works out the trials that a stretch is told by.
func (a *Analysis) stretchOf(piece int32, r run) (*stretch, error) {
	s := &stretch{piece: piece, lastStep: int(r.last.step)}
	var err error
	if s.worst, err = a.again(piece, int(r.worst.step)); err != nil {
		return nil, err
	}
	if s.first = s.worst; r.first.step != r.worst.step {
		if s.first, err = a.again(piece, int(r.first.step)); err != nil {
			return nil, err
		}
	}
	last := a.rec.Steps.At(s.lastStep)
	s.lastLine, s.lastTimeS = int(a.prog.Moves.At(int(last.Move)).Line), a.clock.TimeS(last.Begin())
	return s, nil
}

// again tries a piece in a step once more.
func (a *Analysis) again(piece int32, step int) (found trial, err error) {
	index := sort.Search(len(a.air)-1, func(i int) bool { return step < a.air[i].lastStep })
	state := a.epochState(index, a.ownChuckPa(index), change{})
	if state.bodies = a.air[index].bodies; state.bodies == nil {
		state.bodies = map[bodyKey]*contact.Support{}
	}
	if err = state.trialsOf(step, []int32{piece}, func(t trial) { found = t }); err != nil {
		err = fmt.Errorf("the margins cannot be computed: %w", err)
	}
	return found, err
}

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
