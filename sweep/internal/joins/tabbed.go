// Package joins finds what still joins each piece to its surroundings over time: floor, skin, tabs, bridges, the last
// bit of a closing cut.
//
//	wall of the piece   | . . . |   spokes lead from the wall to the middle of the cut, which is the path of the tool;
//	                    |-.-.-.-|   rows run along it. Of all lines along rows and spokes the section is the one with
//	middle of the cut   | . . . |   the least face of material at a moment
//	                                At corners, straight lines to the corner are tried as well.
//
// Heights come from the paths of the tools, not from the cells. Every line looked at is a way to break the piece off,
// so a section is never too small by the choice of lines; it may be too large where a line that is not among them has
// less (under 1 % for ends that lie head-on and for floors along a cut, under 2 % for tabs round a corner).
package joins

import (
	"math"
	"slices"

	"github.com/paulmach/orb"
	"github.com/paulmach/orb/planar"

	"staydown/sweep/internal/pieces"
	"staydown/sweep/internal/plan"
	"staydown/sweep/internal/raster"
	"staydown/sweep/internal/removal"
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
	patches []raster.RegionPart
	size    int
	in      int32 // piece that it is part of
	rim     bool  // reaches the rim of its blank
	narrow  bool  // full-height material joins it: it counts only if that is a neck
}

// Finder finds what joins pieces over time.
type Finder struct {
	s       *plan.Setup
	c       *raster.Cells
	necks   necks
	workers []heightField
}

// NewFinder asks for the bounds of every step (nil: see Neck).
func NewFinder(s *plan.Setup, c *raster.Cells, near *plan.MoveIndex, ask func(*removal.Step) Neck,
	steps *removal.Steps) *Finder {
	j := &Finder{s: s, c: c, necks: chooseNecks(s, ask, steps), workers: make([]heightField,
		workersFor(s.Opt.Jobs, s.Moves.Len()))}
	for i := range j.workers {
		j.workers[i] = heightField{s: s, c: c, near: near, necks: &j.necks}
	}
	return j
}

// movesAtOnce bounds the workers by the length of the program: each keeps the strokes beside one piece, which are
// millions where a long program finishes a surface.
const movesAtOnce = 8_000_000

func workersFor(jobs, moves int) int { return max(1, min(jobs, movesAtOnce/max(1, moves))) }

// Join finds what joins the pieces that come free, at the ticks given by id, and gives those that only necks hold at
// the end. webs: some cell became a web. narrow tells that full-height material counts as a neck of one.
func (j *Finder) Join(all []pieces.Piece, freed []raster.Tick, webs bool) (hung []pieces.Piece, narrow bool) {
	var bodies []body
	parallel.For(j.s.Opt.Jobs, 2, func(_, i int) {
		if i == 0 {
			bodies = findBodies(j.s, j.c, j.NeckMM(), webs) // much of it on one core
			return
		}
		parallel.For(len(j.workers), len(all), func(worker, i int) {
			if at := freed[i+1]; at >= raster.FirstTick {
				j.workers[worker].joinFreed(&all[i], at)
			}
		})
	})
	return j.tabbed(bodies)
}

// NeckMM is the width up to which full-height material counts as a neck.
func (j *Finder) NeckMM() float64 { return j.necks.all.WidthMM }

// tabbed makes pieces of what only necks hold at the end.
func (j *Finder) tabbed(bodies []body) (hung []pieces.Piece, narrow bool) {
	found := make([]*pieces.Piece, len(bodies))
	parallel.For(len(j.workers), len(bodies), func(worker, i int) {
		found[i] = j.workers[worker].tabbed(&bodies[i], bodies[i].shape(j.s, j.c, j.NeckMM()))
	})
	for i, p := range found {
		if p != nil {
			hung = append(hung, *p)
			narrow = narrow || bodies[i].narrow
		}
	}
	return hung, narrow
}

