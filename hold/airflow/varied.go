package airflow

import (
	"staydown/hold/airflow/internal/cells"
	"staydown/hold/airflow/internal/suction"
	"staydown/hold/job"
)

// Varied is a job whose layer and work let air through otherwise than those of the job that a Model was made for, by a
// factor each. What else differs goes into Operate.
//
// The transmission w depends on the ratio of permeabilities alone. Where the work is tight a factor on the layer
// therefore changes nothing but the leak, and that is exact. Where the work breathes w and the leak through it follow
// as they do far from every edge, where layer and work are in series: near edges, where the layer alone counts, that
// overstates what the work does.
type Varied struct {
	layer, work float64 // factors on the permeability
	// conductance of the work over that of the layer, as the model has it; 0 where either is not there
	series float64
}

// Vary tells how a varied job differs from the one that a model was made for.
func Vary(was, is *job.Job) Varied {
	v := Varied{layer: 1, work: 1}
	if was.Layer != nil {
		v.layer = is.Layer.ThroughM2 / was.Layer.ThroughM2
	}
	if !was.Stock.Porous() {
		return v
	}
	through := was.Stock.Material.Through.Likely
	v.work = is.Stock.Material.Through.Likely / through
	if was.Layer == nil || len(was.Stock.Blanks) == 0 {
		return v
	}
	thickMM := was.Stock.Blanks[0].TopMM - was.Stock.BottomMM
	v.series = through / thickMM * was.Layer.ThicknessMM / was.Layer.ThroughM2
	return v
}

// Transmits is the factor on the transmission below the work.
func (v Varied) Transmits() float64 { return (1 + v.series) / (1 + v.series*v.work/v.layer) }

// Leak is the leak of the varied job for one of the model.
func (v Varied) Leak(was Leak) Leak {
	if v.layer == 1 && v.work == 1 {
		return was
	}
	is := was
	is.ConductanceM3 = 0
	for way := range is.Ways {
		is.Ways[way].ConductanceM3 *= v.through(Way(way))
		is.ConductanceM3 += is.Ways[way].ConductanceM3
	}
	is.zones = eachWay(was.zones, func(way Way, o *suction.Opening) { o.ConductanceM3 *= v.through(way) })
	return is
}

// through is the factor on the conductance of a way.
func (v Varied) through(way Way) float64 {
	if way != cells.Work {
		return v.layer
	}
	if v.series == 0 {
		return v.work
	}
	return v.layer * v.work * (1 + v.series) / (v.layer + v.series*v.work)
}
