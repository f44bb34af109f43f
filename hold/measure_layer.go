package hold

import (
	"cmp"
	"fmt"
	"path"
	"slices"

	"staydown/hold/airflow"
	"staydown/hold/internal/airrun"
	"staydown/hold/job"
	"staydown/hold/result"
	"staydown/hold/sweepjob"
)

// tryLayers proves other layers, those first under which the worst piece is held best. It adds the best of those that
// cure everything or, where nothing does, leave less to do than any other action.
func (s *actionSearch) tryLayers(order int) {
	if s.a.options.OtherLayers == nil || s.a.job.Layer == nil || s.a.noVacuum || len(s.shapes) == 0 ||
		s.cures() >= result.ShownActions {
		return
	}
	for _, other := range s.betterLayers() {
		p, ok := s.prove(order, s.a.layerText(other), func(d *draft) { d.relay(other.Job) })
		if !ok {
			return
		}
		p.What = fmt.Sprintf("%s: the least vacuum is then %s, now %s", p.What,
			s.a.units.Pressure().Text(p.vacuumKPa),
			s.a.units.Pressure().Text(s.program.weakest().state.VacuumPa()/kilo))
		if p.cure || len(s.actions) == 0 || !s.cured() && p.compare(s.actions[0]) < 0 {
			s.add(p.proven)
		}
		if p.cure {
			return
		}
	}
}

// nearlyEnough is the share of the required margin that a layer must promise to be run where something else cures. The
// promise takes the margin to grow with the grip, which where a piece tips is not quite so.
const nearlyEnough = 0.7

// betterLayers are the layers under which the worst piece is held better than now at the moment when it is the worst
// off, the best first: another one cannot cure it.
func (s *actionSearch) betterLayers() (out []job.OtherLayer) {
	worst := s.shapes[0]
	now, err := worst.gripN(s.a.job)
	if err != nil {
		return nil
	}
	grips := map[*job.Job]float64{}
	for _, other := range s.a.options.OtherLayers() {
		d := &draft{job: s.a.job.Varied(nil), prog: s.a.prog}
		d.relay(other.Job)
		grip, err := worst.gripN(d.job)
		if err != nil || grip <= now || s.cured() && worst.worst.margin*grip < nearlyEnough*s.a.asked*now {
			continue
		}
		grips[other.Job], out = grip, append(out, other)
	}
	slices.SortStableFunc(out, func(x, y job.OtherLayer) int { return cmp.Compare(grips[y.Job], grips[x.Job]) })
	return out
}

// gripN is what friction on the layer holds of a piece with another layer, N: friction times what presses it down, at
// the moment when it is the worst off.
func (p remedySearch) gripN(j *job.Job) (float64, error) {
	model, err := airflow.New(j, p.a.rec, airflow.Options{})
	if err != nil {
		return 0, err
	}
	until := p.a.air[p.worst.epoch].until
	leak, err := model.Advance(until)
	if err != nil {
		return 0, err
	}
	state, err := airflow.Operate(j.Pump, j.AmbientPa, leak)
	if err != nil {
		return 0, err
	}
	pressedMM2 := 0.0
	for _, patch := range airrun.PatchesOf(model, p.piece, until) {
		pressedMM2 += patch.W * patch.AreaMM2
	}
	return j.Layer.Friction.When(until > p.a.wetFrom) * state.VacuumPa() * pressedMM2 * 1e-6, nil
}

// relay lays another layer in place of that of the job: all that was said of the old sheet goes, and so does what its
// readings said of the hoses. The sweep is to be run again where it follows cuts into the layer.
func (d *draft) relay(other *job.Job) {
	depth := sweepjob.Options(d.prog, d.job).LayerMM
	d.job.Layer, d.job.Doubts, d.job.Assumed, d.job.Decisive = other.Layer, other.Doubts, other.Assumed, other.Decisive
	d.job.Pump.LeakM3h = other.Pump.LeakM3h
	d.motion = d.motion || depth != sweepjob.Options(d.prog, d.job).LayerMM
}

// layerText says which layer is laid in place of which.
func (a *Analysis) layerText(other job.OtherLayer) string {
	name := func(l *job.Layer, unnamed string) string { return cmp.Or(l.Name, unnamed) }
	from := ""
	if other.File != "" {
		from = " of " + path.Base(other.File)
	}
	return fmt.Sprintf("another layer: %s%s, %s thick, in place of %s, and Z touched off again",
		name(other.Job.Layer, "the sheet"), from, a.units.Length().Text(other.Job.Layer.ThicknessMM),
		name(a.job.Layer, "the present one"))
}
