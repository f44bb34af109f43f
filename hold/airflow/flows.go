package airflow

import "math"

// rowFlows are the flows under the cover of one row of cells, as bared area that would let in as much, mm2. In and out
// differ in single rows.
type rowFlows struct {
	out float64           // into the plenum
	by  []float64         // the same by zone, from 1; nil where zones share one plenum
	in  [WayCount]float64 // from the air
}

func (r *rowFlows) add(o *rowFlows) {
	r.out += o.out
	if o.by != nil {
		r.by = append(r.by, make([]float64, len(o.by)-len(r.by))...)
	}
	for zone, out := range o.by {
		r.by[zone] += out
	}
	for way := range r.in {
		r.in[way] += o.in[way]
	}
}

// flowsOf sums the flows of one row of cells.
func (f *field) flowsOf(row int) rowFlows {
	var flows rowFlows
	from, to := row*f.grid.NX, (row+1)*f.grid.NX
	w, source, sink, drain := f.w[from:to], f.source[from:to], f.sink[from:to], f.drain[from:to]
	out, in := 0.0, 0.0
	for i, w := range w {
		out += source[i] * (1 - w)
		in += sink[i]*w + drain[i]
	}
	flows.out, flows.in[Kerfs] = out, in
	if f.seep != nil {
		for i, w := range w {
			through := f.throughWork(from+i) * w
			flows.in[Work] += through
			flows.in[Kerfs] -= through
		}
	}
	for _, cell := range f.mixed[row] {
		ways, length := f.edgeWays[cell], 0.0
		for _, part := range ways {
			length += part
		}
		// edges that were cut away since may be counted still
		if length = math.Max(length, f.edges[cell].length()); length > 0 {
			edges := (f.sink[cell]-f.throughWork(int(cell)))*f.w[cell] + f.drain[cell]
			for way, part := range ways {
				flows.in[way] += part / length * edges
				flows.in[Kerfs] -= part / length * edges
			}
		}
	}
	if f.zonesApart {
		flows.by = make([]float64, len(f.byZone))
		for i, w := range w {
			flows.by[f.zone[from+i]] += source[i] * (1 - w)
		}
	}
	return flows
}
