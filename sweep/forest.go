package sweep

// Pieces are found by reading time backwards: material only ever disappears, so putting the cells back in order of
// falling time only ever joins sets. A disjoint-set forest over nodes (not over cells) keeps them: every cell stores the
// node that its set had when the cell joined, and a node is made for each set that is left at the end, for each set
// that begins, and for each meeting of two grown sets. Such a meeting, read forwards, is a split.

// node is a set of cells between two meetings.
type node struct {
	up     int32 // disjoint-set parent (compressed on the way); itself for a root
	alias  int32 // the node that took this one in as a crumb; itself if none
	size   int64 // cells
	sx, sy int64 // sums of the cells' indices
	rim    bool  // touches the outer rim of its blank
	blank  int16 // the blank it is part of
	rep    int64 // a cell of the set that outlives the others' joining: tile index and place
	move   int32 // the move that cut the cell last put back
	solid  int64 // cells that outlast that move
	met    int32 // the node of the meeting that this set went into; noNode if none
}

// meeting is where grown sets come together: read forwards, a split.
type meeting struct {
	node int32   // that begins here
	kids []int32 // sets that met
	at   tick    // when, a moment at which the kids were set apart
	cell uint32  // slot and place of the cell that joined them
	move int32   // that was under way
}

type forest struct {
	c     *cells
	nodes []node
	meets []meeting                     // in order of falling time
	move  int32                         // whose cells are being put back; -1 for those that stay
	level func(t *tile) *[tileArea]tick // when the cells of a tile are gone
	// necks are the cells whose removal parted their own surroundings though not, as far as the raster tells, the set.
	necks     []uint64 // tick and cell, as in a queue
	seekNecks bool
}

// cutLevel takes a cell for gone when it is cut through.
func cutLevel(t *tile) *[tileArea]tick { return &t.cut }

func (f *forest) find(i int32) int32 {
	for f.nodes[i].up != i {
		f.nodes[i].up = f.nodes[f.nodes[i].up].up
		i = f.nodes[i].up
	}
	return i
}

func (f *forest) add(blank int16, rep int64) int32 {
	i := int32(len(f.nodes))
	f.nodes = append(f.nodes, node{up: i, alias: i, blank: blank, rep: rep, move: -1, met: noNode})
	return i
}

// repOf names cell k of tile i.
func repOf(i, k int) int64 { return int64(i)<<(2*tileBits) | int64(k) }

// absorb joins set b, a crumb, to set a.
func (f *forest) absorb(a, b int32) {
	na, nb := &f.nodes[a], &f.nodes[b]
	na.enter(f.move)
	na.solid += nb.solidAfter(f.move)
	nb.up, nb.alias = a, a
	na.size += nb.size
	na.sx += nb.sx
	na.sy += nb.sy
	na.rim = na.rim || nb.rim
}

// enter begins the cells of a move.
func (n *node) enter(move int32) {
	if n.move != move {
		n.move, n.solid = move, n.size
	}
}

// solidAfter counts the cells that outlast a move under way.
func (n *node) solidAfter(move int32) int64 {
	if n.move == move {
		return n.solid
	}
	return n.size
}

// settled follows the crumbs to the node that counts.
func (f *forest) settled(i int32) int32 {
	for f.nodes[i].alias != i {
		f.nodes[i].alias = f.nodes[f.nodes[i].alias].alias
		i = f.nodes[i].alias
	}
	return i
}

// remaining labels the material that is left at the end, set by set.
func (f *forest) remaining() {
	c := f.c
	for i := range c.tiles {
		if t := c.tiles[i]; t != nil {
			f.scanTile(i, t)
		} else if c.plain[i].blank >= 0 {
			f.scanPlain(i)
		} else {
			c.plain[i].label = noNode
		}
	}
	// Give the sets that are left nodes of their own, in order of their first cell.
	old := f.nodes
	f.nodes = nil
	name := make([]int32, len(old))
	for i := range old {
		name[i] = noNode
	}
	fold := func(label int32) int32 {
		if label == noNode {
			return noNode
		}
		r := label
		for old[r].up != r {
			old[r].up = old[old[r].up].up
			r = old[r].up
		}
		if name[r] == noNode {
			name[r] = f.add(old[r].blank, old[r].rep)
		}
		return name[r]
	}
	for i, t := range c.tiles {
		x0, y0 := int64(i%c.tx)<<tileBits, int64(i/c.tx)<<tileBits
		if t == nil {
			u := &c.plain[i]
			if u.label = fold(u.label); u.label != noNode {
				n := &f.nodes[u.label]
				n.size += tileArea
				n.sx += x0*tileArea + tileSide*(tileSide*(tileSide-1)/2)
				n.sy += y0*tileArea + tileSide*(tileSide*(tileSide-1)/2)
				n.rim = n.rim || f.plainAtRim(i)
			}
			continue
		}
		nearRim := c.nearRim(i)
		for k := 0; k < tileArea; {
			l := t.label[k]
			if l == noNode {
				k++
				continue
			}
			// A run of one label in a row is entered at once.
			to, k0, stop := fold(l), k, k|tileMask
			for ; k <= stop && t.label[k] == l; k++ {
				t.label[k] = to
			}
			count, x, y := int64(k-k0), x0+int64(k0&tileMask), y0+int64(k0>>tileBits)
			n := &f.nodes[to]
			n.size += count
			n.sx += count*x + count*(count-1)/2
			n.sy += count * y
			for j := k0; nearRim && !n.rim && j < k; j++ {
				n.rim = f.atRim(i, j)
			}
		}
	}
}

