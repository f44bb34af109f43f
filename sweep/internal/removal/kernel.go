package removal

import (
	"math"

	"staydown/sweep/internal/raster"
	"staydown/sweep/internal/shape"
)

// kernel removes material in the rows of one band of tiles. Each band belongs to one worker at a time and meets
// the segments in the order of the program.
type kernel struct {
	g           raster.Grid
	c           *raster.Cells
	chunk       *chunk
	pool        *raster.TilePool
	acc         []sample     // of the chunk, this worker's own
	through     raster.Fixed // a film up to this is cut
	throughOnly bool         // nothing but cuts through the stock is asked for
	web         raster.Fixed
	keepWebs    bool                   // the moments at which cells become webs are kept
	deep        raster.Fixed           // no tool is followed below
	lo, hi      [raster.TileSide]int32 // cells of the row inside the sweep: lo..hi-1
	zMin        raster.Fixed           // lowest level of the segment at hand
	flat        levelCut
}

// level turns a height of the tool into a height of the grid.
func (k *kernel) level(mm float64) raster.Fixed { return max(raster.ToFixed(mm), k.deep) }

// nothingLeft tells that nothing in tile i is left for the segment at hand.
func (k *kernel) nothingLeft(i int) bool {
	return k.c.TopOf(i) <= k.zMin || k.c.Tiles[i] == nil && k.c.Plain[i].Blank < 0 && k.zMin >= 0
}

// cellRow is a stretch of a row of cells in one tile, with the segment that sweeps over it.
type cellRow struct {
	s        *segment
	j        *job
	t        *raster.Tile
	first, n int     // of the tile's cells
	x        int32   // column of the first one in the grid
	y        float64 // of their centers, mm
}

// tile takes the segment through rows from up to, but without, to of tile tx of a band.
func (k *kernel) tile(s *segment, j *job, ty, tx, from, to int) {
	x0 := int32(tx << raster.TileBits)
	row := cellRow{s: s, j: j}
	visited, changed := 0, false
	for r := from; r < to; r++ {
		lo, hi := max(k.lo[r], x0), min(k.hi[r], x0+raster.TileSide)
		if lo >= hi {
			continue
		}
		if row.t == nil {
			row.t = k.c.Touch(ty*k.c.TX+tx, k.pool)
		}
		visited += int(hi - lo)
		row.first, row.n, row.x = r<<raster.TileBits+int(lo-x0), int(hi-lo), lo
		row.y = k.g.OriginY + (float64(ty<<raster.TileBits+r)+0.5)*k.g.CellMM
		if s.len == 0 {
			changed = k.plungeRow(&row) || changed
		} else {
			changed = k.row(&row) || changed
		}
	}
	if row.t != nil {
		row.t.UpdateTop(changed, visited)
	}
}

// rowsNear gives the rows first to end-1 of a band of tiles, all whose centers lie between two Y, and perhaps one more
// on either side.
func (k *kernel) rowsNear(lo, hi float64, ty int) (first, end int) {
	y0 := ty << raster.TileBits
	first = int(math.Floor((lo-k.g.OriginY)/k.g.CellMM-0.5)) - y0
	end = int(math.Ceil((hi-k.g.OriginY)/k.g.CellMM-0.5)) - y0 + 1
	return max(0, first), min(raster.TileSide, k.g.NY-y0, end)
}

