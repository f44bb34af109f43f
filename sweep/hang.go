package sweep

import (
	"sort"

	"github.com/paulmach/orb"
)

// hang is a grown set of cells above web height that came apart from the others above web height.
type hang struct {
	at   tick
	rep  int64
	size int64

	when  tick // the moment for which its webs are told
	webs  []Web
	owner int32 // piece it is the core of; 0 when it hangs to the end
	in    int32 // piece it was part of when it was hung
	shape *mask
}

// hungCells is the number of cells from which such a set is looked at, and maxHangs how many, the largest first: a surface
// that waves about the web height makes islands without end.
const (
	hungCells = 64
	maxHangs  = 1 << 12
)

// findHangs reads time backwards at web height. It uses the labels of the cells and leaves them to be overwritten.
func findHangs(s *setup, c *cells, tileOf []int32) []hang {
	f := &forest{c: c, tileOf: tileOf, level: webLevel}
	f.remaining(s.opt.Jobs)
	f.putBack(s.opt.Jobs, nil)
	tree, _ := nameNodes(f, len(s.stock.Blanks), nil)
	var out []hang
	for id := len(s.stock.Blanks) + 1; id < len(tree.nodes); id++ {
		n := &f.nodes[tree.nodes[id]]
		if tree.freed[id] >= firstTick && n.size >= hungCells {
			out = append(out, hang{at: tree.freed[id], rep: n.rep, size: n.size})
		}
	}
	sort.SliceStable(out, func(i, j int) bool { return out[i].size > out[j].size })
	return out[:min(len(out), maxHangs)]
}

// hangOn measures the webs of the hung sets and enters them with their pieces; those that hang to the end become pieces
// of their own.
func hangOn(s *setup, c *cells, hangs []hang, r *Record) {
	surveys := make([]survey, max(1, s.opt.Jobs))
	share(s.opt.Jobs, len(hangs), func(worker, i int) {
		v := &surveys[worker]
		v.s, v.c = s, c
		v.measure(&hangs[i])
	})
	cell := s.grid.CellMM
	for i := range hangs {
		h := &hangs[i]
		if len(h.webs) == 0 {
			continue
		}
		if h.owner > 0 {
			// The largest core comes first and stands for the piece.
			if p := &r.Pieces[h.owner-1]; p.Hung == Never {
				p.Hung, p.Webs = c.clock.progress(h.at), h.webs
			}
			continue
		}
		lasting := h.webs[:0]
		for _, w := range h.webs {
			if w.Gone == Never {
				lasting = append(lasting, w)
			}
		}
		h.webs = lasting
		sx, sy, n := h.shape.sums()
		if n == 0 || len(lasting) == 0 {
			continue
		}
		p := Piece{
			ID: len(r.Pieces) + 1, Parent: int(h.in), Freed: Never, Hung: c.clock.progress(h.at), Webs: h.webs,
			Centroid: orb.Point{s.grid.OriginX + (sx/n+0.5)*cell, s.grid.OriginY + (sy/n+0.5)*cell},
			AreaMM2:  n * cell * cell, FinalAreaMM2: n * cell * cell,
			Outline: h.shape.outline(s.grid),
		}
		h.shape.heights(c, &p, s)
		c.hung = append(c.hung, hungShape{id: p.ID, shape: h.shape})
		r.Hanging = append(r.Hanging, len(r.Pieces))
		r.Pieces = append(r.Pieces, p)
	}
}

// sums adds up the indices of the marked cells.
func (m *mask) sums() (sx, sy, n float64) {
	for y := 1; y < m.h-1; y++ {
		for x := 1; x < m.w-1; x++ {
			if m.in[y*m.w+x] != 0 {
				sx += float64(int(m.e.x0) + x - 1)
				sy += float64(int(m.e.y0) + y - 1)
				n++
			}
		}
	}
	return sx, sy, n
}

// heights measures the marked cells as they are left at the end.
func (m *mask) heights(c *cells, p *Piece, s *setup) {
	var vol int64
	var top fix
	for y := 1; y < m.h-1; y++ {
		for x := 1; x < m.w-1; x++ {
			if m.in[y*m.w+x] != 0 {
				h := c.height(int(m.e.x0)+x-1, int(m.e.y0)+y-1)
				vol += int64(max(0, h))
				top = max(top, h)
			}
		}
	}
	p.VolumeMM3 = float64(vol) / fixPerMM * s.grid.CellMM * s.grid.CellMM
	p.TopMM = s.stock.BottomMM + top.mm()
}

// hungShape keeps the cells of a piece that hangs to the end.
type hungShape struct {
	id    int
	shape *mask
}
