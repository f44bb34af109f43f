package sweep

// extents gives for each piece the range of cells that were part of it when it was freed.
func (t *pieceTree) extents() []extent {
	out := t.tally.ext
	// Children have higher ids than their parents.
	for i := len(out) - 1; i > 0; i-- {
		if p := t.parent[i]; p > 0 {
			out[p] = out[p].union(out[i])
		}
	}
	return out
}

// marked is a row of a tile that is all part of a piece.
var marked = func() (row [tileSide]uint8) {
	for x := range row {
		row[x] = 1
	}
	return row
}()

// maskOf marks the cells of a piece at the moment it was freed.
func (t *pieceTree) maskOf(c *cells, id int32, e extent) *mask {
	m := &mask{e: e, w: int(e.x1-e.x0) + 3, h: int(e.y1-e.y0) + 3}
	m.in = make([]uint8, m.w*m.h)
	at, whole := t.freed[id], t.whole[id]
	lastLabel, lastIn := int32(-1), false
	for y := int(e.y0); y <= int(e.y1); y++ {
		row := m.in[(y-int(e.y0)+1)*m.w+1:]
		for x := int(e.x0); x <= int(e.x1); {
			tl, k := c.at(x, y)
			n := min(tileSide-x&tileMask, int(e.x1)-x+1)
			part := row[x-int(e.x0):][:n]
			x += n
			if tl == nil {
				if l := c.plain[(y>>tileBits)*c.tx+(x-1)>>tileBits].label; l > 0 && t.pieceAt(l, at) == id {
					copy(part, marked[:])
				}
				continue
			}
			label, cut := tl.label[k:k+n], tl.cut[k:k+n]
			for j, l := range label {
				if l != lastLabel {
					lastLabel, lastIn = l, l > 0 && t.pieceAt(l, at) == id
				}
				if lastIn && cut[j] >= whole {
					part[j] = 1
				}
			}
		}
	}
	return m
}
