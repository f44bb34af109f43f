package hold

import (
	"fmt"
	"math"

	"staydown/hold/airflow"
	"staydown/parse/units"
)

const (
	greatestTackPa = 60e3
	// deepestVacuum is the greatest proposed vacuum, as a share of ambient pressure: that of a common rotary-vane pump.
	deepestVacuum   = 0.97
	maxPumpIncrease = 10
)

// adhesive finds the least shear strength of an adhesive layer that holds, to two digits.
func (p remedySearch) adhesive() string {
	tack := p.leastTack()
	if tack == 0 {
		return ""
	}
	return p.a.tackText(tack)
}

// leastTack is the shear strength that an adhesive face must have beyond that of the layer, Pa; 0 when none is enough.
func (p remedySearch) leastTack() float64 {
	holds := func(p remedySearch, pa float64) bool { return p.cures(change{tackPa: pa}, nil) }
	least := p.smallest(0, greatestTackPa, holds)
	onePa := p.a.units.Stress().Size * kilo
	tack := up(least, onePa*units.DigitStep(least/onePa, 2))
	if !holds(p, tack) {
		return 0
	}
	return tack
}

func (p remedySearch) largerPump() string {
	flow := p.leastPump()
	if flow == 0 {
		return ""
	}
	return p.a.pumpText(flow)
}

// tackText names a layer with so much more shear strength, Pa, than now.
func (a *Analysis) tackText(morePa float64) string {
	return fmt.Sprintf("a layer with an adhesive face of at least %s shear strength",
		a.units.Stress().Text((morePa+tackPa(a.job))/kilo))
}

// pumpText names a larger pump of the same kind.
func (a *Analysis) pumpText(flowM3h float64) string {
	unit, own := a.units.Flow(), a.job.Pump
	return fmt.Sprintf("a %s pump of at least %s (now %s)", own.Kind, unit.Text(flowM3h), unit.Number(own.FlowM3h))
}

// leastPump is the flow of the smallest pump of the same kind whose vacuum in these epochs is enough, m3/h to two
// digits; 0 when none is.
func (p remedySearch) leastPump() float64 {
	own := p.a.job.Pump
	if own.FlowM3h <= 0 {
		return 0
	}
	holds := func(p remedySearch, flow float64) bool {
		pump := scaledPump(own, flow)
		return p.cures(change{}, func(index int) airflow.Chuck { return p.a.chuckOf(index, pump) })
	}
	high := maxPumpIncrease * own.FlowM3h
	least := p.smallest(own.FlowM3h, high, holds)
	unit := p.a.units.Flow()
	flow := up(least, unit.Size*units.DigitStep(unit.In(least), 2))
	if !holds(p, flow) {
		return 0
	}
	return flow
}

// deeperVacuum finds the least vacuum that is enough if no pump of the same kind reaches it.
func (p remedySearch) deeperVacuum() string {
	ambient := p.a.job.AmbientPa
	now := math.Inf(1)
	for _, s := range p.steps {
		now = math.Min(now, p.a.air[s.epoch].state.VacuumPa())
	}
	holds := func(p remedySearch, vacuumPa float64) bool {
		return p.cures(change{}, func(index int) airflow.Chuck {
			return p.a.air[index].leak.ChuckAt(ambient, ambient-vacuumPa)
		})
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
