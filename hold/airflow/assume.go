package airflow

import (
	"fmt"

	"staydown/hold/airflow/internal/layer"
	"staydown/hold/airflow/internal/suction"
	"staydown/hold/job"
	"staydown/parse/units"
)

// assumptions lists what the model takes for granted about a job, in words.
func assumptions(j *job.Job, work *layer.Work, cellMM float64, shop units.System) []string {
	depth := shop.Depth()
	all := []string{
		"air at 20 C (68 F); openings with a discharge coefficient of 0.85 (from memory: choked sharp-edged openings)",
	}
	if j.Layer != nil {
		all = append(all, "the layer reaches over the smallest rectangle round all zones and the stock")
	}
	if work != nil {
		all = append(all, fmt.Sprintf("air passes through the work and in at its cut edges; a pocket counts from the "+
			"start as deep as it is in the end, what is cut through or to a web as %s high", depth.Text(work.FloorMM)))
	}
	open := 0
	for _, zone := range j.Zones {
		if zone.Open {
			open++
		}
	}
	if open > 1 && suction.Plenums(j) != nil {
		all = append(all, "zones with ducts of their own each have a vacuum of their own; a piece on a layer near the "+
			"border of two is held by the weaker; the vacuum given is the weakest of the zones on which material lies")
	}
	for _, zone := range j.Zones {
		g := layer.Grooves(&zone)
		if g == nil || j.Layer == nil {
			continue
		}
		switch {
		case layer.Blurred(*g, j.Layer):
			all = append(all, fmt.Sprintf("zone %s: under so thick a layer its grooves count as one open face below "+
				"a layer %s thicker; a cut that runs along one leaks up to %.2g %% more than is told, and the strip "+
				"without hold beside it is up to %.2g %% wider, which the low ends of margins count with",
				zone.Name, depth.Text(layer.Constriction(*g, j.Layer)), 100*(layer.AlongGroove(*g, j.Layer)-1),
				100*(layer.BesideCut(*g, j.Layer)-1)))
			continue
		case layer.CoarseGroove(*g, cellMM) > 0:
			all = append(all, fmt.Sprintf("zone %s: the air cell cannot tell its grooves; every cut is taken to lie "+
				"in the middle of a land", zone.Name))
		}
		all = append(all, fmt.Sprintf("zone %s: the middle of its first groove is half a pitch from its lowest "+
			"corner, both ways", zone.Name))
	}
	return all
}

// CutLoss is how much more hold than is told may be lost beside a cut, as a factor, by where it lies over grooves that
// the model takes together; 1 where there are none.
func CutLoss(j *job.Job) float64 {
	most := 1.0
	if j.Layer == nil {
		return most
	}
	for i := range j.Zones {
		if g := layer.Grooves(&j.Zones[i]); g != nil && layer.Blurred(*g, j.Layer) {
			most = max(most, layer.BesideCut(*g, j.Layer))
		}
	}
	return most
}
