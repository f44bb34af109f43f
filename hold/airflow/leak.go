package airflow

import (
	"math"
	"slices"

	"staydown/hold/airflow/internal/cells"
	"staydown/hold/airflow/internal/field"
	"staydown/hold/airflow/internal/suction"
	"staydown/hold/internal/gas"
)

// OfLayerTimes is the leak of a layer k times as permeable, through and along alike: the field stays as it is. It holds
// where nothing but the layer breathes; work must be tight.
func (l Leak) OfLayerTimes(k float64) Leak {
	l.ConductanceM3 *= k
	for i := range l.Ways {
		l.Ways[i].ConductanceM3 *= k
	}
	if l.zones != nil {
		zones := slices.Clone(*l.zones)
		for i := range zones {
			zones[i].Opening.ConductanceM3 *= k
		}
		l.zones = &zones
	}
	return l
}

// leak sums what lets air in at the current moment.
func (m *Model) leak() Leak {
	var leak Leak
	var flows field.Flows
	if m.solver != nil {
		flows = m.solver.FlowsUnderCover()
	}
	perMM2 := 0.0
	if l := m.job.Layer; l != nil {
		perMM2 = gas.M2PerMM2 * l.ThroughM2 / (l.ThicknessMM * gas.MPerMM)
	}
	for way, bared := range m.bared(flows) {
		leak.Ways[way] = suction.Opening{ConductanceM3: bared * perMM2,
			OrificeMM2: gas.DischargeCoefficient * m.OrificeMM2[way]}
	}
	for zone := range m.job.Zones {
		leak.Ways[cells.Work].ConductanceM3 += m.throughGasketedM3(zone)
	}
	for _, way := range leak.Ways {
		leak.ConductanceM3 += way.ConductanceM3
		leak.OrificeMM2 += way.OrificeMM2
	}
	if m.plenums != nil {
		zones := make([]suction.Plenum, len(m.plenums))
		for i, z := range m.plenums {
			area := &m.air.ByZone[i]
			z.Opening = suction.Opening{ConductanceM3: area.LeakMM2 * perMM2,
				OrificeMM2: gas.DischargeCoefficient * area.OrificeMM2}
			if flows.By != nil {
				z.Opening.ConductanceM3 += flows.By[i] * perMM2
			}
			if i > 0 {
				z.Opening.ConductanceM3 += m.throughGasketedM3(i - 1)
			}
			zones[i] = z
		}
		leak.zones = &zones
	}
	return leak
}

// throughGasketedM3 is the conductance of work that breathes on a gasketed zone, m3.
func (m *Model) throughGasketedM3(zone int) float64 {
	if m.work == nil {
		return 0
	}
	return math.Max(0, m.air.ByZone[zone+1].GasketSeepMM)*gas.MPerMM*m.work.ThroughM2 +
		m.work.PastGasketM3(m.job.Zones[zone])
}

// bared is the leak through the layer as bared area, by way: what lies open, and what reaches the plenum under the
// cover, shared out as it comes in there.
func (m *Model) bared(under field.Flows) [cells.WayCount]float64 {
	in := 0.0
	for _, flow := range under.In {
		in += flow
	}
	bared := m.LeakMM2
	if in <= 0 {
		bared[cells.Kerfs] += under.Out
		return bared
	}
	for way, flow := range under.In {
		bared[way] += flow / in * under.Out
	}
	return bared
}
