package hold

import (
	"fmt"
	"math"

	"staydown/hold/airflow"
)

const (
	greatestTackPa = 60e3
	// deepestVacuum is the greatest proposed vacuum, as a share of ambient pressure: that of a common rotary-vane pump.
	deepestVacuum   = 0.97
	maxPumpIncrease = 10
)

// adhesive finds the least shear strength of an adhesive layer that holds, to two digits.
func (p remedySearch) adhesive() string {
	holds := func(p remedySearch, pa float64) bool { return p.cures(change{tackPa: pa}, nil) }
	least := p.smallest(0, greatestTackPa, holds)
	unit := p.a.units.Stress()
	onePa := unit.Size * kilo
	tack := up(least, onePa*twoDigits(least/onePa))
	if !holds(p, tack) {
		return ""
	}
	return fmt.Sprintf("a layer with an adhesive face of at least %s shear strength", unit.Text((tack+p.a.tackPa())/kilo))
}

// largerPump finds the smallest pump of the same kind whose vacuum in these epochs is enough, to two digits.
func (p remedySearch) largerPump() string {
	own := p.a.job.Pump
	if own.FlowM3h <= 0 {
		return ""
	}
	holds := func(p remedySearch, flow float64) bool {
		pump := scaledPump(own, flow)
		return p.cures(change{}, func(index int) float64 {
			state, err := airflow.Operate(pump, p.a.job.AmbientPa, p.a.air[index].leak)
			if err != nil {
				return p.a.job.AmbientPa
			}
			return state.ChuckPa
		})
	}
	high := maxPumpIncrease * own.FlowM3h
	least := p.smallest(own.FlowM3h, high, holds)
	unit := p.a.units.Flow()
	flow := up(least, unit.Size*twoDigits(unit.In(least)))
	if !holds(p, flow) {
		return ""
	}
	return fmt.Sprintf("a %s pump of at least %s (now %s)", own.Kind, unit.Text(flow), unit.Number(own.FlowM3h))
}

// deeperVacuum finds the least vacuum that is enough if no pump of the same kind reaches it.
func (p remedySearch) deeperVacuum() string {
	ambient := p.a.job.AmbientPa
	now := math.Inf(1)
	for _, s := range p.steps {
		now = math.Min(now, p.a.air[s.epoch].state.VacuumPa())
	}
	holds := func(p remedySearch, vacuumPa float64) bool {
		return p.cures(change{}, func(int) float64 { return ambient - vacuumPa })
	}
	high := deepestVacuum * ambient
	if now >= high {
		return ""
	}
	least := p.smallest(now, high, holds)
	unit := p.a.units.Pressure()
	vacuum := up(least, kilo*unit.Step())
	if vacuum > high || !holds(p, vacuum) {
		return ""
	}
	return fmt.Sprintf("a vacuum of at least %s in %s (now %s), from another kind of pump", unit.Text(vacuum/kilo),
		p.lines(), unit.Down(now/kilo))
}
