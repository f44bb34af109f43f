package hold

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"

	"github.com/pelletier/go-toml/v2"

	"staydown/hold/doubt"
	"staydown/hold/job"
	"staydown/hold/records"
	"staydown/hold/result"
	"staydown/hold/wording"
	"staydown/sweep"
)

// recordStatements say what records are counted, and where they contradict what the job says.
func (a *Analysis) recordStatements() []string {
	l := a.ranges.posterior
	if l == nil {
		return nil
	}
	out := []string{fmt.Sprintf("margins are those after %s of this shop (%s)",
		wording.Count(l.Records, "record", "records"), records.Name)}
	if l.Contradicted {
		out = append(out, "the records contradict the ranges of the job, or each other: the margins after them are "+
			"rough; look at them with staydown record --list, and measure what they question")
	}
	return out
}

// Observation is what was seen at the machine.
type Observation struct {
	Outcome   records.Outcome
	Piece     int     // that moved
	Line      int     // at which it moved, or the gauge was read; 0: not known, or before the start
	VacuumKPa float64 // that the gauge showed, below ambient
	Date      toml.LocalDate
}

// leastInteraction is the least interaction that a record keeps, of the logarithm of a margin.
const leastInteraction = 0.01

// recordedPieces is how many pieces a record keeps of a program that held: those nearest to moving.
const recordedPieces = 5

// ErrObservation says that what was seen does not fit the program.
var ErrObservation = errors.New("this does not fit the program")

// Record keeps what was seen together with what later checks need of the program. It fails with ErrObservation where
// the program has no such piece or line, or was not fully read.
func (a *Analysis) Record(seen Observation) (records.Record, error) {
	r := records.Record{
		Date: seen.Date, Program: a.prog.Name, SHA256: a.prog.SHA256, Outcome: seen.Outcome, Piece: seen.Piece,
		Line: seen.Line, Material: a.job.Stock.Material.Name, Layer: a.Result.Job.Layer, VacuumKPa: seen.VacuumKPa,
	}
	for _, use := range a.Result.Tools {
		if use.Tool > 0 && !slices.Contains(r.Tools, use.Tool) {
			r.Tools = append(r.Tools, use.Tool)
		}
	}
	for _, in := range a.ranges.inputs {
		if records.Lasting(in.Scope) {
			r.Inputs = append(r.Inputs, records.From(in))
		}
	}
	if !result.FullyRead(a.Result.Findings) {
		return r, fmt.Errorf("%w: it was not fully read; mend that first", ErrObservation)
	}
	var err error
	switch seen.Outcome {
	case records.Held:
		r.Chance = a.Result.Chance
		for _, id := range a.nearest(recordedPieces) {
			r.Steps = append(r.Steps, a.recorded(id, a.ranges.pieces[id].steps)...)
		}
	case records.Moved:
		r.Steps, r.Chance, err = a.moved(seen)
	case records.Gauge:
		r.Steps, err = a.gaugeStep(seen)
	}
	if err == nil && len(r.Steps) == 0 {
		err = fmt.Errorf("%w: nothing in it loads a piece", ErrObservation)
	}
	return r, err
}

// With checks the same program again, with other records and without remedies. Reading, sweep and job stay.
func (a *Analysis) With(known []records.Record) (*Analysis, error) {
	opt := a.options
	opt.Records, opt.NoRemedies = known, true
	return Check(a.prog, a.rec, a.job, opt)
}

// nearest lists the pieces that are loaded, those with the lowest low ends, at most so many.
func (a *Analysis) nearest(most int) []int {
	var out []int
	for id := range a.ranges.pieces {
		if len(a.ranges.pieces[id].steps) > 0 {
			out = append(out, id)
		}
	}
	low := func(id int) float64 { return a.ranges.pieces[id].low }
	slices.SortStableFunc(out, func(i, k int) int { return cmp.Compare(low(i), low(k)) })
	return out[:min(len(out), most)]
}

