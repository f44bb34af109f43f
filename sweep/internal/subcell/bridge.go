// Package subcell decides what a cell is too coarse for: bridges and gaps narrower than it.
//
//	+-----+-----+      a place where the cells say that sets part, or that a standing cell alone joins them, is swept
//	|/////|     |      again on a grid of 15 x 15 cells for each cell, in a window that grows until the answer stays;
//	|///::|::///|      the widest path between the two sides (widest in time) tells when the last bridge goes
//	+-----+-----+
//
// A bridge narrower than a tenth of a cell may be missed, and so may one thinner than a cell that runs on for more than
// twelve cells: the piece comes free too early then, never too late. A gap narrower than a fifteenth of a cell counts as
// closed. Beyond a bound of work the answer of the cells stands, which is told.
package subcell

import (
	"math"
	"sort"

	"github.com/paulmach/orb"

	"staydown/parse"
	"staydown/sweep/internal/pieces"
	"staydown/sweep/internal/plan"
	"staydown/sweep/internal/raster"
	"staydown/sweep/parallel"
)

// Where a raster says that two grown sets come apart, a bridge thinner than a cell may still join them: a cut that
// stops a tenth of a millimetre short of its own beginning leaves one, and no cell's centre need lie on it. So each
// place where a piece would come free is swept again on a local grid with fineness x fineness cells for each cell, over
// a window that grows until the answer stays. On it the widest path between the two sides (widest in time) tells when
// the last bridge really goes. Bound: a bridge narrower than sqrt(2)/fineness of a cell, a tenth of it, may be missed.
const (
	fineness    = 15 // odd: the centre of a cell is then the centre of one of its parts
	firstWindow = 4  // least half width of the window, cells
	lastWindow  = 24
	// lastCandidateWindow is the same for necks: bridges thinner than a cell and longer than this count as cut.
	lastCandidateWindow = 12
	maxRounds           = 24
	// places looked at; beyond, the raster's answer stands (pieces then come free rather too early)
	maxRefined  = 1 << 13
	maxFineWork = 1 << 32 // fine cells times moves near them, over all places: some ten seconds
	// nearTicks is how far the moment may move without the sets being put together anew.
	nearTicks = 8 * raster.TicksPerCell
)

// Bridges finds the true moments of the splits of a forest.
type Bridges struct {
	s      *plan.Setup
	c      *raster.Cells
	f      *pieces.MergeTree
	near   *plan.MoveIndex
	held   map[uint32]raster.Tick // cells that stand for a bridge, with the moment it goes
	seen   map[uint32]bool        // places looked at
	shift  map[uint32]raster.Tick // moments of splits that were set right without putting the sets together anew
	capped bool
	work   int64 // fine cells times moves
}

// Dilate puts the cells back, looks closely at every split, and repeats with the bridges that were found.
func (b *Bridges) grow() {
	b.f.Plunges.DistanceOf = b.distanceOf
	for i := range b.s.Moves.Len() {
		if m := b.s.Moves.At(i); m.Upright() {
			b.f.Plunges.Add(b.c.Clock.First[i], b.c.Clock.First[i+1])
		}
	}
	b.held, b.seen, b.shift = map[uint32]raster.Tick{}, map[uint32]bool{}, map[uint32]raster.Tick{}
	for round := 0; ; round++ {
		b.f.Rebuild(b.s.Opt.Jobs, b.held)
		if round == maxRounds || !b.look() {
			return
		}
	}
}

// DistanceOf is stands.far for the program: the square of the distance of a cell from the tool.
func (b *Bridges) distanceOf(at raster.Tick, id uint32) (cells2 float64, ok bool) {
	m := b.s.Moves.At(b.c.Clock.MoveOf(at))
	if !m.Upright() {
		return 0, false
	}
	g, p := b.s.Grid, m.Start
	x, y := b.c.WhereIs(id)
	dx, dy := float64(x)-((p.X-g.OriginX)/g.CellMM-0.5), float64(y)-((p.Y-g.OriginY)/g.CellMM-0.5)
	return float64(dx*dx) + float64(dy*dy), true
}

