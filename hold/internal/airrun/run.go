package airrun

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
	// SameSheet: the checks are of many programs that each cut little of the same sheet, whose air before anything is
	// cut is kept for all of them.
	SameSheet bool

	mu    sync.Mutex
	runs  []*Run
	uncut airflow.UncutSheets
}

// Input is all of a job and its epochs that the air depends on besides the record. The model of the air is made from
// it and stands in for the job, so that those with the same one have the same air.
type Input struct {
	Job    job.Job // stock, layer and zones, nothing else
	Epochs []Epoch
}

// Epoch is what is asked of the air at the end of an epoch.
type Epoch struct {
	Until   sweep.Progress
	Pieces  []int32 // whose patches are wanted
	Open    []bool  // zones
	Picture bool
}

// Step is the air at the end of an epoch.
type Step struct {
	Leak    airflow.Leak
	Patches map[int32][]airflow.Patch
	Held    HeldAreas
	Picture *Raster // nil where none was asked for
	// At the end of the last epoch.
	Breaches []airflow.Breach
	Pieces   map[int]HeldRange // by id
}

// HeldAreas sums up what pieces hold at one moment.
type HeldAreas struct {
	AllMM2   float64
	StockMM2 float64 // of that, pieces that were never freed
	Freed    int     // pieces freed by then
}

// HeldRange is the held area of a piece over time: of the stock at any time, of a freed piece after it is freed, of a
// piece that hangs to the end at the end.
type HeldRange struct{ FirstMM2, LeastMM2 float64 }

// Run computes the air epoch by epoch, as far as it is asked for.
type Run struct {
	in      Input
	rec     *sweep.Record
	uncut   *airflow.UncutSheets // nil: none is kept
	mu      sync.Mutex
	models  map[string]*airflow.Model // by open zones
	assumed []string                  // by the model of the zones that the job says are open
	held    map[int]HeldRange
	steps   []Step
	err     error // that ended it
	used    bool  // since Shared.DropUnused
}

// Run finds the run of an input over a record, or begins one.
func (s *Shared) Run(in Input, rec *sweep.Record) *Run {
	if !in.Job.Stock.Porous() {
		in.Job.Stock.Blanks = withoutTops(in.Job.Stock.Blanks)
	}
	fresh := &Run{in: in, rec: rec, held: map[int]HeldRange{}, used: true}
	if s == nil {
		return fresh
	}
	if s.SameSheet {
		fresh.uncut = &s.uncut
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	for k, r := range s.runs {
		if (r.rec == rec || !in.Job.Stock.Porous() && sameCuts(r.rec, rec, in.Epochs)) && reflect.DeepEqual(r.in, in) {
			r.used = true
			s.runs = append(slices.Delete(s.runs, k, k+1), r)
			return r
		}
	}
	if len(s.runs) == mostRuns {
		s.runs = slices.Delete(s.runs, 0, 1)
	}
	s.runs = append(s.runs, fresh)
	return fresh
}

// DropUnused forgets what no check has used since it was called last. No check may be under way.
func (s *Shared) DropUnused() {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.runs = slices.DeleteFunc(s.runs, func(r *Run) bool { return !r.used })
	for _, r := range s.runs {
		r.used = false
	}
}

// mostRuns bounds the runs that are kept, those used last: each keeps its record.
const mostRuns = 32

// Step gives the air at the end of an epoch.
func (r *Run) Step(i int) (*Step, error) {
	r.mu.Lock()
	defer r.mu.Unlock()
	for len(r.steps) <= i && r.err == nil {
		var s Step
		if s, r.err = r.next(len(r.steps)); r.err == nil {
			r.steps = append(r.steps, s)
		}
	}
	if r.err != nil {
		return nil, r.err
	}
	return &r.steps[i], nil
}

// Assumed is what the model of the zones that the job says are open takes for granted; it is known after the first
// step.
func (r *Run) Assumed() []string { return r.assumed }

// next computes an epoch behind all those before it.
func (r *Run) next(i int) (s Step, err error) {
	asked := &r.in.Epochs[i]
	model, err := r.model(asked.Open)
	if err != nil {
		return s, err
	}
	if s.Leak, err = model.Advance(asked.Until); err != nil {
		return s, fmt.Errorf("the air under the stock cannot be computed: %w", err)
	}
	s.Patches = make(map[int32][]airflow.Patch, len(asked.Pieces))
	for _, id := range asked.Pieces {
		s.Patches[id] = PatchesOf(model, &r.rec.Pieces[id-1], asked.Until)
	}
	for k := range r.rec.Pieces {
		p := &r.rec.Pieces[k]
		if p.Freed > asked.Until {
			continue
		}
		area := model.HeldAreaMM2(int32(p.ID))
		r.noteHeld(p.ID, area)
		s.Held.AllMM2 += area
		if p.Freed == 0 {
			s.Held.StockMM2 += area
		} else {
			s.Held.Freed++
		}
	}
	if asked.Picture {
		s.Picture = coarseW(model)
	}
	if i < len(r.in.Epochs)-1 {
		return s, nil
	}
	s.Breaches = model.Breached()
	for _, k := range r.rec.Hanging {
		area := 0.0
		for _, q := range model.PatchesWithin(r.rec.Pieces[k].Outline) {
			area += q.AreaMM2
		}
		r.noteHeld(r.rec.Pieces[k].ID, area)
	}
	s.Pieces = r.held
	r.models = nil // they are large, and there is nothing to come
	return s, nil
}

// PatchesOf gives the patches of a piece at the moment at which the model stands: those within its outline while it
// hangs on necks, which the cells do not tell apart.
func PatchesOf(model *airflow.Model, p *sweep.Piece, at sweep.Progress) []airflow.Patch {
	if p.HangsAt(at) {
		return model.PatchesWithin(p.Outline)
	}
	return model.Patches(int32(p.ID))
}

func (r *Run) noteHeld(id int, mm2 float64) {
	old, ok := r.held[id]
	if !ok {
		old = HeldRange{mm2, mm2}
	}
	old.LeastMM2 = min(old.LeastMM2, mm2)
	r.held[id] = old
}

// model is that of the air with these zones open. It is made when it is first asked for; the first one made is that of
// the zones that the job says are open.
func (r *Run) model(open []bool) (*airflow.Model, error) {
	if r.models == nil {
		r.models = map[string]*airflow.Model{}
		first, err := r.model(machine.OpenZones(&r.in.Job))
		if err != nil {
			return nil, err
		}
		r.assumed = first.Assumed()
	}
	name := fmt.Sprint(open)
	if r.models[name] == nil {
		j := r.in.Job
		j.Zones = slices.Clone(j.Zones)
		for i := range j.Zones {
			j.Zones[i].Open = open[i]
		}
		m, err := airflow.New(&j, r.rec, airflow.Options{Units: j.Units, Uncut: r.uncut})
		if err != nil {
			return nil, fmt.Errorf("the air under the stock cannot be computed: %w", err)
		}
		r.models[name] = m
	}
	return r.models[name], nil
}
