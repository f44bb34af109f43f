package hold

import (
	"fmt"
	"reflect"
	"slices"
	"sync"

	"staydown/hold/airflow"
	"staydown/hold/internal/machine"
	"staydown/hold/job"
	"staydown/sweep"
)

// Shared keeps what several checks have in common, so that it is computed once: the air under the stock, which depends
// neither on the pump nor on the ambient pressure, and is the same for programs that cut through at the same moments in
// the same places. The zero value is usable, by several checks at once.
type Shared struct {
	mu   sync.Mutex
	runs []*airRun
}

// airInput is all of a job and its epochs that the air depends on besides the record. The model of the air is made from
// it and stands in for the job, so that those with the same one have the same air.
type airInput struct {
	job    job.Job // stock, layer and zones, nothing else
	epochs []airEpoch
}

// airEpoch is what is asked of the air at the end of an epoch.
type airEpoch struct {
	until   sweep.Progress
	pieces  []int32 // whose patches are wanted
	open    []bool  // zones
	picture bool
}

// airStep is the air at the end of an epoch.
type airStep struct {
	leak    airflow.Leak
	patches map[int32][]airflow.Patch
	held    heldAreas
	picture *wRaster // nil where none was asked for
	// At the end of the last epoch.
	breaches []airflow.Breach
	pieces   map[int]heldRange // by id
}

// heldAreas sums up what pieces hold at one moment.
type heldAreas struct {
	allMM2   float64
	stockMM2 float64 // of that, pieces that were never freed
	freed    int     // pieces freed by then
}

// heldRange is the held area of a piece over time: of the stock at any time, of a freed piece after it is freed, of a
// piece that hangs to the end at the end.
type heldRange struct{ firstMM2, leastMM2 float64 }

// airRun computes the air epoch by epoch, as far as it is asked for.
type airRun struct {
	in      airInput
	rec     *sweep.Record
	mu      sync.Mutex
	models  map[string]*airflow.Model // by open zones
	assumed []string                  // by the model of the zones that the job says are open
	held    map[int]heldRange
	steps   []airStep
	err     error // that ended it
}

// airRun finds the run of the analysis, or begins one.
func (s *Shared) airRun(in airInput, rec *sweep.Record) *airRun {
	fresh := &airRun{in: in, rec: rec, held: map[int]heldRange{}}
	if s == nil {
		return fresh
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	for _, r := range s.runs {
		if (r.rec == rec || !in.job.Stock.Porous() && sameCuts(r.rec, rec)) && reflect.DeepEqual(r.in, in) {
			return r
		}
	}
	if len(s.runs) == mostRuns {
		s.runs = slices.Delete(s.runs, 0, 1)
	}
	s.runs = append(s.runs, fresh)
	return fresh
}

// mostRuns bounds the runs that are kept: each keeps its record.
const mostRuns = 32

// airInput lists what the analysis asks of the air.
func (a *Analysis) airInput(pictures map[int]bool) airInput {
	in := airInput{job: job.Job{Stock: a.job.Stock, Layer: a.job.Layer, Zones: a.job.Zones, Units: a.units}}
	var all []int32
	for i := range a.rec.Pieces {
		all = append(all, int32(a.rec.Pieces[i].ID))
	}
	for i := range a.air {
		e := &a.air[i]
		open, _ := a.opened(e)
		pieces := e.pieces
		if a.options.FewStates {
			pieces = all // so that it does not matter from when on one hangs
		}
		in.epochs = append(in.epochs, airEpoch{e.until, pieces, open, pictures[i]})
	}
	return in
}

// step gives the air at the end of an epoch.
func (r *airRun) step(i int) (*airStep, error) {
	r.mu.Lock()
	defer r.mu.Unlock()
	for len(r.steps) <= i && r.err == nil {
		var s airStep
		if s, r.err = r.next(len(r.steps)); r.err == nil {
			r.steps = append(r.steps, s)
		}
	}
	if r.err != nil {
		return nil, r.err
	}
	return &r.steps[i], nil
}

// next computes an epoch behind all those before it.
func (r *airRun) next(i int) (s airStep, err error) {
	asked := &r.in.epochs[i]
	model, err := r.model(asked.open)
	if err != nil {
		return s, err
	}
	if s.leak, err = model.Advance(asked.until); err != nil {
		return s, fmt.Errorf("the air under the stock cannot be computed: %w", err)
	}
	s.patches = make(map[int32][]airflow.Patch, len(asked.pieces))
	for _, id := range asked.pieces {
		if p := &r.rec.Pieces[id-1]; p.HangsAt(asked.until) {
			s.patches[id] = model.PatchesWithin(p.Outline)
		} else {
			s.patches[id] = model.Patches(id)
		}
	}
	for k := range r.rec.Pieces {
		p := &r.rec.Pieces[k]
		if p.Freed > asked.until {
			continue
		}
		area := model.HeldAreaMM2(int32(p.ID))
		r.noteHeld(p.ID, area)
		s.held.allMM2 += area
		if p.Freed == 0 {
			s.held.stockMM2 += area
		} else {
			s.held.freed++
		}
	}
	if asked.picture {
		s.picture = coarseW(model)
	}
	if i < len(r.in.epochs)-1 {
		return s, nil
	}
	s.breaches = model.Breached()
	for _, k := range r.rec.Hanging {
		area := 0.0
		for _, q := range model.PatchesWithin(r.rec.Pieces[k].Outline) {
			area += q.AreaMM2
		}
		r.noteHeld(r.rec.Pieces[k].ID, area)
	}
	s.pieces = r.held
	r.models = nil // they are large, and there is nothing to come
	return s, nil
}

func (r *airRun) noteHeld(id int, mm2 float64) {
	old, ok := r.held[id]
	if !ok {
		old = heldRange{mm2, mm2}
	}
	old.leastMM2 = min(old.leastMM2, mm2)
	r.held[id] = old
}

// model is that of the air with these zones open. It is made when it is first asked for; the first one made is that of
// the zones that the job says are open.
func (r *airRun) model(open []bool) (*airflow.Model, error) {
	if r.models == nil {
		r.models = map[string]*airflow.Model{}
		first, err := r.model(machine.OpenZones(&r.in.job))
		if err != nil {
			return nil, err
		}
		r.assumed = first.Assumed()
	}
	name := fmt.Sprint(open)
	if r.models[name] == nil {
		j := r.in.job
		j.Zones = slices.Clone(j.Zones)
		for i := range j.Zones {
			j.Zones[i].Open = open[i]
		}
		m, err := airflow.New(&j, r.rec, airflow.Options{Units: j.Units})
		if err != nil {
			return nil, fmt.Errorf("the air under the stock cannot be computed: %w", err)
		}
		r.models[name] = m
	}
	return r.models[name], nil
}
