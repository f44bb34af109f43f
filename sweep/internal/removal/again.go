package removal

import (
	"staydown/parse"
	"staydown/sweep/internal/plan"
	"staydown/sweep/internal/raster"
)

// Again runs the moves near a small grid over it, all of it in one blank unless that is mixed. Of cells that go
// outside the time asked for only the move is right.
func Again(s *plan.Setup, coarse *raster.Cells, g raster.Grid, near *plan.MoveIndex, spare *raster.TilePool,
	blank int16, asked raster.Interval) *raster.Cells {
	c := raster.NewCells(g, s.Stock, coarse.Clock)
	if blank == raster.Mixed {
		c.Rasterize(g, s.Stock, spare)
	} else {
		c.FillPlain(blank)
	}
	local := *s
	local.Grid, local.Opt.Jobs = g, 1
	moves := 0
	near.Each(g.Box(), func(int, *parse.Move) { moves++ })
	d := newDriver(&local, c, moves, spare)
	d.throughOnly, d.asked, d.kernels[0].throughOnly = true, asked, true
	near.Each(g.Box(), func(i int, _ *parse.Move) {
		d.add(i)
		if d.n >= chunkSamples || len(d.segs) >= chunkSegs {
			d.flush()
		}
	})
	d.finish()
	return c
}
