package removal

import (
	"math/rand"
	"testing"

	"staydown/parse"
	"staydown/sweep/internal/plan"
	"staydown/sweep/internal/raster"
	"staydown/sweep/internal/testprog"
)

// The sweep that looks for nothing but cuts through the stock, used on the local grids, gives the same moments as the
// full one, cell by cell, for any moves.
func TestTheQuickSweepAgreesWithTheFullOne(t *testing.T) {
	compared := 0
	for seed := range int64(40) {
		rnd := rand.New(rand.NewSource(seed))
		data := make([]byte, rnd.Intn(600))
		rnd.Read(data)
		moves := testprog.FromBytes(data)
		s, err := plan.Prepare(parse.NewMoves(moves...), testprog.AllShapes(), testprog.Plate(50, 40, 6),
			plan.Options{CellMM: 0.5})
		if err != nil {
			continue
		}
		run := func(only bool) *raster.Cells {
			c := raster.NewCells(s.Grid, s.Stock, raster.NewClock(parse.NewMoves(moves...),
				s.Grid.CellMM/raster.TicksPerCell))
			c.Rasterize(s.Grid, s.Stock, new(raster.TilePool))
			d := newDriver(s, c, s.Moves.Len(), nil)
			d.throughOnly, d.asked = only, raster.Interval{From: 0, To: raster.TickNever}
			for _, k := range d.kernels {
				k.throughOnly = only
			}
			d.drive()
			return c
		}
		full, quick := run(false), run(true)
		for y := 0; y < s.Grid.NY; y++ {
			for x := 0; x < s.Grid.NX; x++ {
				p, q := full.CutAt(x, y), quick.CutAt(x, y)
				if p != q {
					t.Fatalf("seed %d: cell %d, %d at %v and %v", seed, x, y, full.Clock.Progress(p),
						quick.Clock.Progress(q))
				}
				if p >= raster.FirstTick && p != raster.TickNever {
					compared++
				}
			}
		}
	}
	if compared < 10000 {
		t.Errorf("only %d cells were cut through", compared)
	}
}