// split is a place to look at and what was found there.
type split struct {
	meet  int32 // index of the meeting; NoLabel for a neck
	cell  uint32
	was   raster.Tick
	links []link
}

// look refines the new splits and tells whether the sets have to be put together anew.
func (b *Bridges) look() (again bool) {
	todo, times := b.newPlaces()
	if len(todo) == 0 {
		return false
	}
	todo = b.afford(todo)
	benches := make([]workspace, max(1, b.s.Opt.Jobs))
	parallel.For(b.s.Opt.Jobs, len(todo), func(worker, i int) { b.refine(&todo[i], &benches[worker]) })
	sort.Slice(times, func(i, j int) bool { return times[i] < times[j] })
	for i := range todo {
		for n := range todo[i].links {
			if b.keep(&todo[i], n, times) {
				again = true
			}
		}
	}
	return again
}

// newPlaces gives the splits and necks that were not looked at yet, and the moments of all splits.
func (b *Bridges) newPlaces() (todo []split, times []raster.Tick) {
	for i := range b.f.Merges {
		n := &b.f.Merges[i]
		if at, ok := b.shift[n.Cell]; ok {
			n.At = at
		}
		times = append(times, n.At)
		if _, held := b.held[n.Cell]; held || b.seen[n.Cell] {
			continue
		}
		if len(b.seen) >= maxRefined {
			b.capped = true
			break
		}
		b.seen[n.Cell] = true
		todo = append(todo, split{meet: int32(i), cell: n.Cell, was: n.At})
	}
	var necks []uint64
	for _, e := range b.f.Candidates {
		if _, held := b.held[uint32(e)]; !held && !b.seen[uint32(e)] && raster.Tick(e>>32) != raster.TickNever {
			necks = append(necks, e)
		}
	}
	parted := make([]bool, len(necks))
	parallel.For(b.s.Opt.Jobs, len(necks), func(_, i int) { parted[i] = b.separates(uint32(necks[i]), raster.Tick(necks[i]>>32)) })
	for i, e := range necks {
		id := uint32(e)
		if !parted[i] || b.seen[id] {
			continue
		}
		if len(b.seen) >= maxRefined {
			b.capped = true
			break
		}
		b.seen[id] = true
		todo = append(todo, split{meet: pieces.NoLabel, cell: id, was: raster.Tick(e >> 32)})
	}
	return todo, times
}

// keep takes over link n of a place: either the moment of its split is set right (times are those of all splits,
// rising), or its bridge is held, and the sets have to be put together anew.
func (b *Bridges) keep(p *split, n int, times []raster.Tick) (again bool) {
	l := &p.links[n]
	if l.at == p.was {
		return false
	}
	lo, hi := min(l.at, p.was), max(l.at, p.was)
	sameMove := b.c.Clock.MoveOf(hi) == b.c.Clock.MoveOf(lo)
	if p.meet == pieces.NoLabel {
		// A neck that is gone within a cell of the same move was one only for the raster.
		if l.at < p.was || hi-lo <= raster.TicksPerCell && sameMove {
			return false
		}
	} else if n == 0 {
		// Another split so near may itself move: their order must come out of the sets. So must the sizes after the
		// move under way, by which a part keeps its number, when that is another move.
		between := sort.Search(len(times), func(i int) bool { return times[i] > hi+nearTicks }) -
			sort.Search(len(times), func(i int) bool { return times[i]+nearTicks >= lo })
		if sameMove && hi-lo <= nearTicks && between == 1 && len(p.links) == 1 {
			b.f.Merges[p.meet].At = l.at
			b.shift[p.cell] = l.at
			return false
		}
	}
	if len(l.bridge) == 0 {
		l.bridge = []uint32{p.cell}
	}
	for _, id := range l.bridge {
		if old, ok := b.held[id]; !ok || old < l.at {
			b.held[id] = l.at
		}
	}
	return true
}

