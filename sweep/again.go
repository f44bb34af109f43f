package sweep

import "staydown/parse"

// sweepAgain runs the moves near a small grid over it, all of it in one blank unless that is mixed. Of cells that go
// outside the time asked for only the move is right.
func sweepAgain(s *setup, coarse *cells, g Grid, near *moveIndex, spare *shed, blank int16, asked span) *cells {
	c := newCells(g, s.stock, coarse.clock)
	if blank == mixed {
		c.lay(g, s.stock, spare)
	} else {
		c.fillPlain(blank)
	}
	local := *s
	local.grid, local.opt.Jobs = g, 1
	d := newDriver(&local, c, spare)
	d.only, d.asked, d.kernels[0].only = true, asked, true
	near.each(g.box(), func(i int, _ *parse.Move) {
		d.add(i)
		if d.n >= chunkSamples || len(d.segs) >= chunkSegs {
			d.flush()
		}
	})
	d.finish()
	return c
}
