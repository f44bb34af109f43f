package pieces

import (
	"math"
	"slices"
	"sort"

	"staydown/sweep/internal/plan"
	"staydown/sweep/internal/raster"
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
		i := n.node
		kids := f.largestFirst(n.Parts, int(id[i]) <= blanks)
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

// largestFirst puts the parts of a split in the order in which they have a right to the number of the whole; of a
// blank, those that reach its rim come first.
func (f *MergeTree) largestFirst(parts []int32, blank bool) []int32 {
	kids := slices.Clone(parts)
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
	return kids
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

// tally is what the cells of each piece add up to, by id, without those of the pieces cut from it later.
type tally struct {
	vol, num []int64 // heights, and cells left at the end
	top      []raster.Fixed
	ext      []raster.Extent
	under    []cutUnderTool
}

// cutUnderTool is what stands under the tool when a piece is freed and goes with the same plunge.
type cutUnderTool struct {
	cellSums
	vol int64 // heights
}
