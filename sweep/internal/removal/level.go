package removal

import (
	"math"

	"staydown/sweep/internal/raster"
)

// Most of a nest is cut by square ends at constant height, a short block at a time. Such a block takes no more than the
// crescent between where the tool stands at its beginning and where it gets to: what was under the tool at the
// beginning is gone already.

// footprintAt gives the tool in one place, from what the last segment left if possible.
func (k *kernel) footprintAt(d *footprint, x, y, reach float64, ty int) *footprint {
	if d == nil {
		d = new(footprint)
	} else if d.x == x && d.y == y && d.reach == reach && d.ty == ty {
		return d
	}
	d.x, d.y, d.reach, d.ty = x, y, reach, ty
	d.a, d.b = nowhere.a, nowhere.b
	rr := float64(reach * reach)
	first, end := k.rowsNear(y-reach, y+reach, ty)
	for r := first; r < end; r++ {
		dy := k.g.OriginY + (float64(ty<<raster.TileBits+r)+0.5)*k.g.CellMM - y
		if math.Abs(dy) <= reach {
			w := math.Sqrt(rr - float64(dy*dy))
			d.a[r], d.b[r] = k.firstFrom(x-w), k.endBy(x+w)
		}
	}
	return d
}

// nowhere is a footprint that all rows pass by.
var nowhere = func() (d footprint) {
	for r := range raster.TileSide {
		d.a[r], d.b[r] = math.Inf(1), math.Inf(-1)
	}
	return d
}()

// cutLevel sweeps a square end at constant height through a band of tiles.
func (k *kernel) cutLevel(s *segment, j *job, ty int) {
	l := &k.flat
	if l.to != nil && l.to.x == s.ax && l.to.y == s.ay {
		l.from, l.to = l.to, l.from
	}
	l.from, l.to = k.footprintAt(l.from, s.ax, s.ay, s.reach, ty), k.footprintAt(l.to, s.bx, s.by, s.reach, ty)
	if l.cols == nil {
		l.cols = make([]column, k.c.TX)
	}
	l.first, l.last = k.c.TX, -1
	sides := [2]side{s.sideAt(s.reach), s.sideAt(-s.reach)}
	firstRow, endRow := k.rowsNear(min(s.ay, s.by)-s.reach, max(s.ay, s.by)+s.reach, ty)
	for r := firstRow; r < endRow; r++ {
		y := k.g.OriginY + (float64(ty<<raster.TileBits+r)+0.5)*k.g.CellMM
		a, b := min(l.from.a[r], l.to.a[r]), max(l.from.b[r], l.to.b[r])
		for n := range sides {
			if e := &sides[n]; (e.ya <= y) != (e.yb <= y) {
				x := e.x + float64((s.bx-s.ax)*((y-e.ya)/(e.yb-e.ya)))
				a, b = min(a, k.firstFrom(x)), max(b, k.endBy(x))
			}
		}
		if !(a < b) {
			continue
		}
		first, end := k.onGrid(a, b)
		gapFirst, gapEnd := k.onGrid(l.from.a[r], l.from.b[r])
		if gapFirst, gapEnd = max(gapFirst, first), min(gapEnd, end); gapFirst >= gapEnd {
			gapFirst, gapEnd = end, end
		}
		row := cellRow{s: s, j: j, y: y}
		k.cutColumns(row, ty, r, first, gapFirst)
		k.cutColumns(row, ty, r, gapEnd, end)
	}
	for tx := l.first; tx <= l.last; tx++ {
		if col := &l.cols[tx]; col.state == columnOpen {
			col.t.UpdateTop(col.changed, col.visited)
		}
		l.cols[tx] = column{}
	}
}

// cutColumns cuts the cells of row r of a band from x up to, but without, end, tile by tile.
func (k *kernel) cutColumns(row cellRow, ty, r int, x, end int32) {
	l := &k.flat
	for x < end {
		tx := int(x >> raster.TileBits)
		to := min(end, int32(tx+1)<<raster.TileBits)
		col := &l.cols[tx]
		if col.state == columnUnknown {
			l.first, l.last = min(l.first, tx), max(l.last, tx)
			if i := ty*k.c.TX + tx; k.nothingLeft(i) {
				col.state = columnDone
			} else {
				col.t, col.state = k.c.Touch(i, k.pool), columnOpen
			}
		}
		if col.state == columnOpen {
			row.t, row.first, row.n, row.x = col.t, r<<raster.TileBits|int(x&raster.TileMask), int(to-x), x
			col.visited += row.n
			col.changed = k.levelRow(&row) || col.changed
		}
		x = to
	}
}

// side is one of the two straight edges of a sweep.
type side struct{ x, ya, yb float64 }

// sideAt is the edge so far to the left of the segment: points across from both ends.
func (s *segment) sideAt(off float64) side {
	ox, oy := -s.uy*off, s.ux*off
	return side{s.ax + ox, s.ay + oy, s.by + oy}
}

// levelRow cuts a row of cells.
func (k *kernel) levelRow(row *cellRow) (changed bool) {
	s, j, t := row.s, row.j, row.t
	z, cell := k.zMin, k.g.CellMM
	if j.coarseTime {
		return k.clearRow(row, z)
	}
	rr := float64(j.tool.R * j.tool.R)
	dx, dy := k.g.OriginX+(float64(row.x)+0.5)*cell-s.ax, row.y-s.ay
	l0, s0 := float64(s.ux*dx)+float64(s.uy*dy), float64(s.ux*dy)-float64(s.uy*dx)
	dl, ds := float64(s.ux*cell), -float64(s.uy*cell)
	h, cut := t.Height[row.first:row.first+row.n], t.Cut[row.first:row.first+row.n]
	cut = cut[:len(h)]
	through := z <= k.through
	bits, end, rest := uint16(0), z, z
	if through {
		bits, end, rest = bitThrough, min(z, 0), 0
	}
	for n := range h {
		if h[n] <= z {
			continue
		}
		changed = true
		if h[n] <= k.through {
			h[n] = z // the layer
			continue
		}
		side, u := s0+float64(float64(n)*ds), l0+float64(float64(n)*dl)
		if q := rr - float64(side*side); q > 0 {
			u -= math.Sqrt(q)
		}
		if u < 0 {
			u = 0
		} else if u > s.len {
			u = s.len
		}
		f := s.f0 + float64(u*s.perLen)
		if k.throughOnly {
			if through {
				cut[n], h[n] = j.tickAt(f), end
			}
			continue
		}
		// What lower does, for a whole row.
		a := &k.acc[j.sampleAt(f)]
		a.add(float32(side), h[n], rest)
		a.bits |= bits
		switch {
		case through:
			cut[n] = j.tickAt(f)
		case z <= k.web:
			k.markThin(j, t, row.first+n, h[n] > k.web, z, f)
		}
		h[n] = end
	}
	return changed
}
