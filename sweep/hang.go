package sweep

import (
	"math"
	"slices"

	"github.com/paulmach/orb"
	"github.com/paulmach/orb/planar"

	"staydown/sweep/parallel"
)

// At the end a piece hangs where only necks join it to what it is part of: what is at or below web height, or full
// material narrower than a neck. Such pieces show on the grid when the necks are taken away: thin cells count as gone,
// then the rest is opened by a disc of the neck's width (Serra, 1982), and what comes apart are the bodies. How large
// their joins are is told by their loops.

const (
	// hungCells is the number of cells from which a body is looked at, and maxHangs how many, the largest first: a
	// surface that waves about the web height makes islands without end.
	hungCells = 64
	maxHangs  = 1 << 12
	// mostOpening bounds the radius of the disc, in cells.
	mostOpening = 16
)

// body is a set of cells that only necks join to the rest at the end.
type body struct {
	patches []patch
	size    int
	in      int32 // piece that it is part of
	rim     bool  // reaches the rim of its blank
	narrow  bool  // full-height material joins it: it counts only if that is a neck
}

// joiner finds what joins pieces over time.
type joiner struct {
	s       *setup
	c       *cells
	necks   necks
	workers []carving
}

func newJoiner(s *setup, c *cells, near *moveIndex, necks necks) *joiner {
	j := &joiner{s: s, c: c, necks: necks, workers: make([]carving, max(1, s.opt.Jobs))}
	for i := range j.workers {
		j.workers[i] = carving{s: s, c: c, near: near, necks: &j.necks}
	}
	return j
}

// freed finds what joins the pieces that come free, at the ticks given by id.
func (j *joiner) freed(all []Piece, freed []tick) {
	parallel.For(j.s.opt.Jobs, len(all), func(worker, i int) {
		if at := freed[i+1]; at >= firstTick {
			j.workers[worker].joinFreed(&all[i], at)
		}
	})
}

// tabbedPiece is a piece that only necks hold at the end, with its cells.
type tabbedPiece struct {
	piece Piece
	shape *mask
}

// hanging gives the pieces that hang to the end; narrow tells that full-height material counts as a neck of one.
func (j *joiner) hanging() (all []tabbedPiece, narrow bool) {
	bodies := findBodies(j.s, j.c, j.necks.all.WidthMM)
	shapes, found := make([]*mask, len(bodies)), make([]*Piece, len(bodies))
	parallel.For(j.s.opt.Jobs, len(bodies), func(worker, i int) {
		shapes[i] = bodies[i].shape(j.s, j.c, j.necks.all.WidthMM)
		found[i] = j.workers[worker].hangs(&bodies[i], shapes[i])
	})
	for i, p := range found {
		if p != nil {
			all = append(all, tabbedPiece{*p, shapes[i]})
			narrow = narrow || bodies[i].narrow
		}
	}
	return all, narrow
}

// joinFreed tells what joins a piece that comes free. Mostly it comes free along its outer ring; a ring that another
// was cut out of, along an inner one.
func (v *carving) joinFreed(p *Piece, freed tick) {
	for _, ring := range ringsOf(p.Outline) {
		l := newLoop(v, ring, v.slackMM())
		if l == nil {
			continue
		}
		sections, thin, ok := l.sections(freed)
		if !ok {
			continue
		}
		p.Sections = sections
		if thin < freed {
			p.Hung = v.c.clock.progress(thin)
			p.WebMM2 = l.areaAfter(thin)
		}
		return
	}
}

