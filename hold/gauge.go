package hold

import (
	"cmp"
	"slices"

	"staydown/sweep"
)

// maxReadings bounds the gauge readings of a result: the first ones and the end are kept.
const maxReadings = 2000

// gauge returns the readings of the vacuum gauge before the first cut, at each tool change and stop, when each piece is
// freed, and after the last move.
func (a *Analysis) gauge() []Reading {
	total := sweep.Progress(a.prog.Moves.Len())
	of := map[int]Range{} // by epoch
	var out []Reading
	add := func(event Event, line int, at sweep.Progress) {
		index := a.epochIndex(at)
		vacuum, known := of[index]
		if !known {
			vacuum = a.vacuumRange(index)
			of[index] = vacuum
		}
		out = append(out, Reading{
			Event: event, Line: line, TimeS: a.timeS(at),
			VacuumKPa: Range{Low: vacuum.Low / kilo, Likely: vacuum.Likely / kilo, High: vacuum.High / kilo},
		})
	}
	for i := range a.rec.Pieces {
		// Pieces freed at the same moment share one reading.
		if p := &a.rec.Pieces[i]; p.Freed > 0 && p.Freed < sweep.Never &&
			(i == 0 || p.Freed != a.rec.Pieces[i-1].Freed) {
			add(EventFreed, a.lineOf(p.Freed), p.Freed)
		}
	}
	for _, p := range a.pauses() {
		add(p.event, p.line, sweep.Progress(p.move))
	}
	slices.SortStableFunc(out, func(r, s Reading) int { return cmp.Compare(r.TimeS, s.TimeS) })
	out = out[:min(len(out), maxReadings-2)]
	add(EventStart, a.intervals[0].line, 0)
	out = slices.Insert(out[:len(out)-1], 0, out[len(out)-1])
	add(EventEnd, a.lineOf(total), total)
	return out
}
