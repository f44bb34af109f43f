package hold

import (
	"math"

	"staydown/hold/airflow"
)

// maxFieldCells bounds the raster of one picture of the pressure.
const maxFieldCells = 40_000

// wRaster is the share w of the chuck's vacuum that reaches the work, on a raster coarse enough to look at: means over
// squares of air cells, NaN where less than half of a square is covered.
type wRaster struct {
	originX, originY float64
	cellMM           float64
	nx, ny           int
	w                []float64
}

// coarseW is the raster at the moment at which the model stands.
func coarseW(model *airflow.Model) *wRaster {
	r := model.Raster()
	side := 1
	for (r.NX+side-1)/side*((r.NY+side-1)/side) > maxFieldCells {
		side++
	}
	out := &wRaster{
		originX: r.OriginX, originY: r.OriginY, cellMM: r.CellMM * float64(side),
		nx: (r.NX + side - 1) / side, ny: (r.NY + side - 1) / side,
	}
	out.w = make([]float64, out.nx*out.ny)
	count := make([]int, len(out.w))
	for iy := range r.NY {
		for ix := range r.NX {
			if v := float64(r.W[iy*r.NX+ix]); !math.IsNaN(v) {
				k := iy/side*out.nx + ix/side
				out.w[k] += v
				count[k]++
			}
		}
	}
	for k := range out.w {
		if 2*count[k] < side*side {
			out.w[k] = math.NaN()
			continue
		}
		out.w[k] /= float64(count[k])
	}
	return out
}

// picture is the pressure difference under the stock at the end of an epoch.
func (a *Analysis) picture(r *wRaster, e *epoch) Field {
	f := Field{
		TimeS: a.clock.TimeS(e.until), OriginX: r.originX, OriginY: r.originY, CellMM: r.cellMM, NX: r.nx, NY: r.ny,
		KPa: make([]float32, len(r.w)),
	}
	for k, w := range r.w {
		f.KPa[k] = float32(math.NaN())
		if !math.IsNaN(w) {
			f.KPa[k] = float32(airflow.DifferencePa(a.job.AmbientPa, e.state.ChuckPa, w) / 1000)
		}
	}
	return f
}
