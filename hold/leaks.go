package hold

import (
	"math"

	"staydown/hold/airflow"
	"staydown/hold/result"
)

// leaks tells where air gets in at the moment of least vacuum.
func (a *Analysis) leaks() result.Leaks {
	state := a.weakest().state
	ways := state.WaysM3h
	return result.Leaks{
		Bare: ways[airflow.Bare], Kerfs: math.Max(0, ways[airflow.Kerfs]), Holes: ways[airflow.Holes],
		Rim: ways[airflow.Rim], Work: ways[airflow.Work],
		LayerRim: ways[airflow.LayerRim], Gaskets: ways[airflow.Gaskets], Hoses: state.HosesM3h,
	}
}

// weakest is the epoch of least vacuum, the first if there are several.
func (a *Analysis) weakest() *epoch {
	weakest := &a.air[0]
	for i := range a.air {
		if e := &a.air[i]; e.state.VacuumPa() < weakest.state.VacuumPa() {
			weakest = e
		}
	}
	return weakest
}