// moved gives the steps at which a piece moved: those of the line, or, where the line is not known, its critical ones.
func (a *Analysis) moved(seen Observation) ([]records.Step, float64, error) {
	if seen.Piece < 1 || seen.Piece > len(a.rec.Pieces) {
		return nil, 0, fmt.Errorf("%w: it has pieces 1 to %d, not %d", ErrObservation, len(a.rec.Pieces), seen.Piece)
	}
	p := &a.ranges.pieces[seen.Piece]
	if len(p.steps) == 0 {
		return nil, 0, fmt.Errorf("%w: nothing in it loads piece %d", ErrObservation, seen.Piece)
	}
	if seen.Line == 0 {
		return a.recorded(seen.Piece, p.steps), p.chance, nil
	}
	trials, _, err := a.worstOn(a.stepsOn([]int{seen.Line})[seen.Line])
	if err != nil {
		return nil, 0, err
	}
	worst, ok := trials[int32(seen.Piece)]
	if !ok {
		return nil, 0, fmt.Errorf("%w: nothing in line %d loads piece %d", ErrObservation, seen.Line, seen.Piece)
	}
	steps := []response{a.ranges.respond(a, worst)}
	_, chance := a.ranges.points(a.ranges.logs(a.ranges.drawn(), seen.Piece, &pieceRange{steps: steps}))
	return a.recorded(seen.Piece, steps), chance, nil
}

// recorded turns steps of a piece into those of a record.
func (a *Analysis) recorded(piece int, steps []response) []records.Step {
	var out []records.Step
	for _, t := range steps {
		s := records.Step{Piece: piece, Margin: math.Exp(logOf(t.margin)), Changes: map[string][]float64{}}
		variance := 0.0
		for k := range t.to {
			response, in := &t.to[k], &a.ranges.inputs[k]
			switch {
			case response.None():
			case records.Lasting(in.Scope):
				s.Changes[in.Name] = response[:]
			default:
				variance += response.Variance()
			}
		}
		s.Spread = math.Sqrt(variance)
		for side := range t.interactions {
			if x := a.recordedInteraction(&t.interactions[side]); len(x.Scores) > 0 {
				s.Interactions = append(s.Interactions, x)
			}
		}
		out = append(out, s)
	}
	return out
}

// recordedInteraction is that of the inputs that a shop shares; those that are new in every job stay at their likely
// values.
func (a *Analysis) recordedInteraction(x *doubt.Interaction) records.Interaction {
	out := records.Interaction{Scores: map[string]float64{}, Log: x.Log}
	if math.Abs(x.Log) < leastInteraction {
		return out
	}
	for k, score := range x.Scores {
		if in := &a.ranges.inputs[k]; records.Lasting(in.Scope) && score != 0 {
			out.Scores[in.Name] = score
		}
	}
	return out
}

// gaugeStep is the moment of a gauge reading: the end of a block, or the start.
func (a *Analysis) gaugeStep(seen Observation) ([]records.Step, error) {
	index := 0
	if seen.Line > 0 {
		last := -1
		for i := range a.prog.Moves.Len() {
			if int(a.prog.Moves.At(i).Line) <= seen.Line {
				last = i
			}
		}
		if last < 0 || seen.Line > a.prog.Lines {
			return nil, fmt.Errorf("%w: nothing moves up to line %d", ErrObservation, seen.Line)
		}
		index = a.epochIndex(sweep.Progress(last + 1))
	}
	changes, err := a.ranges.vacuumChangesPa(index)
	if err != nil {
		return nil, err
	}
	likely := a.air[index].state.VacuumPa()
	s := records.Step{VacuumKPa: likely / kilo, Spread: job.GaugeErrorPa / doubt.Score95 / kilo,
		Changes: map[string][]float64{}}
	for k, end := range changes {
		in, response := &a.ranges.inputs[k], doubt.Straight(end[0]/kilo, end[1]/kilo)
		switch {
		case response.None():
		case records.Lasting(in.Scope):
			s.Changes[in.Name] = response[:]
		default:
			s.Spread = math.Sqrt(s.Spread*s.Spread + response.Variance())
		}
	}
	if len(s.Changes) == 0 {
		return nil, fmt.Errorf("%w: no doubtful input moves the vacuum there", ErrObservation)
	}
	return []records.Step{s}, nil
}
