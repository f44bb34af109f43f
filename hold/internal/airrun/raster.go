package airrun

import (
	"math"

	"staydown/hold/airflow"
)

// maxFieldCells bounds the raster of one picture of the pressure.
const maxFieldCells = 40_000

// Raster is the share w of the chuck's vacuum that reaches the work, on a raster coarse enough to look at: means over
// squares of air cells, NaN where less than half of a square is covered.
type Raster struct {
	OriginX, OriginY float64
	CellMM           float64
	NX, NY           int
	W                []float64
	Parts            []airflow.Part // of the chuck; nil where all is at one pressure
}

// coarseW is the raster at the moment at which the model stands.
func coarseW(model *airflow.Model) *Raster {
	r := model.Raster()
	side := 1
	for (r.NX+side-1)/side*((r.NY+side-1)/side) > maxFieldCells {
		side++
	}
	out := &Raster{
		OriginX: r.OriginX, OriginY: r.OriginY, CellMM: r.CellMM * float64(side),
		NX: (r.NX + side - 1) / side, NY: (r.NY + side - 1) / side,
	}
	out.W = make([]float64, out.NX*out.NY)
	if r.Parts != nil {
		out.Parts = make([]airflow.Part, len(out.W))
	}
	count := make([]int, len(out.W))
	for iy := range r.NY {
		for ix := range r.NX {
			if v := float64(r.W[iy*r.NX+ix]); !math.IsNaN(v) {
				k := iy/side*out.NX + ix/side
				out.W[k] += v
				if out.Parts != nil {
					out.Parts[k] = r.Parts[iy*r.NX+ix]
				}
				count[k]++
			}
		}
	}
	for k := range out.W {
		if 2*count[k] < side*side {
			out.W[k] = math.NaN()
			continue
		}
		out.W[k] /= float64(count[k])
	}
	return out
}
