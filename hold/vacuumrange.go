package hold

import (
	"errors"
	"math"

	"staydown/hold/doubt"
	"staydown/hold/result"
	"staydown/sweep/parallel"
)

// learnVacuum finds the vacuum of each epoch by the shop's records, where there are any.
func (a *Analysis) learnVacuum(r *ranges) error {
	if r.posterior == nil {
		return nil
	}
	r.vacuum = make([]result.Range, len(a.air))
	errs := make([]error, len(a.air))
	parallel.For(a.workers, len(a.air), func(_, i int) { r.vacuum[i], errs[i] = a.learnedVacuum(r, i) })
	return errors.Join(errs...)
}

// learnedVacuum is the vacuum of an epoch by the posterior, Pa below ambient: that of a sum of the changes that each
// input makes.
func (a *Analysis) learnedVacuum(r *ranges, index int) (result.Range, error) {
	changes, err := r.vacuumChangesPa(index)
	if err != nil {
		return result.Range{}, err
	}
	sum := func(sample *doubt.Sample) []float64 {
		out := make([]float64, doubt.Draws)
		for k, end := range changes {
			response := doubt.Straight(end[0], end[1])
			if end[0] == 0 && end[1] == 0 {
				continue
			}
			for i, score := range sample.Scores(k) {
				out[i] += response.Of(score)
			}
		}
		return out
	}
	likely := a.air[index].state.VacuumPa()
	before := r.sample.Quantiles(sum(r.sample), 0.05, 0.5, 0.95)
	points := r.posterior.All.Quantiles(sum(r.posterior.All), 0.05, 0.5, 0.95)
	// A sum of skew parts is not 0 in its middle, with the likely job; the less so the less doubt is left.
	off := 0.0
	if before[2] > before[0] {
		off = before[1] * math.Min(1, (points[2]-points[0])/(before[2]-before[0]))
	}
	bounded := func(pa float64) float64 { return math.Min(math.Max(0, pa), a.job.AmbientPa) }
	out := result.Range{Likely: bounded(likely + points[1] - off)}
	out.Low = math.Min(out.Likely, bounded(likely+points[0]))
	out.High = math.Max(out.Likely, bounded(likely+points[2]))
	return out, nil
}

// vacuumChangesPa are the changes of the vacuum of an epoch at both ends of each of the job's inputs.
func (r *ranges) vacuumChangesPa(index int) ([][2]float64, error) {
	likely := r.likely.of.air[index].state.VacuumPa()
	out := make([][2]float64, len(r.ends))
	for k, ends := range r.ends {
		for side, end := range ends {
			vacuum, err := end.vacuumPa(index)
			if err != nil {
				return nil, err
			}
			out[k][side] = vacuum - likely
		}
	}
	return out, nil
}

// vacuumPa is the likely vacuum of an epoch by what the shop has seen, below ambient.
func (a *Analysis) vacuumPa(index int) float64 {
	if a.ranges == nil || a.ranges.vacuum == nil {
		return a.air[index].state.VacuumPa()
	}
	return a.ranges.vacuum[index].Likely
}

// vacuumRange is the vacuum of an epoch, Pa below ambient. Without records its ends are those of a sum of normal parts,
// one for each input.
func (a *Analysis) vacuumRange(index int) result.Range {
	if a.ranges.vacuum != nil {
		return a.ranges.vacuum[index]
	}
	likely := a.vacuumPa(index)
	changes, err := a.ranges.vacuumChangesPa(index)
	if err != nil {
		return result.Range{Low: 0, Likely: likely, High: a.job.AmbientPa} // nothing is known of its ends
	}
	var down, up float64
	for _, end := range changes {
		down = math.Hypot(down, math.Min(0, math.Min(end[0], end[1])))
		up = math.Hypot(up, math.Max(0, math.Max(end[0], end[1])))
	}
	return result.Range{Low: math.Max(0, likely-down), Likely: likely, High: math.Min(a.job.AmbientPa, likely+up)}
}
