package sweep

import (
	"testing"

	"staydown/sweep/internal/testprog"
)

// A slot first cut to 4 mm, then to 1.5 mm (a web below 2 mm), then half of its length through: what WebRow tells of
// the cells of its middle row.
func TestWebRowTellsWhenCellsBecomeWebs(t *testing.T) {
	p := testprog.New(1).Enter(5, 10, -2).Line(35, 10, -2)
	thin := Progress(len(p.Moves) + 1) // the next move goes down at the end of the slot, the one after it goes along it
	p.Line(35, 10, -4.5).Line(5, 10, -4.5)
	through := Progress(len(p.Moves) + 1)
	p.Line(5, 10, -6.1).Line(20, 10, -6.1).Up()
	for _, keep := range []bool{true, false} {
		rec, err := Run(movesOf(p.Moves), testprog.EndMill(4), testprog.Plate(40, 20, 6), Options{CellMM: 0.5, WebMM: 2,
			KeepWebs: keep})
		if err != nil {
			t.Fatal(err)
		}
		n := rec.Grid.NX
		from, least, cut := make([]Progress, n), make([]float32, n), make([]Progress, n)
		iy := int((10 - rec.Grid.OriginY) / rec.Grid.CellMM)
		rec.WebRow(iy, from, least)
		rec.Row(iy, RowCells{Cut: cut})
		at := func(x float64) int { return int((x - rec.Grid.OriginX) / rec.Grid.CellMM) }
		for _, row := range []struct {
			x         float64
			move      Progress // in which the cell becomes a web
			mm        float32
			cutInMove Progress
		}{{12, thin, 1.5, through}, {28, thin, 1.5, Never}, {39, Never, 0, Never}} {
			i := at(row.x)
			wantFrom, wantMM := row.move, row.mm
			if !keep {
				wantFrom, wantMM = row.cutInMove, 0
			}
			if from[i].Move() != wantFrom.Move() || least[i] != wantMM || cut[i].Move() != row.cutInMove.Move() {
				t.Errorf("keep %v, X%g: web from %g with %g mm, cut at %g; want %+v", keep, row.x, from[i], least[i],
					cut[i], row)
			}
		}
	}
}
