package airflow

import "math"

// leak sums what lets air in at the current moment.
func (m *Model) leak() Leak {
	var leak Leak
	var flows rowFlows
	if m.solver != nil {
		flows = m.solver.flowsUnderCover()
	}
	perMM2 := 0.0
	if l := m.job.Layer; l != nil {
		perMM2 = m2PerMM2 * l.ThroughM2 / (l.ThicknessMM * mPerMM)
	}
	for way, bared := range m.bared(flows) {
		leak.Ways[way] = Opening{bared * perMM2, dischargeCoefficient * m.orificeMM2[way]}
	}
	for zone := range m.job.Zones {
		leak.Ways[Work].ConductanceM3 += m.throughGasketedM3(zone)
	}
	for _, way := range leak.Ways {
		leak.ConductanceM3 += way.ConductanceM3
		leak.OrificeMM2 += way.OrificeMM2
	}
	if m.plenums != nil {
		zones := make([]plenum, len(m.plenums))
		for i, z := range m.plenums {
			area := &m.air.byZone[i]
			z.Opening = Opening{area.leakMM2 * perMM2, dischargeCoefficient * area.orificeMM2}
			if flows.by != nil {
				z.Opening.ConductanceM3 += flows.by[i] * perMM2
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
	return math.Max(0, m.air.byZone[zone+1].gasketSeepMM)*mPerMM*m.work.throughM2 +
		m.work.pastGasketM3(m.job.Zones[zone])
}

// bared is the leak through the layer as bared area, by way: what lies open, and what reaches the plenum under the
// cover, shared out as it comes in there.
func (m *Model) bared(under rowFlows) [WayCount]float64 {
	in := 0.0
	for _, flow := range under.in {
		in += flow
	}
	bared := m.leakMM2
	if in <= 0 {
		bared[Kerfs] += under.out
		return bared
	}
	for way, flow := range under.in {
		bared[way] += flow / in * under.out
	}
	return bared
}