// hangs makes a piece of a body; nil where more than a neck joins it, or where nothing is left of it.
func (v *carving) hangs(b *body, shape *mask) *Piece {
	sx, sy, n := shape.sums()
	outline := shape.outline(v.s.grid)
	rings := ringsOf(outline)
	if n == 0 || len(rings) == 0 {
		return nil
	}
	l := newLoop(v, rings[0], v.slackMM())
	if l == nil {
		return nil
	}
	sections, thin, _ := l.sections(tickNever)
	end := &sections[len(sections)-1]
	most := mostCovered
	if b.rim {
		most = mostCoveredRim
	}
	if b.narrow && (!v.necks.all.weaker(end) || end.Covered() > most) {
		return nil
	}
	cell := v.s.grid.CellMM
	p := &Piece{
		Parent: int(b.in), Freed: Never, Sections: sections, WebMM2: end.AreaMM2,
		Centroid: orb.Point{v.s.grid.OriginX + (sx/n+0.5)*cell, v.s.grid.OriginY + (sy/n+0.5)*cell},
		AreaMM2:  n * cell * cell, FinalAreaMM2: n * cell * cell, Outline: outline,
	}
	switch {
	case thin != tickNever:
		p.Hung = v.c.clock.progress(thin)
	case sections[0].At < Never:
		p.Hung = sections[0].At
	default:
		p.Hung = v.c.clock.progress(l.lastFall())
	}
	heights(shape, v.c, p, v.s)
	return p
}

// mostCovered is the share of the line round a body that full-height necks may cover: beyond, it is no piece but a part
// of the sheet. What reaches the rim of the sheet mostly is: there hardly anything may be left.
const (
	mostCovered    = 0.5
	mostCoveredRim = 0.05
)

// slackMM is how far beyond its radius the path of a tool may lie from the wall of a body: the necks were taken away
// there.
func (v *carving) slackMM() float64 { return v.necks.all.WidthMM + 2*v.s.grid.CellMM }

// ringsOf gives the outer ring of the largest part first, then its holes.
func ringsOf(m orb.MultiPolygon) []orb.Ring {
	if len(m) == 0 {
		return nil
	}
	most := 0
	for i := range m {
		if math.Abs(planar.Area(m[i][0])) > math.Abs(planar.Area(m[most][0])) {
			most = i
		}
	}
	return m[most]
}

// findBodies lists the bodies that hang at the end, in the order of their size.
func findBodies(s *setup, c *cells, neckMM float64) []body {
	var thin []body
	if slices.ContainsFunc(c.list, func(t *tile) bool { return t.thin != nil }) {
		thin = bodiesOf(s, c, s.opt.WebMM, 0)
	}
	all := thin
	cell := s.grid.CellMM
	if steps := min(mostOpening, int(math.Ceil(neckMM/2/cell))); steps > 0 {
		known := newGround(c)
		for i := range thin {
			known.put(thin[i].patches)
		}
		for _, b := range bodiesOf(s, c, max(s.opt.WebMM, highShare*s.top), steps) {
			if !known.meets(b.patches) {
				b.narrow = true
				all = append(all, b)
			}
		}
	}
	slices.SortStableFunc(all, func(a, b body) int { return b.size - a.size })
	return all[:min(len(all), maxHangs)]
}

// highShare is the share of the height of the stock from which material counts as full where bridges are looked for.
const highShare = 0.9

