package subcell

import (
	"slices"

	"staydown/sweep/internal/raster"
	"staydown/sweep/parallel"
)

// A cut narrower than a cell may part what the raster joins: between two holes that overlap by less than c^2/4R (cell
// c, tool radius R) there may be no cell's center, and the cells on both sides of the neck hang together. Such a neck
// is so short that of the cells between the two holes at most one row stands, and one of them parts its surroundings.
// So each standing cell of this kind is swept again, with the eight round it, on the local grid. Where that shows
// nothing that joins the sides at the end of the program, the cell counts as cut, at the last moment at which something
// did.
//
// Bound: a neck narrower than a fineness-th of a cell may be missed, which is an overlap of c^2/(4 fineness^2 R). So
// may one whose sides are cut away later in the program, and a slit that is narrower than a cell all along, as of the
// tip of a vee.

// gap is a standing cell that parts its surroundings.
type gap struct {
	tile, k int
	at      raster.Tick // from when on it counts as cut; TickNever if it does not
}

// OpenGaps cuts the cells that only seem to join what is parted; all is false where not every one was looked at.
func (b *Bridges) OpenGaps() (all bool) {
	jobs := max(1, b.s.Opt.Jobs)
	found := make([][]gap, jobs)
	parallel.For(jobs, b.c.TY, func(worker, ty int) {
		for i := ty * b.c.TX; i < (ty+1)*b.c.TX; i++ {
			if t := b.c.Tiles[i]; t != nil {
				found[worker] = gapsIn(found[worker], b.c, i, t)
			}
		}
	})
	gaps := slices.Concat(found...)
	slices.SortFunc(gaps, func(p, q gap) int { return (p.tile-q.tile)*raster.TileArea + p.k - q.k })
	all = len(gaps) <= maxRefined
	gaps = gaps[:min(len(gaps), maxRefined)]
	benches := make([]workspace, jobs)
	parallel.For(jobs, len(gaps), func(worker, i int) { gaps[i].at = b.opened(&gaps[i], &benches[worker]) })
	for _, p := range gaps {
		if p.at != raster.TickNever {
			t := b.c.Tiles[p.tile]
			t.Cut[p.k], t.Height[p.k] = p.at, 0
		}
	}
	return all
}

// gapsIn adds the standing cells of a tile that part their surroundings.
func gapsIn(out []gap, c *raster.Cells, i int, t *raster.Tile) []gap {
	x0, y0 := c.Place(i, 0)
	for k, at := range &t.Cut {
		if at != raster.TickNever {
			continue
		}
		if raster.InsideTile(k) && t.Cut[k-1]&t.Cut[k+1]&t.Cut[k-raster.TileSide]&t.Cut[k+raster.TileSide]&
			t.Cut[k-raster.TileSide-1]&t.Cut[k-raster.TileSide+1]&
			t.Cut[k+raster.TileSide-1]&t.Cut[k+raster.TileSide+1] == raster.TickNever {
			continue
		}
		if raster.SplitsRound[c.StandingBeside(int(x0)+k&raster.TileMask, int(y0)+k>>raster.TileBits)] {
			out = append(out, gap{tile: i, k: k, at: raster.TickNever})
		}
	}
	return out
}

// opened looks at a cell and those round it on the local grid, and gives the last moment at which something joined its
// sides; TickNever if something still does.
func (b *Bridges) opened(p *gap, tools *workspace) raster.Tick {
	cx, cy := b.c.Place(p.tile, p.k)
	marks := b.groups(int(cx), int(cy), 1, raster.TickNever-1)
	if marks == nil {
		return raster.TickNever
	}
	// Corners by themselves join nothing to the cell.
	var side [maxGroups + 1]int8
	n := int8(0)
	for _, k := range [4]int{1, 3, 5, 7} {
		if m := marks[k]; m > 0 && side[m] == 0 {
			n++
			side[m] = n
		}
	}
	for k, m := range marks {
		marks[k] = side[m]
	}
	around := b.windowAt(int(cx), int(cy), 1, marks, raster.FirstTick, raster.FirstTick)
	links, _ := b.linksIn(around, around.always(), tools)
	if len(links) == 0 {
		return raster.TickNever
	}
	return links[0].at
}
