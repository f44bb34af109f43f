// Package airflow finds the pressure under every cell of the table at every moment.
//
// It takes the job (layer, zones, pump, altitude) and the sweep's record (what lies where, what was cut through
// and when) and gives the vacuum in the chuck, the leak and the transmission w of every patch of a piece.
// It knows nothing of cutting forces and friction.
//
// Air creeps through the layer by compressible, isothermal Darcy flow, in which the square of the absolute pressure
// obeys a linear law. With p^2 = pa^2 - w (pa^2 - pv^2) the pump drops out: w depends only on what lies bare,
//
//	div(kappa grad w) = a (w - 1) + (edges) w
//
// (internal/field), and the leak through the layer is (pa^2 - pv^2) G/(2 mu R T) with one conductance G. The pump's
// working point is then the root of one equation ([Operate]), with the ducts between pump and table in series. Openings
// straight into the chuck, breached gaskets and cuts through the layer, are nozzles.
//
// The field is two-dimensional. What the thickness of the layer does beside an edge goes in by the exact widths of the
// section (internal/layer); the tests hold them against finite differences of that
// section and, over crossing grooves, of three dimensions. Pieces narrower than the layer is thick are held too weakly:
// the model errs to the unsafe verdict.
//
//	sweep's record    job: zones, layer                    job: pump, ducts
//	       |             |       |                                |
//	    gather <--- zones        |                                |
//	       |                     |                                |
//	     cells ----------> field (layer's laws) -- leak --> suction --> State
//	       |                 | w
//	       +----> patches <--+ --> Patches of a piece
//
// What it does not know: moisture, warm air, wear of the layer, chips in the grooves, bowed sheets that do not lie
// flat.
package airflow

import (
	"staydown/hold/airflow/internal/cells"
	"staydown/hold/airflow/internal/suction"
	"staydown/sweep"
)

// Leak is all that lets air into the chuck at one moment, without the pump.
type Leak struct {
	// ConductanceM3 is the sum over the layer of permeability times area over length (m2 m2/m = m3): the mass flow
	// through the layer is (pa^2 - pv^2) ConductanceM3 / (2 mu R T).
	ConductanceM3 float64
	// OrificeMM2 is the summed effective area (discharge coefficient times area) of openings straight into the chuck.
	OrificeMM2 float64
	// Ways is the same by where the air gets in; of what comes in below the stock, as much as goes on into the chuck.
	Ways [cells.WayCount]suction.Opening

	zones *[]suction.Plenum // the same by zone, from 1, where zones have ducts of their own, else nil
}

// State is the working point of the pump at one moment.
type State struct {
	At        sweep.Progress
	AmbientPa float64                 // absolute
	PumpPa    float64                 // absolute, at the pump's inlet
	Chuck                             // in the chuck
	LeakM3h   float64                 // free air at ambient pressure, hose leakage included
	WaysM3h   [cells.WayCount]float64 // the same by where the air gets in, but for HosesM3h
	HosesM3h  float64                 // the pump's own fixed leakage
	Leak      Leak
	Breached  []string // names of gasketed zones that are no longer sealed
}

// VacuumPa is the pressure in the chuck below ambient.
func (s State) VacuumPa() float64 { return s.AmbientPa - s.ChuckPa }
