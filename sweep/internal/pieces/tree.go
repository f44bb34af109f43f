package pieces

import (
	"math"
	"sort"

	"github.com/paulmach/orb"

	"staydown/sweep/internal/plan"
	"staydown/sweep/internal/raster"
	"staydown/sweep/parallel"
)

// Tree tells which piece was cut from which, and when.
type Tree struct {
	parent []int32       // by id; 0 for the blanks. Entry 0 is unused
	Freed  []raster.Tick // by id; 0 for the blanks
	// by id: from when on its own cells count as its own; later than freed where a plunge frees it, whose end this is
	whole []raster.Tick
	nodes []int32 // by id: the node that begins when the piece is freed (a blank: at the start)
	f     *MergeTree
	tally *tally
}

// NewTree names the pieces of a forest whose cells were put back, and turns the labels of the cells from nodes into ids.
func NewTree(s *plan.Setup, c *raster.Cells, f *MergeTree) *Tree {
	tree, id := nameNodes(f, len(s.Stock.Blanks), func(n *treeNode) bool { return isChips(s, n) })
	for l := range id {
		if n := f.settled(int32(l)); n != int32(l) {
			id[l] = id[n]
		}
	}
	tree.whole = make([]raster.Tick, len(tree.Freed))
	for i, at := range tree.Freed {
		if at < raster.FirstTick {
			continue
		}
		tree.whole[i] = at + 1
		move := c.Clock.MoveOf(at)
		if m := s.Moves.At(move); m.Upright() {
			tree.whole[i] = c.Clock.First[move+1]
		}
	}
	tree.tally = takeStock(s, c, id, tree)
	return tree
}

// nameNodes gives ids to the nodes: the blanks first, then forwards in time. Where a set splits, the largest fragment
// (of a blank: the largest that reaches the rim) keeps the id.
func nameNodes(f *MergeTree, blanks int, chips func(n *treeNode) bool) (*Tree, []int32) {
	tree := &Tree{parent: make([]int32, blanks+1), Freed: make([]raster.Tick, blanks+1), nodes: make([]int32, blanks+1),
		f: f}
	for i := range tree.nodes {
		tree.nodes[i] = NoLabel
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
		if old := tree.nodes[b]; old == NoLabel {
			tree.nodes[b] = int32(i)
		} else if f.nodes[old].size < n.size {
			extra = append(extra, old)
			tree.nodes[b] = int32(i)
		} else {
			extra = append(extra, int32(i))
		}
	}
	for b := 1; b <= blanks; b++ {
		if n := tree.nodes[b]; n != NoLabel {
			id[n] = int32(b)
		}
	}
	sort.Slice(extra, func(i, j int) bool { return extra[i] < extra[j] })
	for _, n := range extra {
		id[n] = tree.add(int32(f.nodes[n].blank)+1, 0, n)
	}
	// Read forwards, every node comes after the one it splits from.
	for m := len(f.Merges) - 1; m >= 0; m-- {
		n := &f.Merges[m]
		i := n.Node
		kids := append([]int32(nil), n.Parts...)
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
			id[k] = tree.add(id[i], n.At, k)
		}
	}
	return tree, id
}

// isChips tells whether a set smaller than the tool is cut away by the very move that sets it apart.
func isChips(s *plan.Setup, n *treeNode) bool {
	if n.solid() >= minFragmentCells {
		return false
	}
	tool := s.Cutters[s.Moves.At(int(n.move)).Tool]
	return tool != nil && float64(n.size)*s.Grid.CellMM*s.Grid.CellMM < math.Pi*tool.R*tool.R
}

func (t *Tree) add(parent int32, at raster.Tick, node int32) int32 {
	t.parent = append(t.parent, parent)
	t.Freed = append(t.Freed, at)
	t.nodes = append(t.nodes, node)
	return int32(len(t.parent) - 1)
}

// PieceAt walks up to the piece that a label was part of at a moment.
func (t *Tree) PieceAt(label int32, at raster.Tick) int32 {
	for label > 0 && t.Freed[label] > at {
		label = t.parent[label]
	}
	return label
}

func (t *Tree) Pieces(s *plan.Setup, c *raster.Cells) []Piece {
	cell := s.Grid.CellMM
	out := make([]Piece, len(t.parent)-1)
	for i := range out {
		p := &out[i]
		p.ID, p.Parent = i+1, int(t.parent[i+1])
		p.Freed, p.Hung = c.Clock.Progress(t.Freed[i+1]), raster.Never
		if t.nodes[i+1] == NoLabel {
			continue
		}
		n, u := &t.f.nodes[t.nodes[i+1]], &t.tally.under[i+1]
		if u.size >= n.size {
			*u = cutUnderTool{} // a shred that was gone before the thread it hung on: it counts as it was
		}
		size := float64(n.size - u.size)
		p.AreaMM2 = size * cell * cell
		p.Centroid = orb.Point{
			s.Grid.OriginX + (float64(n.sx-u.sx)/size+0.5)*cell,
			s.Grid.OriginY + (float64(n.sy-u.sy)/size+0.5)*cell,
		}
	}
	t.measure(s, c, out)
	ext := t.extents()
	parallel.For(s.Opt.Jobs, len(out), func(_, i int) {
		if i < len(s.Stock.Blanks) {
			out[i].Outline = orb.MultiPolygon{s.Stock.Blanks[i].Outline.Clone()}
		} else if e := ext[i+1]; e.X0 <= e.X1 {
			out[i].Outline = t.maskOf(c, int32(i+1), e).Outline(s.Grid)
		}
		out[i].Class = classify(s, c, &out[i], t.Freed[i+1])
	})
	return out
}

// measure sums up what is left of each piece at the end, and its volume and height when it was freed. Heights of that
// moment are not kept: a cell counts with what it has at the end, or, if it is cut through later, with the least height
// it had as a web before, else with the height of the blank.
func (t *Tree) measure(s *plan.Setup, c *raster.Cells, out []Piece) {
	area := s.Grid.CellMM * s.Grid.CellMM
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
		p.VolumeMM3 = float64(vol[i+1]-t.tally.under[i+1].vol) / raster.FixedPerMM * area
		p.TopMM = s.Stock.BottomMM + top[i+1].MM()
		if i < len(c.Tops) {
			p.TopMM = s.Stock.Blanks[i].TopMM
			p.VolumeMM3 = p.AreaMM2 * c.Tops[i].MM()
		}
	}
}
