package airflow

import "math"

// Raster is the transmission w of the air cells at one moment, row by row from the lowest Y; NaN where no material
// lies.
type Raster struct {
	OriginX, OriginY float64 // mm, lower left corner
	CellMM           float64
	NX, NY           int
	W                []float32
	Parts            []Part // of the cells; nil where all are at one pressure
}

// Raster gives the field for a picture: the mean over what material covers of each air cell at the current moment.
func (m *Model) Raster() Raster {
	g := m.air.Grid
	out := Raster{
		OriginX: g.OriginX, OriginY: g.OriginY, CellMM: g.CellMM, NX: g.NX, NY: g.NY, W: make([]float32, g.NX*g.NY),
	}
	for cell := range out.W {
		var area, sum float64
		for k := m.air.First[cell]; k < m.air.First[cell+1]; k++ {
			q := &m.air.Groups[k]
			if q.Area <= 0 {
				continue
			}
			w, _, _ := m.faces.Transmission(q)
			area += float64(q.Area)
			sum += float64(q.Area) * w
		}
		out.W[cell] = float32(math.NaN())
		if area > 0 {
			out.W[cell] = float32(sum / area)
		}
	}
	out.Parts = m.faces.CellParts()
	return out
}
