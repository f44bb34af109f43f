package hold

import (
	"cmp"
	"math"
	"slices"
	"sort"

	"staydown/hold/airflow"
	"staydown/hold/contact"
	"staydown/hold/job"
	"staydown/sweep/parallel"
)

// bindingStep is a step on a piece that a search has to satisfy.
type bindingStep struct {
	epoch, step int
	piece       int32
}

// supply is a quantity that increases hold: vacuum, or the flow of the pump.
type supply struct {
	grid  []float64               // amounts that are tried, rising, the first of them 0
	own   func(epoch int) float64 // what the job's own pump gives in an epoch
	chuck func(epoch int, amount float64) airflow.Chuck
}

// need is the least amount of a supply at which all blocks of an interval keep a margin.
type need struct {
	amount float64 // +Inf when no amount is enough
	line   int     // block that needs it; 0 when none needs anything
	piece  int     // that it may move
}

// Steps of the grids on which needs are found, and their ends.
const (
	vacuumStepPa = 10.0
	pumpStep     = 0.005 // of the flow
	// leastPump and mostPump bound the pumps that are tried, in flows of the job's own pump.
	leastPump = 1e-3
	mostPump  = 200.0
)

// vacuumSupply is the vacuum below ambient, Pa, the same all through the program.
func (a *Analysis) vacuumSupply() supply {
	grid := make([]float64, int(a.job.AmbientPa/vacuumStepPa)+1)
	for i := range grid {
		grid[i] = float64(i) * vacuumStepPa
	}
	return supply{
		grid: grid,
		own:  func(epoch int) float64 { return a.air[epoch].state.VacuumPa() },
		chuck: func(epoch int, vacuumPa float64) airflow.Chuck {
			return a.air[epoch].leak.ChuckAt(a.job.AmbientPa, a.job.AmbientPa-vacuumPa)
		},
	}
}

// pumpSupply is the flow at no vacuum, m3/h, of pumps of the kind and curve of the job's own.
func (a *Analysis) pumpSupply() supply {
	own := a.job.Pump
	ratio := math.Log1p(pumpStep)
	grid := []float64{0}
	for i := math.Ceil(math.Log(leastPump) / ratio); i <= math.Log(mostPump)/ratio; i++ {
		grid = append(grid, own.FlowM3h*math.Exp(i*ratio))
	}
	return supply{
		grid:  grid,
		own:   func(int) float64 { return own.FlowM3h },
		chuck: func(epoch int, flowM3h float64) airflow.Chuck { return a.chuckOf(epoch, scaledPump(own, flowM3h)) },
	}
}

// chuckOf is the chuck in an epoch with another pump; at the air's pressure where that cannot be computed.
func (a *Analysis) chuckOf(epoch int, pump job.Pump) airflow.Chuck {
	state, err := airflow.Operate(pump, a.job.AmbientPa, a.air[epoch].leak)
	if err != nil {
		return airflow.Chuck{ChuckPa: a.job.AmbientPa}
	}
	return state.Chuck
}

// scaledPump is a pump of the same kind and curve with another flow at no vacuum.
func scaledPump(own job.Pump, flowM3h float64) job.Pump {
	p := own
	p.FlowM3h = flowM3h
	if own.LeakAssumed { // as the job file would with that flow
		p.LeakM3h *= flowM3h / own.FlowM3h
	}
	p.Curve = make([]job.PumpPoint, len(own.Curve))
	for i, c := range own.Curve {
		p.Curve[i] = job.PumpPoint{AbsolutePa: c.AbsolutePa, FlowM3h: c.FlowM3h * flowM3h / own.FlowM3h}
	}
	return p
}

// needSearch finds the needs of one supply at one margin of each piece.
//
// Hold rises with the vacuum in every mode, so each block has one need, and the need of an interval is the largest of
// its blocks. Only a block that misses the margin at the largest need so far is bisected over the grid.
type needSearch struct {
	a      *Analysis
	margin marginOf
	supply
}

// needs gives the needs of each search, interval by interval, to the width of the grid.
func (a *Analysis) needs(searches []needSearch) [][]need {
	out := make([][]need, len(searches))
	// The steps that probably need most go first; they mostly decide the need.
	first := make([][]bindingStep, len(a.intervals))
	for i := range a.air {
		at := a.air[i].interval
		first[at] = append(first[at], a.bindingSteps(i)...)
	}
	for k := range out {
		out[k] = make([]need, len(a.intervals))
		parallel.For(a.workers, len(first), func(_, i int) { out[k][i] = searches[k].ofWorst(first[i]) })
	}
	var parts []epochPart
	for i := range a.air {
		parts = append(parts, a.air[i].parts(i)...)
	}
	found := make([][]need, len(parts))
	parallel.For(a.workers, len(parts), func(_, i int) {
		begin := make([]need, len(searches))
		for k := range begin {
			begin[k] = out[k][a.air[parts[i].epoch].interval]
		}
		found[i] = a.needsIn(parts[i], searches, begin)
	})
	for i, needs := range found {
		at := a.air[parts[i].epoch].interval
		for k, n := range needs {
			if n.amount > out[k][at].amount {
				out[k][at] = n
			}
		}
	}
	return out
}

// ofWorst is the need of the first step of each piece in a list.
func (k needSearch) ofWorst(list []bindingStep) (n need) {
	k.a.sortBinding(list)
	seen := map[int32]bool{}
	for _, c := range list {
		if !seen[c.piece] {
			seen[c.piece] = true
			n = k.raised(n, c)
		}
	}
	return n
}

