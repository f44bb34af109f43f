package airrun

import (
	"reflect"
	"slices"

	"staydown/hold/airflow"
	"staydown/sweep"
)

// sameCuts tells whether two records are alike in all that decides the air under tight work at the ends of some epochs:
// where they cut through and in which move and epoch, how deep the layer is cut, and which pieces there are. Programs
// that differ in the depths of passes, in feeds or in the height of the stock may be: a plunge through higher stock
// gets through it a little later in the same move.
func sameCuts(a, b *sweep.Record, epochs []Epoch) bool {
	if a.Grid != b.Grid || a.Stock.BottomMM != b.Stock.BottomMM || len(a.Pieces) != len(b.Pieces) ||
		!slices.Equal(a.Hanging, b.Hanging) || !slices.Equal(airflow.Drilled(a), airflow.Drilled(b)) ||
		!reflect.DeepEqual(withoutTops(a.Stock.Blanks), withoutTops(b.Stock.Blanks)) {
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
		if !rows[0].same(&rows[1], iy, epochs) {
			return false
		}
	}
	return true
}

// withoutTops are blanks of no height, on which the air under tight work does not depend.
func withoutTops(blanks []sweep.Blank) []sweep.Blank {
	blanks = slices.Clone(blanks)
	for i := range blanks {
		blanks[i].TopMM = 0
	}
	return blanks
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

func (r *cutRow) same(o *cutRow, iy int, epochs []Epoch) bool {
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
			c.rec.PartOfRow(ix, to, iy, sweep.RowCells{Cut: c.cut, Label: c.label, DepthMM: c.depthMM})
		}
		sameTime := func(p, q sweep.Progress) bool { return p == q || sameMoveAndEpoch(p, q, epochs) }
		if !slices.EqualFunc(r.cut[ix:to], o.cut[ix:to], sameTime) || !slices.Equal(r.label[ix:to], o.label[ix:to]) ||
			!slices.Equal(r.depthMM[ix:to], o.depthMM[ix:to]) {
			return false
		}
		ix = to
	}
	return true
}

// sameMoveAndEpoch tells whether two moments lie in one move, and within the same epoch.
func sameMoveAndEpoch(p, q sweep.Progress, epochs []Epoch) bool {
	return p.Move() == q.Move() && !slices.ContainsFunc(epochs,
		func(e Epoch) bool { return (p <= e.Until) != (q <= e.Until) })
}
