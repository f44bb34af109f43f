package job

import (
	"maps"
	"slices"

	"staydown/hold/doubt"
)

// Doubt is a figure of the job that is not known exactly. The job itself holds its likely value.
type Doubt struct {
	doubt.Input
	Key  string // of the job file: "layer.through"
	Tool int    // of Scope Tool: its number
	// Set puts another value, in the input's unit, into a job that no one else uses.
	Set func(j *Job, value float64)
}

// Varied is a copy of the job with its doubtful figures at the given normal scores, in order of Doubts. Figures without
// a score stay as they are.
func (j *Job) Varied(scores []float64) *Job {
	v := j.clone()
	for i, score := range scores {
		if score != 0 {
			v.Doubts[i].Set(v, v.Doubts[i].At(score))
		}
	}
	return v
}

// clone copies the job and whatever a Doubt may set.
func (j *Job) clone() *Job {
	v := *j
	if j.Layer != nil {
		layer := *j.Layer
		v.Layer = &layer
	}
	v.Zones = slices.Clone(j.Zones)
	v.Pump.Curve = slices.Clone(j.Pump.Curve)
	v.Clamps = slices.Clone(j.Clamps)
	v.Tools = maps.Clone(j.Tools)
	return &v
}