// nearRim tells whether a cell of tile i may lie on the outer rim of a blank.
func (c *cells) nearRim(i int) bool {
	open := func(i int, ok bool) bool {
		if !ok {
			return true
		}
		t := c.tiles[i]
		if t == nil {
			return c.plain[i].blank == noBlank
		}
		// Tiles of one blank only have no cells outside it.
		return c.plain[i].blank == noBlank || c.plain[i].blank == mixed || t.rim
	}
	return open(i, true) || open(i-1, i%c.tx > 0) || open(i+1, i%c.tx < c.tx-1) || open(i-c.tx, i >= c.tx) || open(i+c.tx, i/c.tx < c.ty-1)
}

// noNode marks cells that belong to no set (yet).
const noNode int32 = -1

// scanTile gives provisional labels to a tile with memory, joining them to the tiles to the left and below.
func (f *forest) scanTile(i int, t *tile) {
	gone := f.level(t)
	ua, ub := noNode, noNode // united last
	for k := range gone {
		if gone[k] != tickNever {
			t.label[k] = noNode
			continue
		}
		l, d := noNode, noNode
		if t.blank == nil && k&tileMask != 0 && k >= tileSide {
			l, d = t.label[k-1], t.label[k-tileSide]
		} else {
			b := f.c.blankAt(i, k)
			l, d = f.leftOf(i, t, k, b), f.below(i, t, k, b)
		}
		switch {
		case l == d && l != noNode:
			t.label[k] = l
		case l != noNode && d != noNode:
			t.label[k] = l
			if l != ua || d != ub {
				f.unite(l, d)
				ua, ub = l, d
			}
		case l != noNode:
			t.label[k] = l
		case d != noNode:
			t.label[k] = d
		default:
			t.label[k] = f.add(f.c.blankAt(i, k), repOf(i, k))
		}
	}
}

func (f *forest) unite(a, b int32) {
	a, b = f.find(a), f.find(b)
	if a > b {
		a, b = b, a
	}
	f.nodes[b].up = a
}

func (f *forest) leftOf(i int, t *tile, k int, blank int16) int32 {
	if k&tileMask != 0 {
		if t.blank != nil && int16(t.blank[k-1]) != blank {
			return noNode
		}
		return t.label[k-1]
	}
	if i%f.c.tx == 0 {
		return noNode
	}
	return f.labelIn(i-1, k+tileMask, blank)
}

func (f *forest) below(i int, t *tile, k int, blank int16) int32 {
	if k >= tileSide {
		if t.blank != nil && int16(t.blank[k-tileSide]) != blank {
			return noNode
		}
		return t.label[k-tileSide]
	}
	if i < f.c.tx {
		return noNode
	}
	return f.labelIn(i-f.c.tx, k+tileArea-tileSide, blank)
}

// labelIn gives the label of a cell if it is of the same blank.
func (f *forest) labelIn(i, k int, blank int16) int32 {
	if t := f.c.tiles[i]; t != nil {
		if l := t.label[k]; l == noNode || f.c.blankAt(i, k) != blank {
			return noNode
		}
		return t.label[k]
	}
	if u := f.c.plain[i]; u.blank == blank {
		return u.label
	}
	return noNode
}

func (f *forest) scanPlain(i int) {
	u := &f.c.plain[i]
	u.label = f.add(u.blank, repOf(i, 0))
	for k := 0; k < tileSide; k++ {
		if i%f.c.tx > 0 {
			if l := f.labelIn(i-1, k<<tileBits|tileMask, u.blank); l != noNode {
				f.unite(l, u.label)
			}
		}
		if i >= f.c.tx {
			if l := f.labelIn(i-f.c.tx, tileArea-tileSide+k, u.blank); l != noNode {
				f.unite(l, u.label)
			}
		}
	}
}

// inTile is the step to the neighbour of a cell inside its tile; dir as for side.
var inTile = [4]int{1, tileSide, -1, -tileSide}

// inside tells whether all eight cells round cell k lie in its own tile.
func inside(k int) bool {
	x, y := k&tileMask, k>>tileBits
	return x > 0 && x < tileMask && y > 0 && y < tileMask
}

// side gives the cell next to cell k of tile i; dir is 0 right, 1 up, 2 left, 3 down. ok is false off the grid.
func (c *cells) side(i, k, dir int) (ni, nk int, ok bool) {
	switch dir {
	case 0:
		if k&tileMask != tileMask {
			return i, k + 1, true
		}
		return i + 1, k - tileMask, i%c.tx != c.tx-1
	case 1:
		if k < tileArea-tileSide {
			return i, k + tileSide, true
		}
		return i + c.tx, k - tileArea + tileSide, i/c.tx != c.ty-1
	case 2:
		if k&tileMask != 0 {
			return i, k - 1, true
		}
		return i - 1, k + tileMask, i%c.tx != 0
	}
	if k >= tileSide {
		return i, k - tileSide, true
	}
	return i - c.tx, k + tileArea - tileSide, i/c.tx != 0
}

// atRim tells whether a cell lies on the outer rim of its blank.
func (f *forest) atRim(i, k int) bool {
	for dir := 0; dir < 4; dir++ {
		ni, nk, ok := f.c.side(i, k, dir)
		if !ok {
			return true
		}
		if t := f.c.tiles[ni]; t != nil {
			if t.cut[nk] == tickOutside {
				return true
			}
		} else if f.c.plain[ni].blank == noBlank {
			return true
		}
	}
	return false
}

// plainAtRim does the same for a whole tile without memory.
func (f *forest) plainAtRim(i int) bool {
	for k := 0; k < tileSide; k++ {
		for _, e := range [...]int{k, tileArea - tileSide + k, k << tileBits, k<<tileBits | tileMask} {
			if f.atRim(i, e) {
				return true
			}
		}
	}
	return false
}