// span finds the cells of row r whose centers lie within s.reach of the segment.
func (k *kernel) span(s *segment, y float64, r int) {
	k.lo[r], k.hi[r] = 0, 0
	xl, xh := math.Inf(1), math.Inf(-1)
	rr := float64(s.reach * s.reach)
	if d := y - s.ay; math.Abs(d) <= s.reach {
		w := math.Sqrt(rr - float64(d*d))
		xl, xh = s.ax-w, s.ax+w
	}
	if s.len > 0 {
		if d := y - s.by; math.Abs(d) <= s.reach {
			w := math.Sqrt(rr - float64(d*d))
			xl, xh = min(xl, s.bx-w), max(xh, s.bx+w)
		}
		// The sides of the sweep: points at +-reach across from both ends.
		for _, side := range [2]float64{s.reach, -s.reach} {
			ox, oy := -s.uy*side, s.ux*side
			ya, yb := s.ay+oy, s.by+oy
			if (ya <= y) == (yb <= y) {
				continue
			}
			x := s.ax + ox + float64((s.bx-s.ax)*((y-ya)/(yb-ya)))
			xl, xh = min(xl, x), max(xh, x)
		}
		// The caps' straight ends need no care: the discs reach beyond them.
	}
	if xl <= xh {
		k.lo[r], k.hi[r] = k.cellsIn(xl, xh)
	}
}

// cellsIn gives the cells lo..hi-1 whose centers lie in xl..xh.
func (k *kernel) cellsIn(xl, xh float64) (lo, hi int32) {
	return k.onGrid(k.firstFrom(xl), k.endBy(xh))
}

// firstFrom and endBy give the first cell whose center lies at x or beyond, and the one after the last whose center
// lies at x or before.
func (k *kernel) firstFrom(x float64) float64 { return math.Ceil((x-k.g.OriginX)/k.g.CellMM - 0.5) }
func (k *kernel) endBy(x float64) float64     { return math.Floor((x-k.g.OriginX)/k.g.CellMM-0.5) + 1 }

// onGrid keeps a stretch of cells to the grid; 0, 0 where nothing is left.
func (k *kernel) onGrid(a, b float64) (lo, hi int32) {
	a, b = max(a, 0), min(b, float64(k.g.NX))
	if a >= b {
		return 0, 0
	}
	return int32(a), int32(b)
}

// plungeRow lets the tool go up or down on the spot.
func (k *kernel) plungeRow(row *cellRow) (changed bool) {
	s, j, t := row.s, row.j, row.t
	low := min(s.az, s.bz)
	zLow := k.level(low)
	dy := row.y - s.ay
	if j.coarseTime && j.tool.Square() {
		return k.clearRow(row, zLow)
	}
	var fall crossTimes
	for i := range row.n {
		n := row.first + i
		if t.Height[n] <= zLow {
			continue
		}
		p := 0.0
		if !j.tool.Square() {
			// The span of a square end is exact already.
			dx := k.g.OriginX + (float64(int(row.x)+i)+0.5)*k.g.CellMM - s.ax
			d := math.Sqrt(float64(dx*dx) + float64(dy*dy))
			if d > j.tool.R {
				continue
			}
			p = j.tool.At(d)
		}
		z := k.level(low + p)
		if t.Height[n] <= z {
			continue
		}
		switch {
		case j.coarseTime:
			fall = crossTimes{}
		case !j.tool.Square() || fall.from != t.Height[n]:
			fall = crossTimes{t.Height[n], crossings{s.fractionAt(t.Height[n], p), s.fractionAt(k.through, p),
				s.fractionAt(k.web, p)}}
		}
		k.lower(row, n, z, 0, fall.crossings)
		changed = true
	}
	return changed
}

// clearRow takes the tool down to z over a row, where moments inside the move do not matter.
func (k *kernel) clearRow(row *cellRow, z raster.Fixed) (changed bool) {
	h, cut := row.t.Height[row.first:row.first+row.n], row.t.Cut[row.first:row.first+row.n]
	for n := range h {
		switch {
		case h[n] <= z:
		case h[n] <= k.through:
			h[n], changed = z, true
		case z <= k.through:
			cut[n], h[n], changed = row.j.first, min(z, 0), true
		}
	}
	return changed
}

// crossings are the fractions of the move at which the tool meets a cell, cuts it through and makes it a web.
type crossings struct{ first, through, web float64 }

// crossTimes are those of a move straight down for cells of one height.
type crossTimes struct {
	from raster.Fixed
	crossings
}

