package pieces

import "staydown/sweep/internal/raster"

// extents gives for each piece the range of cells that were part of it when it was freed.
func (t *Tree) extents() []raster.Extent {
	out := t.tally.ext
	// Children have higher ids than their parents.
	for i := len(out) - 1; i > 0; i-- {
		if p := t.parent[i]; p > 0 {
			out[p] = out[p].Union(out[i])
		}
	}
	return out
}

// marked is a row of a tile that is all part of a piece.
var marked = func() (row [raster.TileSide]uint8) {
	for x := range row {
		row[x] = 1
	}
	return row
}()

// maskOf marks the cells of a piece at the moment it was freed.
func (t *Tree) maskOf(c *raster.Cells, id int32, e raster.Extent) *raster.Mask {
	m := raster.NewMask(e)
	at, whole := t.Freed[id], t.whole[id]
	lastLabel, lastIn := int32(-1), false
	for y := int(e.Y0); y <= int(e.Y1); y++ {
		row := m.In[(y-int(e.Y0)+1)*m.W+1:]
		for x := int(e.X0); x <= int(e.X1); {
			tl, k := c.At(x, y)
			n := min(raster.TileSide-x&raster.TileMask, int(e.X1)-x+1)
			part := row[x-int(e.X0):][:n]
			x += n
			if tl == nil {
				if l := c.Plain[(y>>raster.TileBits)*c.TX+(x-1)>>raster.TileBits].Label; l > 0 &&
					t.PieceAt(l, at) == id {
					copy(part, marked[:])
				}
				continue
			}
			label, cut := tl.Label[k:k+n], tl.Cut[k:k+n]
			for j, l := range label {
				if l != lastLabel {
					lastLabel, lastIn = l, l > 0 && t.PieceAt(l, at) == id
				}
				if lastIn && cut[j] >= whole {
					part[j] = 1
				}
			}
		}
	}
	return m
}
