package hold

import (
	"math"
	"slices"
	"sort"

	"github.com/paulmach/orb"

	"staydown/hold/internal/toolpath"
	"staydown/hold/result"
	"staydown/sweep"
)

// maxSamples bounds the timeline of a result. Between samples the least margin is kept, so nothing is lost of it.
const maxSamples = 2000

// sampleTimes are the ends of all epochs and, unless only those are asked for, those of all blocks that move while they
// are few, and even times between.
func (a *Analysis) sampleTimes() []float64 {
	total := a.clock.StartS(a.prog.Moves.Len())
	var times []float64
	for i := range a.air {
		times = append(times, a.clock.TimeS(a.air[i].until))
	}
	if a.options.OnlyEnds {
		return slices.Compact(times)
	}
	if ends := a.blockEnds(maxSamples / 2); len(times)+len(ends) <= maxSamples {
		times = append(times, ends...)
	}
	if even := maxSamples - len(times); even > 0 && total > 0 {
		for i := 0; i <= even; i++ {
			times = append(times, total*float64(i)/float64(even))
		}
	}
	slices.Sort(times)
	return slices.Compact(times)
}

// blockEnds are the times at which blocks that move end; nil if there are more than most.
func (a *Analysis) blockEnds(most int) []float64 {
	var out []float64
	for i := range a.prog.Moves.Len() {
		if i+1 < a.prog.Moves.Len() && a.prog.Moves.At(i+1).Line == a.prog.Moves.At(i).Line {
			continue
		}
		if len(out) == most {
			return nil
		}
		out = append(out, a.clock.StartS(i+1))
	}
	return out
}

// timeline samples the table at those times.
func (a *Analysis) timeline() []result.Sample {
	out := make([]result.Sample, 0, len(a.marks.times))
	epoch, done, move := 0, 0, 0
	for i, t := range a.marks.times {
		for epoch+1 < len(a.air) && a.clock.TimeS(a.air[epoch].until) < t {
			epoch++
		}
		for done+1 < len(a.air) && a.clock.TimeS(a.air[done+1].until) <= t {
			done++
		}
		// Vacuum and leak are those reckoned with: of the epoch under way, whose exposure counts from its start. Areas
		// and pieces are those of the last epoch that is over.
		e, past := &a.air[epoch], &a.air[done]
		move += sort.Search(a.prog.Moves.Len()-move, func(i int) bool { return a.clock.StartS(move+i+1) >= t })
		s := result.Sample{
			TimeS: t, HeldAreaMM2: past.held.AllMM2, StockHeldMM2: past.held.StockMM2, FreedPieces: past.held.Freed,
			VacuumKPa: a.vacuumPa(epoch) / kilo, LeakM3h: e.state.LeakM3h, LeastMargin: a.marks.least[i],
			LeastLow: a.marks.least[i], LeastHigh: a.marks.least[i],
		}
		if piece := a.marks.piece[i]; piece > 0 {
			d := a.rangeOf(piece)
			s.LeastLow, s.LeastHigh = s.LeastMargin*d.lowShare(), s.LeastMargin*d.highShare()
			s.LeastMargin *= d.learned
		}
		if move < a.prog.Moves.Len() {
			s.Line, s.Tool = int(a.prog.Moves.At(move).Line), int(a.prog.Moves.At(move).Tool)
		} else if n := a.prog.Moves.Len(); n > 0 {
			s.Line, s.Tool = int(a.prog.Moves.At(n-1).Line), int(a.prog.Moves.At(n-1).Tool)
		}
		out = append(out, s)
	}
	return out
}

// marks are the least margins at the samples of the timeline: of the steps under way there and of those that ended
// since the sample before.
type marks struct {
	times, least []float64
	piece        []int32 // with that margin; 0: none
}

func newMarks(times []float64) marks {
	m := marks{times: times, least: make([]float64, len(times)), piece: make([]int32, len(times))}
	for i := range m.least {
		m.least[i] = math.Inf(1)
	}
	return m
}

// note takes in the trial of one of the pieces that a step touches; the step ends at toS.
func (m *marks) note(t trial, toS float64) {
	if len(t.falls) == 0 {
		m.enter(t.piece, fall{t.timeS, t.margin}, toS)
	}
	for _, f := range t.falls {
		m.enter(t.piece, f, toS)
	}
}

// enter takes in that the margin of a piece has fallen up to a time.
func (m *marks) enter(piece int32, f fall, toS float64) {
	from, _ := slices.BinarySearch(m.times, f.fromS)
	to, _ := slices.BinarySearch(m.times, toS)
	for i := from; i < min(to+1, len(m.times)); i++ {
		if f.margin < m.least[i] {
			m.least[i], m.piece[i] = f.margin, piece
		}
	}
}

// toolUses lists the stretches of the program with one tool.
func (a *Analysis) toolUses() []result.ToolUse {
	var out []result.ToolUse
	for i := range a.prog.Moves.Len() {
		m := a.prog.Moves.At(i)
		n := len(out)
		if n > 0 && out[n-1].Tool == int(m.Tool) {
			continue
		}
		at := a.clock.StartS(i)
		if n > 0 {
			out[n-1].ToS = at
		}
		out = append(out, result.ToolUse{Tool: int(m.Tool), Line: int(m.Line), FromS: at})
	}
	if n := len(out); n > 0 {
		out[n-1].ToS = a.clock.StartS(a.prog.Moves.Len())
	}
	return out
}

// maxEntries bounds the entry points that a result carries.
const maxEntries = 5000

// entries lists the places where a tool goes into material from above.
func (a *Analysis) entries() []result.Entry {
	var out []result.Entry
	last := int32(-1)
	for i := range a.rec.Steps.Len() {
		s := a.rec.Steps.At(i)
		if s.Flags&sweep.Plunge == 0 || s.Flags&sweep.Retract != 0 || s.Move == last {
			continue
		}
		last = s.Move
		m := a.prog.Moves.At(int(s.Move))
		p := toolpath.Along(&m, float64(s.From))
		out = append(out, result.Entry{At: orb.Point{p.At.X, p.At.Y}, Tool: int(m.Tool), Line: int(m.Line),
			TimeS: a.clock.TimeS(s.Begin())})
		if len(out) == maxEntries {
			break
		}
	}
	return out
}