// fractionAt gives the fraction of the move at which a plunging tool's surface, p above the tip, is down at a level.
func (s *segment) fractionAt(level raster.Fixed, p float64) float64 {
	drop := s.az - s.bz
	if drop <= 0 {
		return s.f0
	}
	return s.f0 + max(0, min(1, (s.az+p-level.MM())/drop))*(s.f1-s.f0)
}

// row is the general sweep: any profile, any slope. Along the segment the height of the tool above a cell,
//
//	g(u) = z0 + m u + p(sqrt(s^2 + (l-u)^2)),
//
// is convex in u, so its least value is the stationary point or the nearer end of the range where the tool covers
// the cell, and the first moment below a level is found by halving on the falling side.
func (k *kernel) row(row *cellRow) (changed bool) {
	s, tool := row.s, row.j.tool
	rr := float64(tool.R * tool.R)
	zLow := k.level(min(s.az, s.bz))
	lo, hi := k.ahead(s, tool, row.x, row.x+int32(row.n), row.y)
	if lo >= hi {
		return false
	}
	dx, dy := k.g.OriginX+(float64(lo)+0.5)*k.g.CellMM-s.ax, row.y-s.ay
	l0, s0 := float64(s.ux*dx)+float64(s.uy*dy), float64(s.ux*dy)-float64(s.uy*dx)
	dl, ds := float64(s.ux*k.g.CellMM), -float64(s.uy*k.g.CellMM)
	first := row.first + int(lo-row.x)
	for i, h := range row.t.Height[first : first+int(hi-lo)] {
		if h <= zLow || k.throughOnly && h <= k.through {
			continue
		}
		l, side := l0+float64(float64(i)*dl), s0+float64(float64(i)*ds)
		ss := float64(side * side)
		// No point of the segment brings the tool lower than its lowest tip would at the least distance.
		level := h
		if k.throughOnly {
			level = k.through + 1
		}
		w := l - max(0, min(s.len, l))
		if level <= zLow || ss+float64(w*w) >= tool.Within2((level-zLow).MM())+1e-9 {
			continue
		}
		q := rr - ss
		if q < 0 {
			continue
		}
		q = math.Sqrt(q)
		u0, u1 := max(0, l-q), min(s.len, l+q)
		if u0 > u1 {
			continue
		}
		u := max(u0, min(u1, l-tool.Lowest(side, q, s.climb)))
		g := sweepAt{s, tool, ss, l}
		z := k.level(g.height(u))
		if h <= z || k.throughOnly && z > k.through {
			continue
		}
		var at crossings
		if !row.j.coarseTime {
			at = k.crossings(&g, h, z, u0, u)
		}
		k.lower(row, first+i, z, side, at)
		changed = true
	}
	return changed
}

// crossings are those of a cell of height h over which the tool is lowest, at z, at place u.
func (k *kernel) crossings(g *sweepAt, h, z raster.Fixed, u0, u float64) crossings {
	meet := u
	if g.s.climb == 0 {
		meet = g.entry(h.MM(), u0, u)
	}
	through, web := meet, meet
	if z <= k.through && h > k.through {
		through = g.below(k.through.MM(), u0, u)
	}
	if z <= k.web && h > k.web {
		web = g.below(k.web.MM(), u0, u)
	}
	s := g.s
	return crossings{s.f0 + float64(meet*s.perLen), s.f0 + float64(through*s.perLen), s.f0 + float64(web*s.perLen)}
}

