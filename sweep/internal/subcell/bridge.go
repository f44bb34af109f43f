package subcell

import (
	"math"
	"sort"

	"github.com/paulmach/orb"

	"staydown/parse"
	"staydown/sweep/internal/pieces"
	"staydown/sweep/internal/raster"
	"staydown/sweep/parallel"
)

// grow puts the cells back, looks closely at every split, and repeats with the bridges that were found.
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

// distanceOf is MergeTree.Plunges.DistanceOf for the program: the square of the distance of a cell from the tool.
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
	merge int32 // index of the merge; NoLabel for a candidate bridge
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

// newPlaces gives the splits and candidates that were not looked at yet, and the moments of all splits.
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
		todo = append(todo, split{merge: int32(i), cell: n.Cell, was: n.At})
	}
	var candidates []uint64
	for _, e := range b.f.Candidates {
		if _, held := b.held[uint32(e)]; !held && !b.seen[uint32(e)] && raster.Tick(e>>32) != raster.TickNever {
			candidates = append(candidates, e)
		}
	}
	parted := make([]bool, len(candidates))
	parallel.For(b.s.Opt.Jobs, len(candidates), func(_, i int) {
		parted[i] = b.separates(uint32(candidates[i]),
			raster.Tick(candidates[i]>>32))
	})
	for i, e := range candidates {
		id := uint32(e)
		if !parted[i] || b.seen[id] {
			continue
		}
		if len(b.seen) >= maxRefined {
			b.capped = true
			break
		}
		b.seen[id] = true
		todo = append(todo, split{merge: pieces.NoLabel, cell: id, was: raster.Tick(e >> 32)})
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
	if p.merge == pieces.NoLabel {
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
			b.f.Merges[p.merge].At = l.at
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

// splitWindowSize gives the window in which the horns on both sides of a bridge show: where a cap of radius R leaves a
// bridge, it is a cell c wider at sqrt(2 R c) from its narrowest place.
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
	if p.merge == pieces.NoLabel {
		first, last, since = min(first, b.candidateWindowSize(p.was)), lastCandidateWindow, p.was
	}
	for w := first; w <= last; w *= 2 {
		marks := b.marks(p, cx, cy, w)
		if marks == nil {
			continue
		}
		links := b.linksAround(b.windowAt(cx, cy, w, marks, since, p.was), tools)
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
	if p.merge == pieces.NoLabel {
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
		if links := b.linksAround(b.windowAt(cx, cy, w, marks, p.was, p.was), tools); len(links) > 0 {
			p.links = append(p.links, links...)
			return
		}
	}
}

// marks tells for each cell of a window, row by row, which side of the place it lies on: 1 and up, 0 for none. For a
// split the sides are the sets; for a neck, the groups round it as far as the window shows, nil if it shows only one.
func (b *Bridges) marks(p *split, cx, cy, w int) []int8 {
	if p.merge == pieces.NoLabel {
		return b.groups(cx, cy, w, p.was)
	}
	side := 2*w + 1
	out := make([]int8, side*side)
	kids := b.f.Merges[p.merge].Parts
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

func (b *Bridges) separates(id uint32, at raster.Tick) bool {
	cx, cy := b.c.WhereIs(id)
	return b.groups(cx, cy, b.candidateWindowSize(at), at) != nil
}

// GrowTree finds the pieces; all is false where not every place at which a thin bridge may be was looked at.
func (b *Bridges) GrowTree() (tree *pieces.Tree, all bool) {
	b.f = pieces.NewMergeTree(b.c, b.s.Opt.Jobs)
	b.grow()
	b.f.DropPages()
	return pieces.NewTree(b.s, b.c, b.f), !b.capped
}
