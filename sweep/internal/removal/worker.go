package removal

import (
	"math"

	"staydown/sweep/internal/raster"
)

// begin turns to a chunk, as worker n of it.
func (k *kernel) begin(c *chunk, n int) {
	k.chunk = c
	if k.throughOnly {
		return
	}
	if cap(c.acc[n]) < c.n {
		c.acc[n] = make([]sample, c.n+c.n/4)
	}
	c.acc[n] = c.acc[n][:c.n]
	k.acc = c.acc[n]
}

// work takes the bands of the chunk that nobody has taken yet.
func (k *kernel) work() {
	for i := range k.acc {
		k.acc[i].reset()
	}
	for {
		i := int(k.chunk.next.Add(1)) - 1
		if i >= len(k.chunk.used) {
			return
		}
		ty := int(k.chunk.used[i])
		for _, n := range k.chunk.bands[ty] {
			k.run(&k.chunk.segs[n], ty)
		}
	}
}

// run takes segment s through the band of tiles ty.
func (k *kernel) run(s *segment, ty int) {
	if !s.again {
		k.cut(s, ty)
	}
	if !k.throughOnly {
		k.probe(s, ty)
	}
}

func (k *kernel) cut(s *segment, ty int) {
	j := &k.chunk.jobs[s.job]
	k.zMin = k.level(min(s.az, s.bz))
	if s.len > 0 && s.climb == 0 && j.tool.Square() {
		k.cutLevel(s, j, ty)
		return
	}
	first, last := int32(math.MaxInt32), int32(math.MinInt32)
	y0 := ty << raster.TileBits
	from, to := k.rowsNear(min(s.ay, s.by)-s.reach, max(s.ay, s.by)+s.reach, ty)
	for r := from; r < to; r++ {
		y := k.g.OriginY + (float64(y0+r)+0.5)*k.g.CellMM
		k.span(s, y, r)
		if k.lo[r] < k.hi[r] {
			first, last = min(first, k.lo[r]), max(last, k.hi[r]-1)
		}
	}
	if first > last {
		return
	}
	for tx := int(first) >> raster.TileBits; tx <= int(last)>>raster.TileBits; tx++ {
		if !k.nothingLeft(ty*k.c.TX + tx) {
			k.tile(s, j, ty, tx, from, to)
		}
	}
}