// ahead leaves out the cells of a row over which the tool is lowest at the very start of a segment: they had that from
// what the tool did before, since it always stands where a segment begins.
func (k *kernel) ahead(s *segment, tool *shape.Cutter, lo, hi int32, y float64) (int32, int32) {
	back := tool.Behind(s.climb)
	if back >= s.reach {
		return lo, hi
	}
	x := k.g.OriginX + (float64(lo)+0.5)*k.g.CellMM - s.ax
	l0 := float64(s.ux*x) + float64(s.uy*(y-s.ay)) + back
	dl := float64(s.ux * k.g.CellMM)
	n := float64(hi - lo)
	switch {
	case l0 <= 0 && l0+dl*n <= 0:
		return lo, lo
	case l0 < 0 && dl > 0:
		return lo + int32(min(n, -l0/dl)), hi
	case l0 > 0 && dl < 0 && l0+dl*n < 0:
		return lo, lo + int32(min(n, l0/-dl+1))
	}
	return lo, hi
}

// sweepAt is the height of the tool above one cell along a segment.
type sweepAt struct {
	s    *segment
	tool *shape.Cutter
	ss   float64 // square of the distance from the path
	l    float64 // place along the path
}

func (g *sweepAt) height(u float64) float64 {
	w := g.l - u
	return g.s.az + float64(g.s.climb*u) + g.tool.At(math.Sqrt(g.ss+float64(w*w)))
}

// entry gives where a level segment first reaches down to height h, not before u0 nor after u.
func (g *sweepAt) entry(h, u0, u float64) float64 {
	r := g.tool.Within(h - g.s.az)
	q := float64(r*r) - g.ss
	if r < 0 || q <= 0 {
		return u
	}
	return max(u0, min(u, g.l-math.Sqrt(q)))
}

// below gives the first u in u0..u1 with g(u) <= h, where g falls from u0 to u1 and g(u1) <= h within rounding.
func (g *sweepAt) below(h, u0, u1 float64) float64 {
	if g.s.climb == 0 {
		return g.entry(h, u0, u1)
	}
	if g.height(u0) <= h {
		return u0
	}
	for i := 0; i < 40; i++ {
		if m := (u0 + u1) / 2; g.height(m) <= h {
			u1 = m
		} else {
			u0 = m
		}
	}
	return u1
}

// lower lowers cell n of a tile to z and books it.
func (k *kernel) lower(row *cellRow, n int, z raster.Fixed, side float64, at crossings) {
	j, t := row.j, row.t
	h := t.Height[n]
	if h <= k.through {
		// Below the stock: the layer, no material.
		t.Height[n] = min(h, z)
		return
	}
	if k.throughOnly {
		if z <= k.through {
			t.Cut[n], t.Height[n] = j.tickAt(at.through), min(z, 0)
		}
		return
	}
	a := &k.acc[j.sampleAt(at.first)]
	if z <= k.through {
		z = min(z, 0)
		t.Cut[n] = j.tickAt(at.through)
		a.bits |= bitThrough
		if at.through != at.first {
			k.acc[j.sampleAt(at.through)].bits |= bitThrough
		}
	}
	left := max(z, 0)
	if left > 0 && left <= k.web {
		k.markThin(j, t, n, h > k.web, left, at.web)
	}
	a.add(float32(side), h, left)
	t.Height[n] = z
}

// levelCut is what the segments of such cuts have in common, for one worker.
type levelCut struct {
	from, to *footprint
	cols     []column // by column of tiles

	first, last int // columns that the segment at hand came to
}

// footprint is the tool at one end of a segment, row by row of a band of tiles: firstFrom and endBy of its rim.
type footprint struct {
	x, y, reach float64
	ty          int
	a, b        [raster.TileSide]float64 // a > b where the row passes it by
}

// column is what a segment meets in one tile.
type column struct {
	t       *raster.Tile
	state   columnState
	changed bool
	visited int
}

type columnState uint8

const (
	columnUnknown columnState = iota
	columnDone                // nothing is left to cut
	columnOpen
)

// markThin notes that cell n is a web of height left, now become one at a fraction of the move if it was none before.
func (k *kernel) markThin(j *job, t *raster.Tile, n int, now bool, left raster.Fixed, at float64) {
	if k.keepWebs {
		t.MarkThinAt(n, now, left, j.tickAt(at))
	} else {
		t.MarkThin(n, now, left)
	}
}
