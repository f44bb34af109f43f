package hold

import (
	"fmt"
	"math"
	"sort"

	"github.com/paulmach/orb"

	"staydown/hold/airflow"
	"staydown/hold/internal/toolpath"
	"staydown/hold/wording"
	"staydown/parse"
	"staydown/sweep"
)

const maxOrders = 3 // moments that are tried for one piece

// cutEarlier looks for a moment at which the vacuum was still enough, with the air that comes in by the piece's own
// kerf. Exposure only grows, so the vacuum falls from epoch to epoch: the last moment that may do is found by bisection
// without that kerf, and is then tried with it, and earlier ones after it.
func (p remedySearch) cutEarlier() string {
	first := p.runs[0].first.epoch
	if p.rim() == nil || first < 2 || !p.thorough || p.a.prog.MovedZ {
		return ""
	}
	own, ok := p.ownBlocks()
	if !ok {
		return ""
	}
	enough := func(chuck airflow.Chuck) bool {
		return p.cures(change{}, func(int) airflow.Chuck { return chuck })
	}
	before := largestIndex(1, first, func(index int) bool { return enough(p.a.ownChuck(index)) })
	for range maxOrders {
		if before < 1 {
			return ""
		}
		e := &p.a.air[before]
		if e.firstStep >= p.a.rec.Steps.Len() {
			return ""
		}
		place, ok := p.placeFor(own, int(p.a.rec.Steps.At(e.firstStep).Move))
		state, err := p.cutAfter(e.until)
		if ok && err == nil && enough(state.Chuck) && p.restHolds(before, first) {
			return fmt.Sprintf("cut piece %d (%s) before line %d, which keeps a vacuum of %s", p.piece.ID,
				wording.Lines(own.lines), place,
				p.a.units.Pressure().Down(state.VacuumPa()/kilo))
		}
		before /= 2
	}
	return ""
}

// moved is what another order moves: moves [first, last], all with one tool.
type moved struct {
	first, last int
	lines       wording.LineRange
}

// ownBlocks finds the moves that cut the rim of the piece, from the rapid that brings the tool there to the one that
// takes it away. ok is false when they are not by themselves: part of a longer cut, of a subprogram, or with several
// tools.
func (p remedySearch) ownBlocks() (moved, bool) {
	steps := p.rimSteps(math.Inf(1))
	if len(steps) == 0 {
		return moved{}, false
	}
	moves, topMM := &p.a.prog.Moves, p.a.rec.Stock.TopMM()
	out := moved{first: int(p.a.rec.Steps.At(steps[0]).Move), last: int(p.a.rec.Steps.At(steps[len(steps)-1]).Move)}
	for _, run := range p.runs {
		out.last = max(out.last, int(p.a.rec.Steps.At(run.lastStep).Move))
	}
	for out.first > 0 && moves.At(out.first).Start.Z < topMM {
		out.first--
	}
	rapidAbove := func(i int) bool {
		m := moves.At(i)
		return toolpath.RapidAbove(&m, topMM)
	}
	for out.first > 0 && rapidAbove(out.first-1) {
		out.first--
	}
	for out.last < moves.Len()-1 && moves.At(out.last).End.Z < topMM {
		out.last++
	}
	out.lines = wording.LineRange{First: int(moves.At(out.first).Line), Last: int(moves.At(out.last).Line)}
	for i := out.first; i <= out.last; i++ {
		m := moves.At(i)
		if int(m.Line) < out.lines.First || int(m.Line) > out.lines.Last || m.Sub != 0 ||
			m.Tool != moves.At(out.first).Tool {
			return out, false
		}
	}
	return out, p.alone(out)
}

