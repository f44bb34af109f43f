package field

import (
	"math"

	"staydown/hold/airflow/internal/cells"
)

// Flows are the flows under the cover of one row of cells, as bared area that would let in as much, mm2. In and out
// differ in single rows.
type Flows struct {
	Out float64                 // into the plenum
	By  []float64               // the same by zone, from 1; nil where zones share one plenum
	In  [cells.WayCount]float64 // from the air
}

func (r *Flows) add(o *Flows) {
	r.Out += o.Out
	if o.By != nil {
		r.By = append(r.By, make([]float64, len(o.By)-len(r.By))...)
	}
	for zone, out := range o.By {
		r.By[zone] += out
	}
	for way := range r.In {
		r.In[way] += o.In[way]
	}
}

// flowsOf sums the flows of one row of cells.
func (f *Field) flowsOf(row int) Flows {
	var flows Flows
	from, to := row*f.Grid.NX, (row+1)*f.Grid.NX
	if f.ZonesApart {
		flows.By = make([]float64, len(f.ByZone))
	}
	for cell := from; cell < to; cell++ {
		out := f.source[cell] * (1 - f.w[cell])
		flows.Out += out
		flows.In[cells.Work] += f.throughWork(cell) * f.w[cell]
		flows.In[cells.Kerfs] += f.pastEdges(cell)
		if f.ZonesApart {
			flows.By[f.Zone[cell]] += out
		}
	}
	for _, cell := range f.mixed[row] {
		ways, length := f.EdgeWays[cell], 0.0
		for _, part := range ways {
			length += part
		}
		// edges that were cut away since may be counted still
		if length = math.Max(length, f.edges[cell].Length()); length > 0 {
			edges := f.pastEdges(int(cell))
			for way, part := range ways {
				flows.In[way] += part / length * edges
				flows.In[cells.Kerfs] -= part / length * edges
			}
		}
	}
	return flows
}

// pastEdges is what comes into a cell from what is exposed beside it, mm2.
func (f *Field) pastEdges(cell int) float64 {
	return (f.sink[cell]-f.throughWork(cell))*f.w[cell] + f.drain[cell]
}
