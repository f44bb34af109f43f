// Package removal runs the tools through the cells and tells what they cut.
//
//	moves -> jobs -> segments -> bands of tiles, shared out among workers -> heights and moments of the cells
//	                                 |
//	                                 +-> samples, no longer than a cell -> steps
//
// Along a straight segment the height of a tool's convex lower surface above a cell is itself convex in the way along,
// so the least height and the moment at which the cell is cut through come from one curve (kernel), and level cuts of
// square ends need only the crescent ahead of the tool (levelCut). What cells add up to are whole numbers: the order of
// the workers does not matter.
//
// It does not know pieces: whom a step touches is found later. Arcs are chords within Setup.Chord; the sides of an
// engaged arc are right within half a cell.
package removal

import (
	"math"
	"sync"

	"staydown/parse"
	"staydown/sweep/internal/plan"
	"staydown/sweep/internal/raster"
	"staydown/sweep/internal/shape"
)

// driver takes the program in chunks: it lays out the segments, lets the workers take them through their bands of
// tiles, and reads the samples. While a chunk is cut the one before is read and the next one laid out.
type driver struct {
	s       *plan.Setup
	c       *raster.Cells
	kernels []*kernel
	ran     pathSet

	*chunk                      // being laid out
	cut         *chunk          // being cut, nil if none
	others      sync.WaitGroup  // workers at cut, beside the driver itself
	throughOnly bool            // nobody asks for more than the cuts through the stock
	asked       raster.Interval // nor, then, for moments outside, beyond the move

	lastTool *shape.Cutter
	lastEnd  parse.Point
	reader   stepReader
}

// newDriver is for so many of the moves; spare tiles are the workers' own unless given.
func newDriver(s *plan.Setup, c *raster.Cells, moves int, spare *raster.TilePool) *driver {
	d := &driver{s: s, c: c, chunk: newChunk(c.TY, s.Opt.Jobs)}
	d.ran, d.reader.s = newPathSet(s.Moves, moves), s
	for i := 0; i < s.Opt.Jobs; i++ {
		k := &kernel{
			g: s.Grid, c: c, through: raster.ToFixed(raster.ThroughMM), web: raster.ToFixed(s.Opt.WebMM) +
				raster.ToFixed(raster.ThroughMM)/2, keepWebs: s.Opt.KeepWebs, pool: spare,
			deep: raster.ToFixed(-raster.MaxHeightMM),
		}
		if s.Opt.LayerMM > 0 {
			k.deep = raster.ToFixed(-s.Opt.LayerMM - belowLayerMM)
		}
		if spare == nil {
			k.pool = new(raster.TilePool)
		}
		d.kernels = append(d.kernels, k)
	}
	return d
}

// pools are those of the workers.
func (d *driver) pools() (out []*raster.TilePool) {
	for _, k := range d.kernels {
		out = append(out, k.pool)
	}
	return out
}

func (d *driver) drive() {
	for i := range d.s.Moves.Len() {
		d.next(i)
	}
	d.finish()
	d.reader.closeStep()
	d.ran = pathSet{} // nobody asks any more
}

// next lays out one move, and runs what is laid out once that is enough for a chunk.
func (d *driver) next(i int) {
	d.add(i)
	if d.n >= chunkSamples || len(d.segs) >= chunkSegs {
		d.flush()
	}
}

// add lays out one move.
func (d *driver) add(i int) {
	s := d.s
	m := s.Moves.At(i)
	tool := s.Cutters[m.Tool]
	if m.Kind == parse.Dwell {
		return
	}
	changed := tool != d.lastTool || m.Start != d.lastEnd
	d.lastTool, d.lastEnd = tool, m.End
	if tool == nil {
		return
	}
	bottom := s.Stock.BottomMM
	low := m.LowestZ() - bottom
	if low >= s.Top {
		return
	}
	j := job{move: int32(i), tool: tool, fa: 0, fb: 1, again: d.ran.add(int32(i))}
	top := s.Top
	if d.throughOnly {
		top = raster.ThroughMM
	}
	if low > top {
		return
	}
	reach := tool.Within(top - low)
	margin := reach + (ProbeCells+2)*s.Grid.CellMM
	box := s.Grid.Box()
	if m.Kind != parse.Arc {
		t0, t1, ok := raster.ClipRange(m.Start.X, m.Start.Y, m.End.X, m.End.Y, box, margin)
		if !ok {
			return
		}
		j.fa, j.fb = t0, t1
	}
	if changed {
		d.stand(i, &m, tool, reach)
	}
	if m.Upright() {
		j.n, j.plunge, j.mm = 1, true, m.LengthMM
		d.place(&j, func() { d.layOut(m.Start, m.End, 0, 1, reach, j.again) })
		return
	}
	if j.fb <= j.fa {
		return
	}
	j.mm = m.LengthMM
	n := math.Ceil(j.mm*(j.fb-j.fa)/s.Grid.CellMM - 1e-9)
	j.n = int(max(1, min(n, MaxSamples)))
	d.place(&j, func() {
		if m.Kind == parse.Arc {
			d.layChords(&m, reach, margin, j.again)
		} else {
			d.layOut(m.At(j.fa), m.At(j.fb), j.fa, j.fb, reach, j.again)
		}
	})
}

// stand has a tool that was just changed stand in its place before it moves: level sweeps leave out what was under the
// tool at their start.
func (d *driver) stand(i int, m *parse.Move, tool *shape.Cutter, reach float64) {
	f := d.c.Clock.Fraction(i, d.c.Clock.First[i])
	stand := job{move: int32(i), tool: tool, fa: 0, fb: f, n: 1, plunge: true, mm: m.LengthMM}
	d.place(&stand, func() { d.layOut(m.Start, m.Start, 0, f, reach, false) })
}

