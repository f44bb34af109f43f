package hold

import (
	"math"

	"staydown/hold/airflow"
)

// maxFieldCells bounds the raster of one picture of the pressure.
const maxFieldCells = 40_000

// picture keeps the pressure difference under the stock at the end of an epoch, on a raster coarse enough to look at:
// means over squares of air cells, NaN where less than half of a square is covered.
func (a *Analysis) picture(model *airflow.Model, e *epoch) Field {
	r := model.Raster()
	side := 1
	for (r.NX+side-1)/side*((r.NY+side-1)/side) > maxFieldCells {
		side++
	}
	f := Field{
		TimeS: a.timeS(e.until), OriginX: r.OriginX, OriginY: r.OriginY, CellMM: r.CellMM * float64(side),
		NX: (r.NX + side - 1) / side, NY: (r.NY + side - 1) / side,
	}
	f.KPa = make([]float32, f.NX*f.NY)
	count := make([]int, len(f.KPa))
	w := make([]float64, len(f.KPa))
	for iy := range r.NY {
		for ix := range r.NX {
			if v := float64(r.W[iy*r.NX+ix]); !math.IsNaN(v) {
				k := iy/side*f.NX + ix/side
				w[k] += v
				count[k]++
			}
		}
	}
	for k := range f.KPa {
		f.KPa[k] = float32(math.NaN())
		if 2*count[k] >= side*side {
			f.KPa[k] = float32(airflow.DifferencePa(a.job.AmbientPa, e.state.ChuckPa, w[k]/float64(count[k])) / 1000)
		}
	}
	return f
}
