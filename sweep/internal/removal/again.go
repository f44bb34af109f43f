package removal

import (
	"staydown/parse"
	"staydown/sweep/internal/plan"
	"staydown/sweep/internal/raster"
)

// Part is what is swept again: a small grid, all of it in one blank unless that is mixed, in a time.
type Part struct {
	Grid  raster.Grid
	Blank int16
	Asked raster.Interval
}

// Again runs the moves near a part over it. Of cells that go outside the time asked for only the move is right.
func Again(s *plan.Setup, coarse *raster.Cells, near *plan.MoveIndex, p Part, spare *raster.TilePool) *raster.Cells {
	c := raster.NewCells(p.Grid, s.Stock, coarse.Clock)
	if p.Blank == raster.Mixed {
		c.Rasterize(p.Grid, s.Stock, spare)
	} else {
		c.FillPlain(p.Blank)
	}
	local := *s
	local.Grid, local.Opt.Jobs = p.Grid, 1
	var moves []int
	near.Each(p.Grid.Box(), func(i int, _ *parse.Move) { moves = append(moves, i) })
	d := newDriver(&local, c, len(moves), spare)
	d.throughOnly, d.asked, d.kernels[0].throughOnly = true, p.Asked, true
	for _, i := range moves {
		d.next(i)
	}
	d.finish()
	return c
}
