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
	fromS     float64 // from when on the margin is too low
	lastTimeS float64
}

// lowTrial is what is kept of a trial: how low is too low is known only with the ranges, at the end.
type lowTrial struct {
	margin float64
	step   int32
	apart  bool // another block has touched the piece since the one before, without a low trial
}

// lowTrials collects the trials with a margin below the kept one, piece by piece.
type lowTrials struct {
	kept  float64
	of    map[int32][]lowTrial
	since map[int32]*between // by piece, since its last low trial
}

func newLowTrials(kept float64) *lowTrials {
	return &lowTrials{kept: kept, of: map[int32][]lowTrial{}, since: map[int32]*between{}}
}

// add takes the next trial of a piece.
func (l *lowTrials) add(t trial) {
	since := l.since[t.piece]
	if since == nil {
		since = &between{}
		l.since[t.piece] = since
	}
	if t.margin >= l.kept {
		since.add(t.line)
		return
	}
	l.of[t.piece] = append(l.of[t.piece], lowTrial{t.margin, int32(t.step), since.end(t.line)})
}

// between is what keeps a margin between two trials that do not: a part of a block with one of them does not count.
type between struct {
	after   int  // line of the first of the two
	line    int  // of a block that keeps the margin; 0: none yet
	another bool // there are more of them
}

func (b *between) add(line int) {
	switch {
	case line == b.after || line == b.line:
	case b.line == 0:
		b.line = line
	default:
		b.another = true
	}
}

// end tells whether a block lies between the first trial and the second, and begins anew after that.
func (b *between) end(line int) bool {
	apart := b.another || b.line != 0 && b.line != line
	*b = between{after: line}
	return apart
}

// run is a stretch of which only the steps are known.
type run struct {
	first, worst, last lowTrial
}

// add joins what follows.
func (r *run) add(next run) {
	if r.last = next.last; next.worst.margin < r.worst.margin {
		r.worst = next.worst
	}
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

// runs joins the blocks in which a piece has trials below a margin, as long as none that keeps it lies between; below
// the limit it moves. A block has one finding per piece: a piece that is loose somewhere in the block is loose in all
// of it.
func (a *Analysis) runs(trials []lowTrial, margin, limit float64) []run {
	var out []run
	for _, block := range a.lowBlocks(trials, margin) {
		if n := len(out) - 1; n >= 0 && !block.first.apart &&
			(out[n].worst.margin < limit) == (block.worst.margin < limit) {
			out[n].add(block)
			continue
		}
		out = append(out, block)
	}
	return out
}

// lowBlocks joins the trials below a margin block by block.
func (a *Analysis) lowBlocks(trials []lowTrial, margin float64) []run {
	var out []run
	line := func(t lowTrial) int { return int(a.prog.Moves.At(int(a.rec.Steps.At(int(t.step)).Move)).Line) }
	var since between
	for _, t := range trials {
		since.another = since.another || t.apart
		if t.margin >= margin {
			since.add(line(t))
			continue
		}
		t.apart = since.end(line(t))
		if n := len(out) - 1; n >= 0 && line(out[n].last) == line(t) {
			out[n].add(run{t, t, t})
			continue
		}
		out = append(out, run{t, t, t})
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
	s.lastLine, s.lastTimeS = int(a.prog.Moves.At(int(last.Move)).Line), a.clock.TimeS(last.End())
	low := a.required(piece)
	if limit := a.limit(piece); s.worst.margin < limit {
		low = limit
	}
	s.fromS = s.first.belowFromS(low)
	return s, nil
}

// again tries a piece in a step once more.
func (a *Analysis) again(piece int32, step int) (found trial, err error) {
	index := sort.Search(len(a.air)-1, func(i int) bool { return step < a.air[i].lastStep })
	state := a.epochState(index, a.ownChuck(index), change{})
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
		Line: s.first.line, LastLine: s.lastLine, WorstLine: w.line, TimeS: s.fromS, LastTimeS: s.lastTimeS,
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