// bodies gives the sets of cells above a height that come apart when the ground is opened by so many cells, without the
// largest of each piece (of a blank: the largest that reaches its rim). Opened, only the blanks are looked at: a narrow
// place of a part that is free is its shape, not a neck.
func bodiesOf(s *setup, c *cells, highMM float64, steps int) (out []body) {
	high := toFix(highMM) + toFix(ThroughMM)/2
	solid, weak := newGround(c), newGround(c)
	sets := make([]cellSet, 2*len(c.list))
	blanks := int32(len(s.stock.Blanks))
	parallel.ForRuns(s.opt.Jobs, len(c.tiles), 1<<6, func(_, i int) {
		t := c.tiles[i]
		if t == nil {
			if c.plain[i].blank >= 0 && (steps == 0 || c.plain[i].label <= blanks) {
				full := new(cellSet)
				for y := range full {
					full[y] = ^uint32(0)
				}
				solid.sets[i] = full
			}
			return
		}
		in, out := &sets[2*t.slot], &sets[2*t.slot+1]
		for k, h := range &t.h {
			switch {
			case h > high:
				if steps == 0 || t.label[k] <= blanks {
					in.add(k)
				}
			case t.cut[k] != tickOutside:
				out.add(k)
			}
		}
		solid.sets[i], weak.sets[i] = in, out
	})
	for n := range steps {
		weak = weak.grow(s.opt.Jobs, n%2 == 1)
	}
	if steps > 0 {
		for i, w := range weak.sets {
			if w != nil && solid.sets[i] != nil {
				for y := range w {
					solid.sets[i][y] &^= w[y]
				}
			}
		}
	}
	largest := map[int32]int{}
	for i := range solid.sets {
		for solid.sets[i] != nil && solid.sets[i].any() {
			var first int
			solid.sets[i].each(func(k int) { first = k })
			b := body{patches: solid.take(i, first), in: c.labelOf(i, first)}
			for n := range b.patches {
				b.size += b.patches[n].set.count()
			}
			if b.size < hungCells || b.in <= 0 {
				continue
			}
			b.rim = b.in <= blanks && reachesRim(c, b.patches)
			out = append(out, b)
			if old, ok := largest[b.in]; !ok || b.larger(&out[old]) {
				largest[b.in] = len(out) - 1
			}
		}
	}
	rest := out[:0]
	for i := range out {
		if largest[out[i].in] != i {
			rest = append(rest, out[i])
		}
	}
	return rest
}

func (b *body) larger(o *body) bool {
	if b.rim != o.rim {
		return b.rim
	}
	return b.size > o.size
}

// reachesRim tells whether a cell lies beside the outside of its blank.
func reachesRim(c *cells, patches []patch) bool {
	for n := range patches {
		i := int(patches[n].tile)
		if !c.nearRim(i) {
			continue
		}
		found := false
		patches[n].set.each(func(k int) { found = found || c.atRim(i, k) })
		if found {
			return true
		}
	}
	return false
}

// shape marks the cells of a body, grown back to its walls where it was opened.
func (b *body) shape(s *setup, c *cells, neckMM float64) *mask {
	steps := 0
	high := toFix(s.opt.WebMM) + toFix(ThroughMM)/2
	if b.narrow {
		steps = min(mostOpening, int(math.Ceil(neckMM/2/s.grid.CellMM)))
		high = toFix(max(s.opt.WebMM, highShare*s.top)) + toFix(ThroughMM)/2
	}
	e := noExtent
	for n := range b.patches {
		i := int(b.patches[n].tile)
		b.patches[n].set.each(func(k int) { e = e.with(c.place(i, k)) })
	}
	pad := int32(steps)
	e = extent{max(0, e.x0-pad), max(0, e.y0-pad), min(int32(s.grid.NX-1), e.x1+pad), min(int32(s.grid.NY-1), e.y1+pad)}
	m := &mask{e: e, w: int(e.x1-e.x0) + 3, h: int(e.y1-e.y0) + 3}
	m.in = make([]uint8, m.w*m.h)
	var front []int32
	for n := range b.patches {
		i := int(b.patches[n].tile)
		b.patches[n].set.each(func(k int) {
			x, y := c.place(i, k)
			at := int32((int(y-e.y0)+1)*m.w + int(x-e.x0) + 1)
			m.in[at] = 1
			front = append(front, at)
		})
	}
	for n := range steps {
		var next []int32
		for _, at := range front {
			for dy := -1; dy <= 1; dy++ {
				for dx := -1; dx <= 1; dx++ {
					if dx == 0 && dy == 0 || n%2 == 0 && dx != 0 && dy != 0 {
						continue
					}
					to := int(at) + dy*m.w + dx
					x, y := to%m.w-1, to/m.w-1
					if m.in[to] != 0 || x < 0 || y < 0 || x >= m.w-2 || y >= m.h-2 || c.height(int(e.x0)+x,
						int(e.y0)+y) <= high {
						continue
					}
					m.in[to] = 1
					next = append(next, int32(to))
				}
			}
		}
		front = next
	}
	return m
}

// heights measures the marked cells as they are left at the end.
func heights(m *mask, c *cells, p *Piece, s *setup) {
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
