package raster

import (
	"sort"

	"staydown/sweep/parallel"
)

// run is a stretch of cells lo..hi-1 in a row that belong to a blank.
type run struct {
	lo, hi int32
	blank  int16 // or holeBlank
}

// rasterBlanks gives for every row of the grid the stretches of material in rising order, and those of cut-outs. Where
// blanks overlap the first one has the cell.
func rasterBlanks(g Grid, s Stock) [][]run {
	rows := make([][]run, g.NY)
	for b, blank := range s.Blanks {
		material, filled := g.Fill(blank.Outline), g.Fill(blank.Outline[:1])
		for iy := range rows {
			for _, in := range material[iy] {
				rows[iy] = append(rows[iy], run{in.From, in.To, int16(b)})
			}
			for _, in := range filled[iy] {
				rows[iy] = append(rows[iy], run{in.From, in.To, holeBlank})
			}
		}
	}
	for iy := range rows {
		rows[iy] = resolveOverlaps(rows[iy])
	}
	return rows
}

// resolveOverlaps resolves overlaps: material before cut-outs, earlier blanks before later ones.
func resolveOverlaps(in []run) []run {
	if len(in) < 2 {
		return in
	}
	edges := make([]int32, 0, 2*len(in))
	for _, r := range in {
		edges = append(edges, r.lo, r.hi)
	}
	sort.Slice(edges, func(i, j int) bool { return edges[i] < edges[j] })
	var out []run
	for i := 0; i+1 < len(edges); i++ {
		lo, hi := edges[i], edges[i+1]
		if lo == hi {
			continue
		}
		best := noBlank
		for _, r := range in {
			if r.lo <= lo && hi <= r.hi && better(r.blank, best) {
				best = r.blank
			}
		}
		if best == noBlank {
			continue
		}
		if n := len(out); n > 0 && out[n-1].hi == lo && out[n-1].blank == best {
			out[n-1].hi = hi
		} else {
			out = append(out, run{lo, hi, best})
		}
	}
	return out
}

func better(a, b int16) bool {
	switch {
	case b == noBlank:
		return true
	case a >= 0 && b >= 0:
		return a < b
	}
	return a >= 0
}

// Rasterize fills the store with the blanks: tiles that are not all alike get their memory now, from the pools, one for
// each worker.
func (c *Cells) Rasterize(g Grid, s Stock, pools ...*TilePool) (stock int64) {
	rows, blanks := rasterBlanks(g, s), len(s.Blanks)
	sums := make([]int64, len(pools))
	parallel.ForRuns(len(pools), c.TY, bandRows, func(worker, ty int) {
		for tx := 0; tx < c.TX; tx++ {
			sums[worker] += c.rasterizeTile(g, rows, tx, ty, blanks, pools[worker])
		}
	})
	for _, sum := range sums {
		stock += sum
	}
	return stock
}

// bandRows is how many rows of tiles a worker lays at once.
const bandRows = 8

func (c *Cells) rasterizeTile(g Grid, rows [][]run, tx, ty, blanks int, spare *TilePool) (stock int64) {
	i := ty*c.TX + tx
	x0, y0 := int32(tx<<TileBits), ty<<TileBits
	kind, first := noBlank, true
	for r := 0; r < TileSide && kind != Mixed; r++ {
		k := noBlank
		if y0+r < g.NY {
			k = kindOf(rows[y0+r], x0, x0+TileSide)
		}
		if first {
			kind, first = k, false
		} else if k != kind {
			kind = Mixed
		}
	}
	c.Plain[i].Blank = kind
	if kind != Mixed {
		if kind >= 0 {
			stock = int64(c.Tops[kind]) * TileArea
		}
		return stock
	}
	t := spare.tile()
	if t.used {
		clear(t.Cut[:])
		clear(t.Height[:])
	}
	t.Rim, t.top = true, 0
	if blanks > 1 {
		t.Blank = new([TileArea]uint16)
	}
	for r := 0; r < TileSide && y0+r < g.NY; r++ {
		for _, s := range rows[y0+r] {
			for x := max(s.lo, x0); x < min(s.hi, x0+TileSide); x++ {
				k := r<<TileBits | int(x-x0)
				if s.blank == holeBlank {
					t.Cut[k] = tickHole
					continue
				}
				t.Cut[k], t.Height[k] = TickNever, c.Tops[s.blank]
				stock += int64(t.Height[k])
				t.top = max(t.top, t.Height[k])
				if t.Blank != nil {
					t.Blank[k] = uint16(s.blank)
				}
			}
		}
	}
	if blanks == 1 {
		c.Plain[i].Blank = 0
	}
	c.Tiles[i] = t
	return stock
}

// kindOf tells what the cells lo..hi-1 of a row are, mixed when not alike.
func kindOf(row []run, lo, hi int32) int16 {
	j := sort.Search(len(row), func(i int) bool { return row[i].hi > lo })
	switch {
	case j == len(row) || row[j].lo >= hi:
		return noBlank
	case row[j].lo <= lo && row[j].hi >= hi:
		return row[j].blank
	}
	return Mixed
}
