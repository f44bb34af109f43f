package airrun

import (
	"reflect"
	"slices"

	"staydown/hold/airflow"
	"staydown/sweep"
)

// sameCuts tells whether two records are alike in all that decides the air under tight work: where and when they cut
// through, how deep the layer is cut, and which pieces there are. Programs that differ in the depths of passes or in
// feeds may be.
func sameCuts(a, b *sweep.Record) bool {
	if a.Grid != b.Grid || len(a.Pieces) != len(b.Pieces) ||
		!slices.Equal(a.Hanging, b.Hanging) || !slices.Equal(airflow.Drilled(a), airflow.Drilled(b)) ||
		!reflect.DeepEqual(a.Stock, b.Stock) {
		return false
	}
	for i := range a.Pieces {
		p, q := &a.Pieces[i], &b.Pieces[i]
		if p.Freed != q.Freed || (len(p.Sections) > 0) != (len(q.Sections) > 0) ||
			!reflect.DeepEqual(p.Outline, q.Outline) {
			return false
		}
	}
	rows := [2]cutRow{newCutRow(a), newCutRow(b)}
	for iy := range a.Grid.NY {
		if !rows[0].same(&rows[1], iy) {
			return false
		}
	}
	return true
}

// cutRow is a row of cells of a record.
type cutRow struct {
	rec     *sweep.Record
	cut     []sweep.Progress
	label   []int32
	depthMM []float32
}

func newCutRow(rec *sweep.Record) cutRow {
	n := rec.Grid.NX
	return cutRow{rec, make([]sweep.Progress, n), make([]int32, n), make([]float32, n)}
}

func (r *cutRow) same(o *cutRow, iy int) bool {
	for ix := 0; ix < len(r.cut); {
		to, alike := r.rec.Stretch(ix, iy)
		other, otherAlike := o.rec.Stretch(ix, iy)
		to = min(to, other)
		if alike && otherAlike {
			if r.rec.CutAt(ix, iy) != o.rec.CutAt(ix, iy) || r.rec.Label(ix, iy) != o.rec.Label(ix, iy) ||
				r.rec.LayerDepthMM(ix, iy) != o.rec.LayerDepthMM(ix, iy) {
				return false
			}
			ix = to
			continue
		}
		for _, c := range [...]*cutRow{r, o} {
			c.rec.PartOfRow(ix, to, iy, nil, c.cut, c.label, c.depthMM)
		}
		if !slices.Equal(r.cut[ix:to], o.cut[ix:to]) || !slices.Equal(r.label[ix:to], o.label[ix:to]) ||
			!slices.Equal(r.depthMM[ix:to], o.depthMM[ix:to]) {
			return false
		}
		ix = to
	}
	return true
}