// alone tells whether nothing else is cut through in the moves: every step that breaks through comes to the piece.
func (p remedySearch) alone(own moved) bool {
	reach := p.piece.Outline.Bound().Pad(p.a.job.Tools[p.worst.tool].DiameterMM)
	first := sort.Search(p.a.rec.Steps.Len(), func(k int) bool { return int(p.a.rec.Steps.At(k).Move) >= own.first })
	for k := first; k < p.a.rec.Steps.Len() && int(p.a.rec.Steps.At(k).Move) <= own.last; k++ {
		s := p.a.rec.Steps.At(k)
		m := p.a.prog.Moves.At(int(s.Move))
		if s.Flags&sweep.Breakthrough != 0 && !reach.Contains(orb.Point{m.End.X, m.End.Y}) {
			return false
		}
	}
	return true
}

// placeFor finds the line before which the moves may be put: at or before a move, where the same tool, at the same
// speed, is about to leave for another place above the stock. ok is false when there is none, or it is not before the
// moves themselves.
func (p remedySearch) placeFor(own moved, at int) (line int, ok bool) {
	moves, topMM := &p.a.prog.Moves, p.a.rec.Stock.TopMM()
	leaves := func(m parse.Move) bool {
		return toolpath.RapidAbove(&m, topMM) && (m.Start.X != m.End.X || m.Start.Y != m.End.Y)
	}
	for at > 0 && !leaves(moves.At(at)) {
		at--
	}
	if at == 0 || at >= own.first || moves.At(at).Sub != 0 {
		return 0, false
	}
	first := moves.At(own.first)
	for i := at; i < own.first; i++ {
		if m := moves.At(i); m.Tool != first.Tool || m.Spindle != first.Spindle || m.RPM != first.RPM {
			return 0, false
		}
	}
	return int(moves.At(at).Line), moves.At(at).Line != moves.At(at-1).Line && int(moves.At(at).Line) < own.lines.First
}

// restHolds tells whether all pieces that hold in epochs [from, to) hold with the vacuum at the end of them too, which
// is the least that the moved kerf can leave there.
func (p remedySearch) restHolds(from, to int) bool {
	last := p.worst.epoch
	for _, run := range p.runs {
		last = max(last, run.worst.epoch)
	}
	chuck := p.a.ownChuck(last)
	steps := 0
	for index := from; index < to; index++ {
		e := &p.a.air[index]
		if steps += e.lastStep - e.firstStep; steps > maxRemedySteps {
			return false
		}
		now, then := p.a.epochState(index, p.a.ownChuck(index), change{}), p.a.epochState(index, chuck, change{})
		for step := e.firstStep; step < e.lastStep; step++ {
			missed, _, err := then.misses(step, p.a.touchedIn(step), p.a.required)
			if err != nil {
				return false
			}
			if len(missed) == 0 {
				continue
			}
			if before, _, err := now.misses(step, missed, p.a.required); err != nil || len(before) < len(missed) {
				return false
			}
		}
	}
	return true
}

// cutAfter gives the pump's working point at the end of the stretch if the piece were cut at an earlier moment: what
// was cut by then is open, and of the rest all that lies within a tool's diameter of the piece.
func (p remedySearch) cutAfter(moment sweep.Progress) (airflow.State, error) {
	near := p.piece.Outline.Bound().Pad(p.a.job.Tools[p.worst.tool].DiameterMM)
	until := p.a.air[p.worst.epoch].until
	for _, s := range p.steps {
		until = max(until, p.a.air[s.epoch].until)
	}
	leak, err := airflow.LeakWithout(p.a.job, p.a.rec, until, func(x, y float64, cut sweep.Progress) bool {
		return cut > moment && !near.Contains(orb.Point{x, y})
	})
	if err != nil {
		return airflow.State{}, err
	}
	return airflow.Operate(p.a.job.Pump, p.a.job.AmbientPa, leak)
}

// largestIndex gives the last index from low up to, but without, high for which ok holds, if it holds for low and for
// no index after one for which it does not; low-1 when it does not hold for low.
func largestIndex(low, high int, ok func(index int) bool) int {
	return low - 1 + sort.Search(high-low, func(i int) bool { return !ok(low + i) })
}
