package pieces

import (
	"github.com/paulmach/orb"

	"staydown/sweep/internal/plan"
	"staydown/sweep/internal/raster"
	"staydown/sweep/parallel"
)

// NewTree names the pieces of a merge tree whose cells were put back, and turns the labels of the cells from nodes into
// ids.
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
	f.Plunges = plunges{} // it holds on to all that the sweep needed
	return tree
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