// openNeed is a need while steps are looked at that may raise it.
type openNeed struct {
	needSearch
	need
	at     *epochState // with the amount
	missed []int32     // pieces that do not keep the margin in the step under way
	raised bool
}

// needsIn raises the needs of several searches until they satisfy a part of an epoch.
func (a *Analysis) needsIn(p epochPart, searches []needSearch, needs []need) []need {
	open := make([]openNeed, len(searches))
	for k := range open {
		open[k] = openNeed{needSearch: searches[k], need: needs[k]}
		open[k].at = open[k].state(p.epoch)
	}
	walk := a.epochState(p.epoch, airflow.Chuck{}, change{}) // for the loads alone, which are the same for all
	bounded := func(k openNeed) bool { return !math.IsInf(k.amount, 1) }
	for step := p.from; step < p.to && slices.ContainsFunc(open, bounded); step++ {
		pieces := a.checkedIn(p.epoch, step)
		err := walk.moments(step, pieces, func(id int32, at instant, loads []contact.Load) error {
			for k := range open {
				open[k].look(id, at, loads)
			}
			return nil
		})
		for k := range open {
			if err != nil {
				open[k].missed = pieces // unknown counts as missed
			}
			open[k].satisfy(p.epoch, step)
		}
	}
	out := make([]need, len(open))
	for k := range out {
		out[k] = open[k].need
	}
	return out
}

func (k *openNeed) state(epoch int) *epochState {
	return k.a.epochState(epoch, k.chuck(epoch, k.amount), change{})
}

// look notes a piece that does not keep the margin at a moment of the step under way.
func (k *openNeed) look(id int32, at instant, loads []contact.Load) {
	if math.IsInf(k.amount, 1) || slices.Contains(k.missed, id) {
		return
	}
	supports, err := k.at.supports(id, at.section)
	if c := (check{at, loads, supports}); err != nil || !c.stands(k.margin(id)) {
		k.missed = append(k.missed, id)
	}
}

// satisfy raises the need so far that the pieces that were missed keep the margin in the step.
func (k *openNeed) satisfy(epoch, step int) {
	missed := k.missed
	if k.missed = nil; len(missed) == 0 {
		return
	}
	if !k.raised {
		// Steps of this epoch that probably need even more go first; that saves most of the search.
		for _, c := range k.a.bindingSteps(epoch) {
			k.need = k.needSearch.raised(k.need, c)
		}
	}
	for _, id := range missed {
		k.need = k.needSearch.raised(k.need, bindingStep{epoch, step, id})
	}
	k.raised, k.at = true, k.state(epoch)
}

// raised is the need that satisfies one more step.
func (k needSearch) raised(n need, c bindingStep) need {
	if math.IsInf(n.amount, 1) || k.stands(c, n.amount) {
		return n
	}
	if amount := k.of(c, n.amount); amount > n.amount {
		m := k.a.prog.Moves.At(int(k.a.rec.Steps.At(c.step).Move))
		return need{amount, int(m.Line), int(c.piece)}
	}
	return n
}

// of is the need of one step that misses the margin at a smaller amount. If the check with the job's own pump kept the
// margin, that pump is enough.
func (k needSearch) of(c bindingStep, misses float64) float64 {
	low := sort.Search(len(k.grid), func(i int) bool { return k.grid[i] > misses }) - 1
	high, most := len(k.grid)-1, math.Inf(1)
	if k.a.keeps(c, k.margin) {
		if most = k.own(c.epoch); most <= misses {
			return misses
		}
		high = min(high, sort.SearchFloat64s(k.grid, most))
	} else if low == high || !k.stands(c, k.grid[high]) {
		return math.Inf(1)
	}
	for high-low > 1 {
		if middle := (low + high) / 2; k.stands(c, k.grid[middle]) {
			high = middle
		} else {
			low = middle
		}
	}
	return min(k.grid[high], most)
}

func (k needSearch) stands(c bindingStep, amount float64) bool {
	t := k.a.epochState(c.epoch, k.chuck(c.epoch, amount), change{})
	missed, _, err := t.misses(c.step, []int32{c.piece}, k.margin)
	return err == nil && len(missed) == 0
}

// keeps reports whether a piece keeps a margin in the whole epoch of a step with the job's own pump.
func (a *Analysis) keeps(c bindingStep, margin marginOf) bool {
	t, ok := a.air[c.epoch].least[c.piece]
	return ok && t.margin >= margin(c.piece)
}

// bindingSteps lists the worst step of each piece in an epoch, those that look as if they need most first.
func (a *Analysis) bindingSteps(epoch int) []bindingStep {
	var out []bindingStep
	for _, t := range a.air[epoch].least {
		if !math.IsInf(t.margin, 1) {
			out = append(out, bindingStep{t.epoch, t.step, t.piece})
		}
	}
	a.sortBinding(out)
	return out
}

// sortBinding puts first what needs most vacuum if margins rose in proportion to it.
func (a *Analysis) sortBinding(list []bindingStep) {
	needs := func(c bindingStep) float64 {
		e := &a.air[c.epoch]
		return e.state.VacuumPa() / e.least[c.piece].margin
	}
	slices.SortFunc(list, func(b, c bindingStep) int {
		return cmp.Or(cmp.Compare(needs(c), needs(b)), cmp.Compare(b.step, c.step), cmp.Compare(b.piece, c.piece))
	})
}
