package hold

import (
	"cmp"
	"math"
	"slices"

	"staydown/hold/airflow"
	"staydown/hold/internal/toolpath"
	"staydown/hold/result"
	"staydown/sweep"
)

// maxReadings bounds the gauge readings of a result: the first ones and the end are kept.
const maxReadings = 2000

// gauge returns the readings of the vacuum gauge before the first cut, at each tool change and stop, when each piece is
// freed, and after the last move.
func (a *Analysis) gauge() []result.Reading {
	total := sweep.Progress(a.prog.Moves.Len())
	of := map[int]result.Range{} // by epoch
	var out []result.Reading
	add := func(event result.Event, line int, at sweep.Progress) {
		index := a.epochIndex(at)
		vacuum, known := of[index]
		if !known {
			vacuum = a.vacuumRange(index)
			of[index] = vacuum
		}
		out = append(out, result.Reading{
			Event: event, Line: line, TimeS: a.clock.TimeS(at),
			VacuumKPa: result.Range{Low: vacuum.Low / kilo, Likely: vacuum.Likely / kilo, High: vacuum.High / kilo},
		})
	}
	for i := range a.rec.Pieces {
		// Pieces freed at the same moment share one reading.
		if p := &a.rec.Pieces[i]; p.ComesFree() &&
			(i == 0 || p.Freed != a.rec.Pieces[i-1].Freed) {
			add(result.EventFreed, a.clock.LineOf(p.Freed), p.Freed)
		}
	}
	for _, p := range toolpath.Pauses(a.prog) {
		event := result.EventTool
		if p.Stop {
			event = result.EventStop
		}
		add(event, p.Line, sweep.Progress(p.Move))
	}
	slices.SortStableFunc(out, func(r, s result.Reading) int { return cmp.Compare(r.TimeS, s.TimeS) })
	out = out[:min(len(out), maxReadings-2)]
	add(result.EventStart, a.intervals[0].Line, 0)
	out = slices.Insert(out[:len(out)-1], 0, out[len(out)-1])
	add(result.EventEnd, a.clock.LineOf(total), total)
	return out
}

// leaks tells where air gets in at the moment of least vacuum.
func (a *Analysis) leaks() result.Leaks {
	state := a.weakest().state
	ways := state.WaysM3h
	return result.Leaks{
		Bare: ways[airflow.Bare], Kerfs: math.Max(0, ways[airflow.Kerfs]), Holes: ways[airflow.Holes],
		Rim: ways[airflow.Rim], Work: ways[airflow.Work],
		LayerRim: ways[airflow.LayerRim], Gaskets: ways[airflow.Gaskets], Hoses: state.HosesM3h,
	}
}
