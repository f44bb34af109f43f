package airflow

import (
	"fmt"
	"math"

	"staydown/hold/job"
	"staydown/sweep"
)

// Limits and defaults of the package.
const (
	defaultMaxCells = 1_200_000 // air cells
	mostCells       = 16_000_000
	mostFineCells   = 2_000_000_000 // cells of the sweep
	mostZones       = 1000
	mostZonePoints  = 100_000

	// defaultTol bounds the error of w. A piece's hold follows w by a factor of at most (pa + pv)/(2 pv), relative: 26
	// at 2 kPa in the chuck. 3e-5 in w therefore stays below 0.08 % of the hold.
	defaultTol = 3e-5

	// eventsAhead is how many events the field may run ahead of the program, for layers whose decay length is small:
	// some 20 mm of kerf. It grows with the area over which a cut is felt.
	eventsAhead = 24
)

// checkJob refuses a job that cannot be computed.
func checkJob(j *job.Job, g sweep.Grid) error {
	switch {
	case !(g.CellMM > 0) || g.NX <= 0 || g.NY <= 0 || math.IsInf(g.CellMM, 0):
		return fmt.Errorf("the grid of %d x %d cells of %g mm is empty; give a stock with a size", g.NX, g.NY, g.CellMM)
	case float64(g.NX)*float64(g.NY) > mostFineCells:
		return fmt.Errorf("the grid of %d x %d cells is too large; choose larger cells", g.NX, g.NY)
	case len(j.Zones) > mostZones:
		return fmt.Errorf("the job has %d zones; at most %d can be computed", len(j.Zones), mostZones)
	}
	points := 0
	for _, zone := range j.Zones {
		for _, ring := range zone.Area {
			points += len(ring)
		}
		if zone.Seal == job.LayerSeal && j.Layer == nil && zone.Open {
			return fmt.Errorf("zone %q is to be sealed by a layer, but the job has none; add [layer] or write seal "+
				"= \"gasket\"", zone.Name)
		}
		if zone.Groove != nil && (!(zone.Groove.PitchMM > 0) || !(zone.Groove.WidthMM > 0)) {
			return fmt.Errorf("the grooves of zone %q need a pitch and a width above 0", zone.Name)
		}
	}
	if points > mostZonePoints {
		return fmt.Errorf("the zones have %d corners; at most %d can be computed", points, mostZonePoints)
	}
	if l := j.Layer; l != nil {
		for _, figure := range []struct {
			name  string
			value float64
		}{{"thickness", l.ThicknessMM}, {"through", l.ThroughM2}, {"along", l.AlongM2}} {
			if !(figure.value > 0) || math.IsInf(figure.value, 0) {
				return fmt.Errorf("the layer's %s is %g; give a figure above 0", figure.name, figure.value)
			}
		}
	}
	return nil
}
