package hold

import (
	"staydown/hold/airflow"
	"staydown/hold/contact"
	"staydown/hold/cutload"
	"staydown/hold/internal/machine"
	"staydown/hold/internal/steploads"
	"staydown/hold/job"
	"staydown/hold/material"
)

// variation is the same program with a varied job: other friction, forces, pump, permeability. What lies bare at each
// moment stays, and so does the field of the layer, which does not know the pump; the pump works at the varied leak,
// and loads and holds are those of the varied job. It does not change and may be used from many goroutines.
type variation struct {
	of       *Analysis // with the likely job
	job      *job.Job
	air      airflow.Varied
	cuts     *cutload.Cache
	loads    bool // the material takes other cutting forces
	strength bool // of joins
	friction bool
	clamps   bool
}

// varied prepares the analysis of a varied job.
func (a *Analysis) varied(j *job.Job) *variation {
	v := &variation{of: a, job: j, air: airflow.Vary(a.job, j), cuts: a.loads.Cuts}
	was, is := &a.job.Stock.Material, &j.Stock.Material
	if v.loads = cuttingFigures(was) != cuttingFigures(is); v.loads {
		v.cuts = cutload.NewCache(*is)
	}
	v.strength = was.Shear.Likely != is.Shear.Likely || was.Tensile.Likely != is.Tensile.Likely ||
		was.Yield.Likely != is.Yield.Likely
	v.friction = a.job.Layer != nil && a.job.Layer.Friction != j.Layer.Friction
	for i := range j.Zones {
		v.friction = v.friction || a.job.Zones[i].Friction != j.Zones[i].Friction
	}
	for i := range j.Clamps {
		v.clamps = v.clamps || a.job.Clamps[i].ForceN != j.Clamps[i].ForceN
	}
	return v
}

// cuttingFigures are what of a material decides the force on a cutting edge.
func cuttingFigures(w *material.Work) [8]float64 {
	return [...]float64{w.KC11.Likely, w.MC.Likely, w.Edge.Likely, w.Radial.Likely, w.EdgeRadial.Likely, w.Lift.Likely,
		w.EdgeLift.Likely, w.Drill.Likely}
}

// at is the analysis of one epoch, its only one, as far as one piece is concerned.
func (v *variation) at(index int, piece int32) (*Analysis, error) {
	a := v.of
	e := a.air[index]
	e.leak = v.air.Leak(e.leak)
	b := &Analysis{
		prog: a.prog, rec: a.rec, job: v.job, clock: a.clock, enough: exactly,
		loads: steploads.Model{Moves: a.loads.Moves, Job: v.job, Cuts: v.cuts, BottomMM: a.loads.BottomMM,
			LowerMM: v.lowerMM(a.job)},
		clamps: a.clamps, power: a.power, wetFrom: a.wetFrom, stepBoxes: a.stepBoxes, hung: a.hung, rims: a.rims,
		plungeMMMin: a.plungeMMMin,
		islands:     a.islands, cutters: a.cutters,
	}
	if v.clamps {
		b.clamps = a.clamps.Varied(v.job)
	}
	if err := e.pump(v.job); err != nil {
		return nil, err
	}
	if share := v.air.Transmits(); share != 1 {
		patches := make([]airflow.Patch, len(e.patches[piece]))
		for i, p := range e.patches[piece] {
			p.W = min(1, p.W*share)
			patches[i] = p
		}
		e.patches = map[int32][]airflow.Patch{piece: patches}
	}
	if v.friction {
		e.friction = map[int32]float64{piece: machine.Friction(v.job, e.patches[piece], e.until > b.wetFrom,
			b.powerOf(&e).Zones)}
	}
	b.air = []epoch{e}
	return b, nil
}

// vacuumPa is the vacuum of an epoch, below ambient.
func (v *variation) vacuumPa(index int) (float64, error) {
	e := v.of.air[index]
	e.leak = v.air.Leak(e.leak)
	err := e.pump(v.job)
	return e.state.VacuumPa(), err
}

// alike tells, for the piece and the tool of a trial, whether the load and the hold are given by the same figures as in
// the likely job, vacuum and friction aside.
func (v *variation) alike(t trial) (load, hold bool) {
	likely := v.of.job
	if v.lowerMM(likely) != 0 {
		return false, false
	}
	load = !v.loads && v.job.Tools[t.tool] == likely.Tools[t.tool]
	hold = tackPa(v.job) == tackPa(likely) && !v.clamps && v.air.Transmits() == 1 && (!v.strength || t.section == 0) &&
		v.job.Stock.Material.Density.Likely == likely.Stock.Material.Density.Likely
	return load, hold
}

// same tells whether the load and the hold of a trial are those of the likely job.
func (v *variation) same(b *Analysis, t trial) (load, hold bool) {
	was, is := &v.of.air[t.epoch], &b.air[0]
	load, hold = v.alike(t)
	return load, hold && is.state.Same(was.state.Chuck) && is.friction[t.piece] == was.friction[t.piece]
}

// vacuumOnly tells whether nothing but the vacuum differs from the likely job for the piece and the tool of a trial.
func (v *variation) vacuumOnly(t trial) bool {
	load, hold := v.alike(t)
	return load && hold && !v.friction
}

// margin is that of the piece in the step of a trial. bodies are those of the likely job in that epoch, which are built
// where they are missing.
func (v *variation) margin(t trial, bodies map[bodyKey]*contact.Support) (float64, error) {
	b, err := v.at(t.epoch, t.piece)
	if err != nil {
		return 0, err
	}
	load, hold := v.same(b, t)
	if load && hold && v != v.of.ranges.likely {
		return t.margin, nil
	}
	state := b.epochState(0, b.air[0].state.Chuck, change{})
	if hold {
		state.bodies = bodies
	}
	if state.like = bodies; len(bodies) == 0 {
		state.like = v.of.air[t.epoch].bodies
	}
	margin := t.margin
	err = state.trialsOf(t.step, []int32{t.piece}, func(u trial) { margin = u.margin })
	return margin, err
}