// layChords lays out the chords of an arc that come within a margin of the grid.
func (d *driver) layChords(m *parse.Move, reach, margin float64, again bool) {
	k, box := m.Chords(d.s.Chord), d.s.Grid.Box()
	p := m.Start
	for n := 1; n <= k; n++ {
		q := m.At(float64(n) / float64(k))
		if _, _, ok := raster.ClipRange(p.X, p.Y, q.X, q.Y, box, margin); ok {
			d.layOut(p, q, float64(n-1)/float64(k), float64(n)/float64(k), reach, again)
		}
		p = q
	}
}

// place enters a job and its segments.
func (d *driver) place(j *job, segs func()) {
	j.base = d.n
	j.perF = float64(j.n) / (j.fb - j.fa)
	j.first, j.ticks = d.c.Clock.First[j.move], d.c.Clock.Ticks(int(j.move))
	j.coarseTime = d.throughOnly && (d.c.Clock.First[j.move+1] <= d.asked.From || j.first >= d.asked.To)
	d.n += j.n
	d.jobs = append(d.jobs, *j)
	segs()
}

func (d *driver) layOut(p, q parse.Point, f0, f1, reach float64, again bool) {
	b := d.s.Stock.BottomMM
	g := segment{ax: p.X, ay: p.Y, az: p.Z - b, bx: q.X, by: q.Y, bz: q.Z - b, f0: f0, f1: f1,
		reach: reach, job: int32(len(d.jobs) - 1), again: again}
	if min(g.az, g.bz) >= d.s.Top {
		return
	}
	dx, dy := g.bx-g.ax, g.by-g.ay
	if n := math.Hypot(dx, dy); n > 1e-9 {
		g.len, g.ux, g.uy = n, dx/n, dy/n
		g.climb, g.perLen = (g.bz-g.az)/n, (f1-f0)/n
	}
	lo, hi := g.ySpan(reach + (ProbeCells+1)*d.s.Grid.CellMM)
	band := d.s.Grid.CellMM * raster.TileSide
	y0 := int(max(0, math.Floor((lo-d.s.Grid.OriginY)/band)))
	y1 := int(min(float64(d.c.TY-1), math.Floor((hi-d.s.Grid.OriginY)/band)))
	for y := y0; y <= y1; y++ {
		if len(d.bands[y]) == 0 {
			d.used = append(d.used, int32(y))
		}
		d.bands[y] = append(d.bands[y], int32(len(d.segs)))
	}
	d.segs = append(d.segs, g)
}

// flush lets the workers at the chunk that was laid out, reads the one before, and begins the next.
func (d *driver) flush() {
	if len(d.jobs) == 0 {
		return
	}
	before := d.await()
	d.cut = d.chunk
	workers := d.kernels
	if len(d.segs) < 16 {
		workers = workers[:1]
	}
	for n, k := range workers {
		k.begin(d.cut, n)
		if n > 0 {
			d.others.Add(1)
			go func() { defer d.others.Done(); k.work() }()
		}
	}
	if before == nil {
		d.chunk = newChunk(d.c.TY, len(d.kernels))
		return
	}
	d.readChunk(before)
	d.chunk = before
}

// finish sees to all that was laid out.
func (d *driver) finish() {
	d.flush()
	if last := d.await(); last != nil {
		d.readChunk(last)
	}
}

// await helps the workers and gives the chunk that they have cut.
func (d *driver) await() *chunk {
	done := d.cut
	if done != nil {
		d.kernels[0].work()
		d.others.Wait()
		d.cut = nil
	}
	return done
}

// readChunk turns the samples of a chunk into steps, and empties it.
func (d *driver) readChunk(c *chunk) {
	if !d.throughOnly {
		acc := c.acc[0]
		for _, other := range c.acc[1:] {
			for i := range other {
				acc[i].join(&other[i])
			}
		}
		for i := range c.jobs {
			j := &c.jobs[i]
			d.reader.read(j, acc[j.base:j.base+j.n])
		}
	}
	for _, y := range c.used {
		c.bands[y] = c.bands[y][:0]
	}
	for i := range c.acc {
		c.acc[i] = c.acc[i][:0]
	}
	c.jobs, c.segs, c.used, c.n = c.jobs[:0], c.segs[:0], c.used[:0], 0
	c.next.Store(0)
}

// Bounds of the work on a program. Lengths in mm.
const (
	// belowLayerMM is how far below the layer the depth of a cell is still told: beyond, the tool is in the chuck
	// anyway.
	belowLayerMM = 5

	chunkSamples = 1 << 13 // samples of a path worked on before the workers wait for each other
	chunkSegs    = 1 << 13
	MaxSamples   = 1 << 18 // of one move; longer ones have samples longer than a cell
)

// Result is what the tools did.
type Result struct {
	StockMM3   float64 // at the start
	RemovedMM3 float64
	Steps      Steps
}

// Run lays the blanks and runs the whole program over them.
func Run(s *plan.Setup, c *raster.Cells) Result {
	d := newDriver(s, c, s.Moves.Len(), nil)
	start := c.Rasterize(s.Grid, s.Stock, d.pools()...)
	d.drive()
	area := s.Grid.CellMM * s.Grid.CellMM
	return Result{float64(start) / raster.FixedPerMM * area, float64(d.reader.removed) / raster.FixedPerMM * area,
		d.reader.steps}
}
