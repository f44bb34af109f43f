package hold

import (
	"cmp"
	"math"
	"slices"

	"staydown/hold/airflow"
	"staydown/hold/job"
)

// The searches for an alarm setpoint and a pump stop at these widths.
const (
	setpointTolerancePa = 10.0
	pumpToleranceShare  = 0.005
	maxPumpGrowth       = 200.0 // times the flow of the job's own pump
	maxSearchRounds     = 12    // re-runs over the whole program before a search gives up
)

// critical is a step on a piece that a search has to satisfy.
type critical struct {
	epoch, step int
	piece       int32
}

// maxCriticals bounds the steps with which a search starts. Steps that it overlooks come back from the re-run over the
// whole program.
const maxCriticals = 24

// criticals lists the worst step of each piece at the job's own vacuum, the pieces nearest to coming loose first.
func (a *Analysis) criticals() []critical {
	var worst []trial
	for _, t := range a.least {
		if !math.IsInf(t.margin, 1) {
			worst = append(worst, t)
		}
	}
	slices.SortFunc(worst, func(s, t trial) int {
		return cmp.Or(cmp.Compare(s.margin, t.margin), cmp.Compare(s.piece, t.piece))
	})
	var out []critical
	for _, t := range worst[:min(len(worst), maxCriticals)] {
		out = append(out, critical{t.epoch, t.step, t.piece})
	}
	return out
}

// holdsAt tells whether every critical step keeps the margin with the chuck at the absolute pressure of each epoch.
func (a *Analysis) holdsAt(list []critical, margin float64, chuckPa func(index int) float64) bool {
	for _, c := range list {
		missed, _, err := a.setting(c.epoch, chuckPa(c.epoch), change{}).misses(c.step, []int32{c.piece}, margin)
		if err != nil || len(missed) > 0 {
			return false
		}
	}
	return true
}

// wholeRun re-runs every step of the program and gives the first one that misses the margin.
func (a *Analysis) wholeRun(margin float64, chuckPa func(index int) float64) (miss critical, ok bool) {
	ok = true
	err := newQueue(a.workers, func(index int, pa float64) ([]critical, error) { return a.firstMiss(index, pa, margin) }, func(c critical) bool {
		miss, ok = c, false
		return false
	}).all(len(a.air), chuckPa)
	return miss, ok && err == nil
}

// search finds the smallest x in (low, high] that keeps the margin everywhere, by bisection over the critical steps;
// the answer is then re-run over the whole program, and steps that miss join the critical ones. NaN: none.
func (a *Analysis) search(low, high, margin float64, close func(low, high float64) bool, chuckPa func(x float64) func(index int) float64) float64 {
	list := a.criticals()
	for range maxSearchRounds {
		if !a.holdsAt(list, margin, chuckPa(high)) {
			return math.NaN()
		}
		lo, hi := low, high
		for !close(lo, hi) {
			mid := lo + (hi-lo)/2
			if a.holdsAt(list, margin, chuckPa(mid)) {
				hi = mid
			} else {
				lo = mid
			}
		}
		miss, ok := a.wholeRun(margin, chuckPa(hi))
		if ok {
			return hi
		}
		list = append(list, miss)
		low = hi // what misses here misses at anything less
	}
	return math.NaN()
}

// alarmSetpointPa is the lowest vacuum below ambient at which every block still keeps a margin; NaN when there is
// none that the pump reaches everywhere.
func (a *Analysis) alarmSetpointPa(margin float64) float64 {
	least := a.leastVacuumPa()
	if least <= 0 {
		return math.NaN()
	}
	return a.search(0, least, margin,
		func(lo, hi float64) bool { return hi-lo <= setpointTolerancePa },
		func(vacuum float64) func(int) float64 {
			return func(int) float64 { return a.job.AmbientPa - vacuum }
		})
}

// leastVacuumPa is the lowest vacuum of all epochs.
func (a *Analysis) leastVacuumPa() float64 {
	least := math.Inf(1)
	for i := range a.air {
		least = math.Min(least, a.air[i].state.VacuumPa())
	}
	return least
}

// pumpNeededM3h is the flow at no vacuum of the smallest pump of the job's kind that keeps the asked-for margin; NaN
// when none does.
func (a *Analysis) pumpNeededM3h() float64 {
	own := a.job.Pump
	if own.FlowM3h <= 0 {
		return math.NaN()
	}
	return a.search(0, maxPumpGrowth*own.FlowM3h, a.asked,
		func(lo, hi float64) bool { return hi-lo <= pumpToleranceShare*hi },
		func(flow float64) func(int) float64 {
			pump := scaledPump(own, flow)
			chuckPa := make([]float64, len(a.air))
			for i := range a.air {
				chuckPa[i] = a.job.AmbientPa
				if state, err := airflow.Operate(pump, a.job.AmbientPa, a.air[i].leak); err == nil {
					chuckPa[i] = state.ChuckPa
				}
			}
			return func(index int) float64 { return chuckPa[index] }
		})
}

// scaledPump is a pump of the same kind and curve with another flow at no vacuum.
func scaledPump(own job.Pump, flowM3h float64) job.Pump {
	p := own
	p.FlowM3h = flowM3h
	p.Curve = make([]job.PumpPoint, len(own.Curve))
	for i, c := range own.Curve {
		p.Curve[i] = job.PumpPoint{AbsolutePa: c.AbsolutePa, FlowM3h: c.FlowM3h * flowM3h / own.FlowM3h}
	}
	return p
}
