package hold

import (
	"math"

	"staydown/hold/airflow"
)

// picture keeps the pressure difference under the stock at the end of an epoch.
func (a *Analysis) picture(model *airflow.Model, e *epoch) Field {
	r := model.Raster()
	f := Field{TimeS: a.timeS(e.until), OriginX: r.OriginX, OriginY: r.OriginY, CellMM: r.CellMM, NX: r.NX, NY: r.NY, KPa: make([]float32, len(r.W))}
	for i, w := range r.W {
		if math.IsNaN(float64(w)) {
			f.KPa[i] = w
			continue
		}
		f.KPa[i] = float32(airflow.DifferencePa(a.job.AmbientPa, e.state.ChuckPa, float64(w)) / 1000)
	}
	return f
}
