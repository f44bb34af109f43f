package pieces

import "staydown/sweep/internal/raster"

// treeNode is a set of cells between two merges. The first nodes are those of the sets that stay, the others follow in
// order of falling time. The sums are those of the set with all that was merged into it.
type treeNode struct {
	cellSums
	same   int64 // cells cut by the move under way at the latest cell; of a merged set, by the move of the merge
	last   int32 // move of the latest cell
	move   int32 // that is under way when the node ends; noMove if it does not
	up     int32 // disjoint-set parent (compressed on the way); itself for a root
	alias  int32 // the node that took this one in as a fragment; itself if none
	merged int32 // the node of the merge that ends it; NoLabel if none
	rep    int64 // a cell of the set that outlives the others' joining: tile index and place
	blank  int16 // the blank it is part of
}

// cellSums are what cells add up to.
type cellSums struct {
	size   int64 // cells
	sx, sy int64 // sums of their indices
	rim    bool  // one touches the outer rim of its blank
}

func (s *cellSums) add(o *cellSums) {
	s.size, s.sx, s.sy, s.rim = s.size+o.size, s.sx+o.sx, s.sy+o.sy, s.rim || o.rim
}

// solid counts the cells that outlast the move of the merge that ends the node.
func (n *treeNode) solid() int64 { return n.size - n.same }

// merge is where grown sets come together: read forwards, a split.
type merge struct {
	node  int32       // that begins here
	Parts []int32     // sets that met
	At    raster.Tick // when, a moment at which the kids were set apart
	Cell  uint32      // slot and place of the cell that joined them
	move  int32       // that was under way
}

// MergeTree is the merge tree of a store while it grows.
type MergeTree struct {
	c       *raster.Cells
	floor   int        // tiles below are not looked at by scan
	stay    []treeNode // as remaining leaves them
	nodes   []treeNode
	Merges  []merge // in order of falling time
	Plunges plunges
	// Candidates are the cells whose removal parted their own surroundings though not, as far as the raster tells, the
	// set.
	Candidates []uint64 // tick and cell, in order of falling time

	pages     [][][]uint32 // slot and place of the cells that are cut, by stretches of time
	pageTicks raster.Tick  // of a stretch
	nearRim   []bool       // of each slot
	last      int          // move of the latest cell that was put back
}

// NoLabel marks cells that belong to no set (yet), noMove no move.
const (
	NoLabel int32 = -1
	noMove  int32 = -1
)

func (f *MergeTree) add(blank int16, rep int64) int32 {
	i := int32(len(f.nodes))
	f.nodes = append(f.nodes, treeNode{up: i, alias: i, blank: blank, rep: rep, merged: NoLabel, move: noMove,
		last: noMove})
	return i
}

func (f *MergeTree) find(i int32) int32 {
	for f.nodes[i].up != i {
		f.nodes[i].up = f.nodes[f.nodes[i].up].up
		i = f.nodes[i].up
	}
	return i
}

// repOf names cell k of tile i.
func repOf(i, k int) int64 { return int64(i)<<(2*raster.TileBits) | int64(k) }

// settled follows the fragments to the node that counts.
func (f *MergeTree) settled(i int32) int32 {
	for f.nodes[i].alias != i {
		f.nodes[i].alias = f.nodes[f.nodes[i].alias].alias
		i = f.nodes[i].alias
	}
	return i
}

// PartOf tells which of the sets that a merge joined a label is part of; -1 for none.
func (f *MergeTree) PartOf(label int32, kids []int32) int {
	most := kids[0]
	for _, k := range kids {
		most = max(most, k)
	}
	for label != NoLabel {
		for f.nodes[label].alias != label {
			label = f.nodes[label].alias
		}
		for i, k := range kids {
			if k == label {
				return i
			}
		}
		// Merges come after what they join.
		if label > most {
			return -1
		}
		label = f.nodes[label].merged
	}
	return -1
}

// labelIn gives the label of a cell if it is of the same blank.
func (f *MergeTree) labelIn(i, k int, blank int16) int32 {
	if t := f.c.Tiles[i]; t != nil {
		if l := t.Label[k]; l == NoLabel || f.c.BlankOf(i, k) != blank {
			return NoLabel
		}
		return t.Label[k]
	}
	if u := f.c.Plain[i]; u.Blank == blank {
		return u.Label
	}
	return NoLabel
}

// minFragmentCells is the number of cells below which a fragment is a trick of the raster (the tip of a wedge between
// two cuts falls apart into single cells) and belongs to no piece of its own.
const minFragmentCells = 5
