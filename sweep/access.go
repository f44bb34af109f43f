package sweep

import "staydown/sweep/internal/raster"

// CutAt gives the moment at which a cell was cut through: Never if it was not, 0 where there was no material from the
// start.
func (r *Record) CutAt(ix, iy int) raster.Progress {
	return r.cells.Clock.Progress(r.cells.CutAt(ix, iy))
}

// Label gives the id of the piece that a cell belongs to at the end, or belonged to just before it was cut through; 0
// where there was no material from the start.
func (r *Record) Label(ix, iy int) int32 { return r.cells.LabelAt(ix, iy) }

// PieceAt gives the piece that a cell with this label belonged to at moment p. A piece that is freed at p is free.
func (r *Record) PieceAt(label int32, p raster.Progress) int32 {
	for label > 0 && r.Pieces[label-1].Freed > p && r.Pieces[label-1].Freed != raster.Never {
		label = int32(r.Pieces[label-1].Parent)
	}
	return label
}

// LayerDepthMM gives how far the tools went below Stock.BottomMM in a cell, inside or outside the blanks.
func (r *Record) LayerDepthMM(ix, iy int) float64 { return max(0, -r.cells.HeightAt(ix, iy)).MM() }

// TopMM gives how far the top of the uncut blank lies above Stock.BottomMM in a cell; 0 where there is no blank.
func (r *Record) TopMM(ix, iy int) float64 {
	if blank := r.cells.BlankAt(ix, iy); blank >= 0 {
		return r.cells.Tops[blank].MM()
	}
	return 0
}

// RowCells is what Row copies of the cells of a row. Each slice is either nil, and then left out, or Grid.NX long.
type RowCells struct {
	HeightMM []float32         // left
	Cut      []raster.Progress // as CutAt
	Label    []int32
	DepthMM  []float32 // in the layer
}

// Row copies row iy of the grid.
func (r *Record) Row(iy int, into RowCells) { r.PartOfRow(0, r.Grid.NX, iy, into) }

// PartOfRow does so for the cells from ix up to, but without, to; ix is 0 or the end of a Stretch. What lies outside
// stays as it is.
func (r *Record) PartOfRow(ix, to, iy int, into RowCells) {
	height, cut, label, depth := into.HeightMM, into.Cut, into.Label, into.DepthMM
	c := r.cells
	last, lastP, move := raster.TickOutside, raster.Progress(0), 0
	for x0, end := ix, 0; x0 < to; x0 = end {
		i := (iy>>raster.TileBits)*c.TX + x0>>raster.TileBits
		t := c.Tiles[i]
		if t == nil {
			end, _ = r.Stretch(x0, iy)
			n := min(end, to) - x0
			p := raster.Never
			if c.Plain[i].Blank < 0 {
				p = 0
			}
			repeat(height, x0, n, float32(c.TopOf(i).MM()))
			repeat(cut, x0, n, p)
			repeat(label, x0, n, c.Plain[i].Label)
			repeat(depth, x0, n, 0)
			continue
		}
		end = x0 + raster.TileSide
		n := min(raster.TileSide, r.Grid.NX-x0)
		k := (iy & raster.TileMask) << raster.TileBits
		h := t.Height[k : k+n]
		if height != nil {
			for x, h := range h {
				height[x0+x] = float32(max(0, h).MM())
			}
		}
		if depth != nil {
			for x, h := range h {
				depth[x0+x] = float32(max(0, -h).MM())
			}
		}
		if label != nil {
			copy(label[x0:], t.Label[k:k+n])
		}
		if cut != nil {
			for x, at := range t.Cut[k : k+n] {
				if at != last {
					last, lastP = at, c.Clock.ProgressBy(at, &move)
				}
				cut[x0+x] = lastP
			}
		}
	}
}

// WebRow copies for row iy of the grid the moment from which each cell is a web, and the least height (mm) that it has
// as one. A cell that never is one has the moment of its cut (as CutAt) and height 0. Without Options.KeepWebs all
// cells count as such.
func (r *Record) WebRow(iy int, from []raster.Progress, leastMM []float32) {
	r.Row(iy, RowCells{Cut: from})
	c := r.cells
	last, lastP, move := raster.TickOutside, raster.Progress(0), 0
	for x0 := 0; x0 < r.Grid.NX; x0 += raster.TileSide {
		n := min(raster.TileSide, r.Grid.NX-x0)
		repeat(leastMM, x0, n, 0)
		t := c.Tiles[(iy>>raster.TileBits)*c.TX+x0>>raster.TileBits]
		if t == nil || t.Thin == nil || t.Thin.At == nil {
			continue
		}
		k := (iy & raster.TileMask) << raster.TileBits
		for x, at := range t.Thin.At[k : k+n] {
			if at == t.Cut[k+x] {
				continue
			}
			if at != last {
				last, lastP = at, c.Clock.ProgressBy(at, &move)
			}
			from[x0+x], leastMM[x0+x] = lastP, float32(t.WebHeight(k+x).MM())
		}
	}
}

// Stretch gives the end of a stretch of cells in row iy, from ix on. If alike is true Row tells the same of all of
// them.
func (r *Record) Stretch(ix, iy int) (to int, alike bool) {
	c, tx := r.cells, ix>>raster.TileBits
	row := (iy >> raster.TileBits) * c.TX
	first := row + tx
	if alike = c.Tiles[first] == nil; alike {
		for tx+1 < c.TX && c.Tiles[row+tx+1] == nil && c.Plain[row+tx+1] == c.Plain[first] {
			tx++
		}
	}
	return min(r.Grid.NX, (tx+1)<<raster.TileBits), alike
}

// repeat writes n equal values, unless the slice is nil.
func repeat[T any](to []T, from, n int, value T) {
	if to != nil {
		raster.Fill(to[from:from+n], value)
	}
}