// joinFreed tells what joins a piece that comes free. Mostly it comes free along its outer ring; a ring that another
// was cut out of, along an inner one.
func (v *heightField) joinFreed(p *pieces.Piece, freed raster.Tick) {
	for _, ring := range ringsOf(p.Outline) {
		l := newBand(v, ring, v.slackMM())
		if l == nil {
			continue
		}
		sections, thin, ok := l.sections(freed)
		if !ok {
			continue
		}
		p.Sections = sections
		if thin < freed {
			p.Hung = v.c.Clock.Progress(thin)
			p.WebMM2 = l.areaAfter(thin)
		}
		return
	}
}

// tabbed makes a piece of a body; nil where more than a neck joins it, or where nothing is left of it.
func (v *heightField) tabbed(b *body, shape *raster.Mask) *pieces.Piece {
	sx, sy, n := shape.Sums()
	outline := shape.Outline(v.s.Grid)
	rings := ringsOf(outline)
	if n == 0 || len(rings) == 0 {
		return nil
	}
	l := newBand(v, rings[0], v.slackMM())
	if l == nil {
		return nil
	}
	sections, thin, _ := l.sections(raster.TickNever)
	end := &sections[len(sections)-1]
	most := mostCovered
	if b.rim {
		most = mostCoveredRim
	}
	if b.narrow && (!v.necks.all.weakAtEnd(end) || end.Covered() > most) {
		return nil
	}
	cell := v.s.Grid.CellMM
	p := &pieces.Piece{
		Parent: int(b.in), Freed: raster.Never, Sections: sections, WebMM2: end.AreaMM2,
		Centroid: orb.Point{v.s.Grid.OriginX + (sx/n+0.5)*cell, v.s.Grid.OriginY + (sy/n+0.5)*cell},
		AreaMM2:  n * cell * cell, FinalAreaMM2: n * cell * cell, Outline: outline,
	}
	switch {
	case thin != raster.TickNever:
		p.Hung = v.c.Clock.Progress(thin)
	case sections[0].At < raster.Never:
		p.Hung = sections[0].At
	default:
		p.Hung = v.c.Clock.Progress(l.lastFall())
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
func (v *heightField) slackMM() float64 { return v.necks.all.WidthMM + 2*v.s.Grid.CellMM }

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
func findBodies(s *plan.Setup, c *raster.Cells, neckMM float64, webs bool) []body {
	var thin []body
	if webs {
		thin = bodiesOf(s, c, s.Opt.WebMM, 0)
	}
	all := thin
	cell := s.Grid.CellMM
	if steps := min(mostOpening, int(math.Ceil(neckMM/2/cell))); steps > 0 {
		known := raster.NewRegion(c)
		for i := range thin {
			known.Add(thin[i].patches)
		}
		for _, b := range bodiesOf(s, c, max(s.Opt.WebMM, highShare*s.Top), steps) {
			if !known.Overlaps(b.patches) {
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

// bodiesOf gives the sets of cells above a height that come apart when the region is opened by so many cells, without
// the largest of each piece (of a blank: the largest that reaches its rim). Opened, only the blanks are looked at: a
// narrow place of a part that is free is its shape, not a neck.
func bodiesOf(s *plan.Setup, c *raster.Cells, highMM float64, steps int) (out []body) {
	solid, blanks := opened(s, c, highMM, steps), int32(len(s.Stock.Blanks))
	largest := map[int32]int{}
	for i := range solid.Sets {
		for solid.Sets[i] != nil && solid.Sets[i].Any() {
			var first int
			solid.Sets[i].Each(func(k int) { first = k })
			b := body{patches: solid.TakeConnected(i, first), in: c.LabelOf(i, first)}
			for n := range b.patches {
				b.size += b.patches[n].Set.Count()
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

// opened is the region of the cells above a height, opened by so many cells.
func opened(s *plan.Setup, c *raster.Cells, highMM float64, steps int) *raster.CellRegion {
	high := raster.ToFixed(highMM) + raster.ToFixed(raster.ThroughMM)/2
	solid, weak := raster.NewRegion(c), raster.NewRegion(c)
	sets := make([]raster.CellSet, 2*len(c.List))
	blanks := int32(len(s.Stock.Blanks))
	parallel.ForRuns(s.Opt.Jobs, len(c.Tiles), 1<<6, func(_, i int) {
		t := c.Tiles[i]
		if t == nil {
			if c.Plain[i].Blank >= 0 && (steps == 0 || c.Plain[i].Label <= blanks) {
				full := new(raster.CellSet)
				for y := range full {
					full[y] = 1<<raster.TileSide - 1
				}
				solid.Sets[i] = full
			}
			return
		}
		in, out := &sets[2*t.Slot], &sets[2*t.Slot+1]
		for k, h := range &t.Height {
			switch {
			case h > high:
				if steps == 0 || t.Label[k] <= blanks {
					in.Add(k)
				}
			case t.Cut[k] != raster.TickOutside:
				out.Add(k)
			}
		}
		solid.Sets[i], weak.Sets[i] = in, out
	})
	for n := range steps {
		weak = weak.Dilate(s.Opt.Jobs, n%2 == 1)
	}
	if steps > 0 {
		for i, w := range weak.Sets {
			if w != nil && solid.Sets[i] != nil {
				for y := range w {
					solid.Sets[i][y] &^= w[y]
				}
			}
		}
	}
	return solid
}

func (b *body) larger(o *body) bool {
	if b.rim != o.rim {
		return b.rim
	}
	return b.size > o.size
}

// reachesRim tells whether a cell lies beside the outside of its blank.
func reachesRim(c *raster.Cells, patches []raster.RegionPart) bool {
	for n := range patches {
		i := int(patches[n].Tile)
		if !c.NearRim(i) {
			continue
		}
		found := false
		patches[n].Set.Each(func(k int) { found = found || c.AtRim(i, k) })
		if found {
			return true
		}
	}
	return false
}

// shape marks the cells of a body, grown back to its walls where it was opened.
func (b *body) shape(s *plan.Setup, c *raster.Cells, neckMM float64) *raster.Mask {
	steps := 0
	high := raster.ToFixed(s.Opt.WebMM) + raster.ToFixed(raster.ThroughMM)/2
	if b.narrow {
		steps = min(mostOpening, int(math.Ceil(neckMM/2/s.Grid.CellMM)))
		high = raster.ToFixed(max(s.Opt.WebMM, highShare*s.Top)) + raster.ToFixed(raster.ThroughMM)/2
	}
	e := raster.NoExtent
	for n := range b.patches {
		i := int(b.patches[n].Tile)
		b.patches[n].Set.Each(func(k int) { e = e.With(c.Place(i, k)) })
	}
	e = e.Pad(steps, s.Grid)
	m := raster.NewMask(e)
	var front []int32
	for n := range b.patches {
		i := int(b.patches[n].Tile)
		b.patches[n].Set.Each(func(k int) {
			x, y := c.Place(i, k)
			at := int32((int(y-e.Y0)+1)*m.W + int(x-e.X0) + 1)
			m.In[at] = 1
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
					to := int(at) + dy*m.W + dx
					x, y := to%m.W-1, to/m.W-1
					if m.In[to] != 0 || x < 0 || y < 0 || x >= m.W-2 || y >= m.H-2 || c.HeightAt(int(e.X0)+x,
						int(e.Y0)+y) <= high {
						continue
					}
					m.In[to] = 1
					next = append(next, int32(to))
				}
			}
		}
		front = next
	}
	return m
}

// heights measures the marked cells as they are left at the end.
func heights(m *raster.Mask, c *raster.Cells, p *pieces.Piece, s *plan.Setup) {
	var vol int64
	var top raster.Fixed
	for y := 1; y < m.H-1; y++ {
		for x := 1; x < m.W-1; x++ {
			if m.In[y*m.W+x] != 0 {
				h := c.HeightAt(int(m.Extent.X0)+x-1, int(m.Extent.Y0)+y-1)
				vol += int64(max(0, h))
				top = max(top, h)
			}
		}
	}
	p.VolumeMM3 = float64(vol) / raster.FixedPerMM * s.Grid.CellMM * s.Grid.CellMM
	p.TopMM = s.Stock.BottomMM + top.MM()
}
