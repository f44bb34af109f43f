package sweep

import (
	"math"
	"sort"

	"github.com/paulmach/orb"

	"staydown/sweep/parallel"
)

// pieceTree tells which piece was cut from which, and when.
type pieceTree struct {
	parent []int32 // by id; 0 for the blanks. Entry 0 is unused
	freed  []tick  // by id; 0 for the blanks
	// by id: from when on its own cells count as its own; later than freed where a plunge frees it, whose end this is
	whole []tick
	nodes []int32 // by id: the node that begins when the piece is freed (a blank: at the start)
	f     *forest
	tally *tally
}

// newTree names the pieces of a forest whose cells were put back, and turns the labels of the cells from nodes into ids.
func newTree(s *setup, c *cells, f *forest) *pieceTree {
	tree, id := nameNodes(f, len(s.stock.Blanks), func(n *node) bool { return isChips(s, n) })
	for l := range id {
		if n := f.settled(int32(l)); n != int32(l) {
			id[l] = id[n]
		}
	}
	tree.whole = make([]tick, len(tree.freed))
	for i, at := range tree.freed {
		if at < firstTick {
			continue
		}
		tree.whole[i] = at + 1
		move := c.clock.move(at)
		if m := s.moves.At(move); m.Upright() {
			tree.whole[i] = c.clock.first[move+1]
		}
	}
	tree.tally = takeStock(s, c, id, tree)
	return tree
}

// nameNodes gives ids to the nodes: the blanks first, then forwards in time. Where a set splits, the largest fragment
// (of a blank: the largest that reaches the rim) keeps the id.
func nameNodes(f *forest, blanks int, chips func(n *node) bool) (*pieceTree, []int32) {
	tree := &pieceTree{parent: make([]int32, blanks+1), freed: make([]tick, blanks+1), nodes: make([]int32, blanks+1),
		f: f}
	for i := range tree.nodes {
		tree.nodes[i] = noNode
	}
	id := make([]int32, len(f.nodes))
	// A blank whose cells do not hang together from the start: the largest part is the blank, the others are pieces
	// that were free before the program began.
	var extra []int32
	for i := range f.nodes {
		n := &f.nodes[i]
		if n.up != int32(i) {
			continue
		}
		b := int(n.blank) + 1
		if old := tree.nodes[b]; old == noNode {
			tree.nodes[b] = int32(i)
		} else if f.nodes[old].size < n.size {
			extra = append(extra, old)
			tree.nodes[b] = int32(i)
		} else {
			extra = append(extra, int32(i))
		}
	}
	for b := 1; b <= blanks; b++ {
		if n := tree.nodes[b]; n != noNode {
			id[n] = int32(b)
		}
	}
	sort.Slice(extra, func(i, j int) bool { return extra[i] < extra[j] })
	for _, n := range extra {
		id[n] = tree.add(int32(f.nodes[n].blank)+1, 0, n)
	}
	// Read forwards, every node comes after the one it splits from.
	for m := len(f.meets) - 1; m >= 0; m-- {
		n := &f.meets[m]
		i := n.node
		kids := append([]int32(nil), n.kids...)
		blank := int(id[i]) <= blanks
		sort.Slice(kids, func(a, b int) bool {
			x, y := &f.nodes[kids[a]], &f.nodes[kids[b]]
			if blank && x.rim != y.rim {
				return x.rim
			}
			// What the same move goes on to cut away does not count.
			if a, b := x.solid(), y.solid(); a != b {
				return a > b
			}
			if x.size != y.size {
				return x.size > y.size
			}
			return kids[a] < kids[b]
		})
		id[kids[0]] = id[i]
		for _, k := range kids[1:] {
			if chips != nil && chips(&f.nodes[k]) {
				id[k] = id[i]
				continue
			}
			id[k] = tree.add(id[i], n.at, k)
		}
	}
	return tree, id
}

// isChips tells whether a set smaller than the tool is cut away by the very move that sets it apart.
func isChips(s *setup, n *node) bool {
	if n.solid() >= crumbCells {
		return false
	}
	tool := s.cutters[s.moves.At(int(n.move)).Tool]
	return tool != nil && float64(n.size)*s.grid.CellMM*s.grid.CellMM < math.Pi*tool.r*tool.r
}

func (t *pieceTree) add(parent int32, at tick, node int32) int32 {
	t.parent = append(t.parent, parent)
	t.freed = append(t.freed, at)
	t.nodes = append(t.nodes, node)
	return int32(len(t.parent) - 1)
}

// pieceAt walks up to the piece that a label was part of at a moment.
func (t *pieceTree) pieceAt(label int32, at tick) int32 {
	for label > 0 && t.freed[label] > at {
		label = t.parent[label]
	}
	return label
}

func (t *pieceTree) pieces(s *setup, c *cells) []Piece {
	cell := s.grid.CellMM
	out := make([]Piece, len(t.parent)-1)
	for i := range out {
		p := &out[i]
		p.ID, p.Parent = i+1, int(t.parent[i+1])
		p.Freed, p.Hung = c.clock.progress(t.freed[i+1]), Never
		if t.nodes[i+1] == noNode {
			continue
		}
		n, u := &t.f.nodes[t.nodes[i+1]], &t.tally.under[i+1]
		if u.size >= n.size {
			*u = under{} // a shred that was gone before the thread it hung on: it counts as it was
		}
		size := float64(n.size - u.size)
		p.AreaMM2 = size * cell * cell
		p.Centroid = orb.Point{
			s.grid.OriginX + (float64(n.sx-u.sx)/size+0.5)*cell,
			s.grid.OriginY + (float64(n.sy-u.sy)/size+0.5)*cell,
		}
	}
	t.measure(s, c, out)
	ext := t.extents()
	parallel.For(s.opt.Jobs, len(out), func(_, i int) {
		if i < len(s.stock.Blanks) {
			out[i].Outline = orb.MultiPolygon{s.stock.Blanks[i].Outline.Clone()}
		} else if e := ext[i+1]; e.x0 <= e.x1 {
			out[i].Outline = t.maskOf(c, int32(i+1), e).outline(s.grid)
		}
		out[i].Class = classify(s, c, &out[i], t.freed[i+1])
	})
	return out
}

// measure sums up what is left of each piece at the end, and its volume and height when it was freed. Heights of that
// moment are not kept: a cell counts with what it has at the end, or, if it is cut through later, with the least height
// it had as a web before, else with the height of the blank.
func (t *pieceTree) measure(s *setup, c *cells, out []Piece) {
	area := s.grid.CellMM * s.grid.CellMM
	vol, num, top := t.tally.vol, t.tally.num, t.tally.top
	// Children have higher ids than their parents.
	for i := len(out); i > 0; i-- {
		if p := t.parent[i]; p > 0 {
			vol[p] += vol[i]
			top[p] = max(top[p], top[i])
		}
	}
	for i := range out {
		p := &out[i]
		p.FinalAreaMM2 = float64(num[i+1]) * area
		p.VolumeMM3 = float64(vol[i+1]-t.tally.under[i+1].vol) / fixPerMM * area
		p.TopMM = s.stock.BottomMM + top[i+1].mm()
		if i < len(c.tops) {
			p.TopMM = s.stock.Blanks[i].TopMM
			p.VolumeMM3 = p.AreaMM2 * c.tops[i].mm()
		}
	}
}
