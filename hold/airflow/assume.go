package airflow

import (
	"fmt"

	"staydown/hold/job"
)

// assumptions lists what the model takes for granted about a job, in words.
func assumptions(j *job.Job) []string {
	all := []string{
		"air at 20 C; openings with a discharge coefficient of 0.85 (from memory: choked sharp-edged openings)",
	}
	if j.Layer != nil {
		all = append(all, "the layer reaches over the smallest rectangle round all zones and the stock")
	}
	for _, zone := range j.Zones {
		if zone.Groove != nil && zone.Open {
			all = append(all, fmt.Sprintf("zone %s: the middle of its first groove is half a pitch from its lowest corner, both ways", zone.Name))
		}
	}
	return all
}