// afford keeps the places whose windows can be swept within the bound of work, in their order.
func (b *Bridges) afford(todo []split) []split {
	g := b.s.Grid
	for i := range todo {
		x, y := b.c.WhereIs(todo[i].cell)
		w := b.splitWindowSize(todo[i].was)
		moves := 0
		b.near.Each(orb.Bound{
			Min: orb.Point{g.OriginX + float64(x-w)*g.CellMM, g.OriginY + float64(y-w)*g.CellMM},
			Max: orb.Point{g.OriginX + float64(x+w+1)*g.CellMM, g.OriginY + float64(y+w+1)*g.CellMM},
		}, func(int, *parse.Move) { moves++ })
		b.work += int64(moves+1) * int64((2*w+1)*(2*w+1)*fineness*fineness)
		if b.work > maxFineWork {
			b.capped = true
			return todo[:i]
		}
	}
	return todo
}

// splitWindowSize gives the window in which the horns on both sides of a bridge show: where a cap of radius R leaves a bridge,
// it is a cell c wider at sqrt(2 R c) from its narrowest place.
func (b *Bridges) splitWindowSize(at raster.Tick) int {
	tool := b.s.Cutters[b.s.Moves.At(b.c.Clock.MoveOf(at)).Tool]
	if tool == nil {
		return firstWindow
	}
	return max(firstWindow, min(lastCandidateWindow, int(math.Ceil(math.Sqrt(2*tool.R/b.s.Grid.CellMM)))))
}

// candidateWindowSize gives the window of a neck: not so large that the material goes round the tool that made it.
func (b *Bridges) candidateWindowSize(at raster.Tick) int {
	w := candidateWindow
	if tool := b.s.Cutters[b.s.Moves.At(b.c.Clock.MoveOf(at)).Tool]; tool != nil {
		w = min(w, int(2*tool.R/b.s.Grid.CellMM)-2)
	}
	return max(3, w)
}

// refine looks at one place in growing windows until one is large enough.
func (b *Bridges) refine(p *split, tools *workspace) {
	cx, cy := b.c.WhereIs(p.cell)
	first, last, since := b.splitWindowSize(p.was), lastWindow, raster.FirstTick
	if p.meet == pieces.NoLabel {
		first, last, since = min(first, b.candidateWindowSize(p.was)), lastCandidateWindow, p.was
	}
	for w := first; w <= last; w *= 2 {
		marks := b.marks(p, cx, cy, w)
		if marks == nil {
			continue
		}
		links := b.linksAround(cx, cy, w, marks, since, p.was, tools)
		if len(links) == 0 {
			return
		}
		p.links = links
		cramped := false
		for _, l := range links {
			cramped = cramped || l.cramped
		}
		if !cramped {
			return
		}
	}
	if p.meet == pieces.NoLabel {
		b.refineLater(p, cx, cy, first, tools)
	}
}

// refineLater looks again at a neck whose bridge outlives what stood beside it when its cell went, so that the cell
// alone joins nothing: the sides are now what still stands when the bridge goes. What was found before is held as well,
// since this bridge leads on from there.
func (b *Bridges) refineLater(p *split, cx, cy, first int, tools *workspace) {
	at := raster.FirstTick
	for _, l := range p.links {
		if l.at != raster.TickNever {
			at = max(at, l.at)
		}
	}
	if at <= p.was {
		return
	}
	for w := first; w <= lastCandidateWindow; w *= 2 {
		marks := b.groups(cx, cy, w, at)
		if marks == nil {
			continue
		}
		if links := b.linksAround(cx, cy, w, marks, p.was, p.was, tools); len(links) > 0 {
			p.links = append(p.links, links...)
			return
		}
	}
}

