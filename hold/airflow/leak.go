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
	l.zones = eachWay(l.zones, func(_ Way, o *suction.Opening) { o.ConductanceM3 *= k })
	return l
}

// eachWay changes every way of every zone of a copy.
func eachWay(of *[]suction.Plenum, change func(Way, *suction.Opening)) *[]suction.Plenum {
	if of == nil {
		return nil
	}
	zones := slices.Clone(*of)
	for i := range zones {
		ways := zones[i].Ways
		for way := range ways {
			change(Way(way), &ways[way])
		}
		zones[i].Let(ways)
	}
	return &zones
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
	for way, mm2 := range bared(m.LeakMM2, flows) {
		leak.Ways[way] = suction.Opening{ConductanceM3: mm2 * perMM2,
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
		zones := m.leakByZone(flows, perMM2)
		leak.zones = &zones
	}
	return leak
}

// leakByZone shares the leak out among zones with ducts of their own. What reaches a plenum under the cover comes in by
// the ways of the whole table.
func (m *Model) leakByZone(flows field.Flows, perMM2 float64) []suction.Plenum {
	zones := slices.Clone(m.plenums)
	for i := range zones {
		area, under := &m.air.ByZone[i], field.Flows{In: flows.In}
		if flows.By != nil {
			under.Out = flows.By[i]
		}
		var ways [cells.WayCount]suction.Opening
		for way, mm2 := range bared(area.LeakMM2, under) {
			ways[way] = suction.Opening{ConductanceM3: mm2 * perMM2,
				OrificeMM2: gas.DischargeCoefficient * area.OrificeMM2[way]}
		}
		if i > 0 {
			ways[cells.Work].ConductanceM3 += m.throughGasketedM3(i - 1)
		}
		zones[i].Let(ways)
	}
	return zones
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
func bared(open [cells.WayCount]float64, under field.Flows) [cells.WayCount]float64 {
	in := 0.0
	for _, flow := range under.In {
		in += flow
	}
	if in <= 0 {
		open[cells.Kerfs] += under.Out
		return open
	}
	for way, flow := range under.In {
		open[way] += flow / in * under.Out
	}
	return open
}