// marks tells for each cell of a window, row by row, which side of the place it lies on: 1 and up, 0 for none. For a
// split the sides are the sets; for a neck, the groups round it as far as the window shows, nil if it shows only one.
func (b *Bridges) marks(p *split, cx, cy, w int) []int8 {
	if p.meet == pieces.NoLabel {
		return b.groups(cx, cy, w, p.was)
	}
	side := 2*w + 1
	out := make([]int8, side*side)
	kids := b.f.Merges[p.meet].Parts
	for y := max(0, cy-w); y <= min(b.s.Grid.NY-1, cy+w); y++ {
		for x := max(0, cx-w); x <= min(b.s.Grid.NX-1, cx+w); x++ {
			if l := b.c.LabelAt(x, y); l != pieces.NoLabel {
				out[(y-cy+w)*side+x-cx+w] = int8(b.f.PartOf(l, kids) + 1)
			}
		}
	}
	return out
}

// candidateWindow is the largest half width of the window in which a neck must part its surroundings to be looked at.
const candidateWindow = 8

// maxGroups bounds the sides of one place.
const maxGroups = 100

func (b *Bridges) separates(id uint32, at raster.Tick) bool {
	cx, cy := b.c.WhereIs(id)
	return b.groups(cx, cy, b.candidateWindowSize(at), at) != nil
}

// groups marks the cells of a window, without the one in its middle, that stand after a moment, group by group; nil if
// there are fewer than two groups. All cells of the window count, since many in a row may go in one tick (a plunge).
func (b *Bridges) groups(cx, cy, w int, at raster.Tick) []int8 {
	side := 2*w + 1
	out := make([]int8, side*side)
	blank := b.c.BlankAt(cx, cy)
	stands := func(x, y int) bool {
		if x == cx && y == cy || x < max(0, cx-w) || y < max(0, cy-w) || x > min(b.s.Grid.NX-1, cx+w) ||
			y > min(b.s.Grid.NY-1, cy+w) {
			return false
		}
		cut := b.c.CutAt(x, y)
		if cut <= at && len(b.held) > 0 {
			if t, k := b.c.At(x, y); t != nil {
				cut = max(cut, b.held[t.ID(k)])
			}
		}
		return cut > at && cut >= raster.FirstTick && b.c.BlankAt(x, y) == blank
	}
	n := int8(0)
	var stack [][2]int
	for d := 0; d < side*side && n < maxGroups; d++ {
		x, y := cx+d%side-w, cy+d/side-w
		if !stands(x, y) || out[(y-cy+w)*side+x-cx+w] != 0 {
			continue
		}
		n++
		out[(y-cy+w)*side+x-cx+w] = n
		stack = append(stack[:0], [2]int{x, y})
		for len(stack) > 0 {
			p := stack[len(stack)-1]
			stack = stack[:len(stack)-1]
			for e := 0; e < 4; e++ {
				x, y := p[0]+[4]int{1, 0, -1, 0}[e], p[1]+[4]int{0, 1, 0, -1}[e]
				if stands(x, y) && out[(y-cy+w)*side+x-cx+w] == 0 {
					out[(y-cy+w)*side+x-cx+w] = n
					stack = append(stack, [2]int{x, y})
				}
			}
		}
	}
	if n < 2 {
		return nil
	}
	return out
}

// New begins with no place looked at.
func New(s *plan.Setup, c *raster.Cells, near *plan.MoveIndex) *Bridges {
	return &Bridges{s: s, c: c, near: near}
}

// GrowTree finds the pieces; all is false where not every place at which a thin bridge may be was looked at.
func (b *Bridges) GrowTree() (tree *pieces.Tree, all bool) {
	b.f = pieces.NewMergeTree(b.c, b.s.Opt.Jobs)
	b.grow()
	return pieces.NewTree(b.s, b.c, b.f), !b.capped
}
