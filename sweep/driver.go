package sweep

import (
	"math"
	"sync"
	"sync/atomic"

	"staydown/parse"
)

// driver takes the program in chunks: it lays out the segments, lets the workers take them through their bands of
// tiles, and reads the samples. While a chunk is cut the one before is read and the next one laid out.
type driver struct {
	s       *setup
	c       *cells
	kernels []*kernel
	known   pathSet

	*chunk                // being laid out
	cut    *chunk         // being cut, nil if none
	others sync.WaitGroup // workers at cut, beside the driver itself
	only   bool           // nobody asks for more than the cuts through the stock
	asked  span           // nor, then, for moments outside, beyond the move

	lastTool *cutter
	lastEnd  parse.Point
	open     rawStep
	steps    stepBlocks
	window   window
	removed  int64
}

// chunk is a stretch of the program.
type chunk struct {
	jobs  []job
	segs  []seg
	bands [][]int32 // segments that come near each band of tiles
	used  []int32   // bands with segments
	next  atomic.Int64
	n     int        // samples
	acc   [][]sample // of each worker
}

func newChunk(bands, workers int) *chunk {
	return &chunk{bands: make([][]int32, bands), acc: make([][]sample, workers)}
}

// newDriver starts at the first move; spare tiles are the workers' own unless given.
func newDriver(s *setup, c *cells, spare *shed) *driver {
	d := &driver{s: s, c: c, chunk: newChunk(c.ty, s.opt.Jobs)}
	d.known.moves = s.moves
	for i := 0; i < s.opt.Jobs; i++ {
		k := &kernel{
			g: s.grid, c: c, through: toFix(ThroughMM), web: toFix(s.opt.WebMM) + toFix(ThroughMM)/2, shed: spare,
			deep: toFix(-maxHeightMM),
		}
		if s.opt.LayerMM > 0 {
			k.deep = toFix(-s.opt.LayerMM - belowLayerMM)
		}
		if spare == nil {
			k.shed = new(shed)
		}
		d.kernels = append(d.kernels, k)
	}
	return d
}

// sheds are those of the workers.
func (d *driver) sheds() (out []*shed) {
	for _, k := range d.kernels {
		out = append(out, k.shed)
	}
	return out
}

func (d *driver) drive() {
	for i := range d.s.moves.Len() {
		d.add(i)
		if d.n >= chunkSamples || len(d.segs) >= chunkSegs {
			d.flush()
		}
	}
	d.finish()
	d.closeStep()
}

// add lays out one move.
func (d *driver) add(i int) {
	s := d.s
	m := s.moves.At(i)
	tool := s.cutters[m.Tool]
	if m.Kind == parse.Dwell {
		return
	}
	changed := tool != d.lastTool || m.Start != d.lastEnd
	d.lastTool, d.lastEnd = tool, m.End
	if tool == nil {
		return
	}
	bottom := s.stock.BottomMM
	low := m.LowestZ() - bottom
	if low >= s.top {
		return
	}
	j := job{move: int32(i), tool: tool, fa: 0, fb: 1, again: d.known.add(int32(i))}
	top := s.top
	if d.only {
		top = ThroughMM
	}
	if low > top {
		return
	}
	reach := tool.within(top - low)
	margin := reach + (probeCells+2)*s.grid.CellMM
	box := s.grid.box()
	if m.Kind != parse.Arc {
		t0, t1, ok := clipRange(m.Start.X, m.Start.Y, m.End.X, m.End.Y, box, margin)
		if !ok {
			return
		}
		j.fa, j.fb = t0, t1
	}
	if changed {
		// A tool that was just changed stands in its place before it moves: level sweeps leave out what was under
		// the tool at their start.
		f := d.c.clock.fraction(i, d.c.clock.first[i])
		stand := job{move: int32(i), tool: tool, fa: 0, fb: f, n: 1, plunge: true, mm: m.LengthMM}
		d.place(&stand, func() { d.seg(m.Start, m.Start, 0, f, reach, false) })
	}
	if m.Upright() {
		j.n, j.plunge, j.mm = 1, true, m.LengthMM
		d.place(&j, func() { d.seg(m.Start, m.End, 0, 1, reach, j.again) })
		return
	}
	if j.fb <= j.fa {
		return
	}
	j.mm = m.LengthMM
	n := math.Ceil(j.mm*(j.fb-j.fa)/s.grid.CellMM - 1e-9)
	j.n = int(max(1, min(n, maxSamples)))
	d.place(&j, func() {
		k := m.Chords(s.chord)
		if m.Kind != parse.Arc {
			d.seg(m.At(j.fa), m.At(j.fb), j.fa, j.fb, reach, j.again)
			return
		}
		p := m.Start
		for n := 1; n <= k; n++ {
			q := m.At(float64(n) / float64(k))
			if _, _, ok := clipRange(p.X, p.Y, q.X, q.Y, box, margin); ok {
				d.seg(p, q, float64(n-1)/float64(k), float64(n)/float64(k), reach, j.again)
			}
			p = q
		}
	})
}

// place enters a job and its segments.
func (d *driver) place(j *job, segs func()) {
	j.base = d.n
	j.perF = float64(j.n) / (j.fb - j.fa)
	j.first, j.ticks = d.c.clock.first[j.move], d.c.clock.count(int(j.move))
	j.rough = d.only && (d.c.clock.first[j.move+1] <= d.asked.from || j.first >= d.asked.to)
	d.n += j.n
	d.jobs = append(d.jobs, *j)
	segs()
}

func (d *driver) seg(p, q parse.Point, f0, f1, reach float64, again bool) {
	b := d.s.stock.BottomMM
	g := seg{ax: p.X, ay: p.Y, az: p.Z - b, bx: q.X, by: q.Y, bz: q.Z - b, f0: f0, f1: f1,
		reach: reach, job: int32(len(d.jobs) - 1), again: again}
	if min(g.az, g.bz) >= d.s.top {
		return
	}
	dx, dy := g.bx-g.ax, g.by-g.ay
	if n := math.Hypot(dx, dy); n > 1e-9 {
		g.len, g.ux, g.uy = n, dx/n, dy/n
		g.climb, g.perLen = (g.bz-g.az)/n, (f1-f0)/n
	}
	lo, hi := g.ySpan(reach + (probeCells+1)*d.s.grid.CellMM)
	band := d.s.grid.CellMM * tileSide
	y0 := int(max(0, math.Floor((lo-d.s.grid.OriginY)/band)))
	y1 := int(min(float64(d.c.ty-1), math.Floor((hi-d.s.grid.OriginY)/band)))
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
		d.chunk = newChunk(d.c.ty, len(d.kernels))
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
	if !d.only {
		acc := c.acc[0]
		for _, other := range c.acc[1:] {
			for i := range other {
				acc[i].join(&other[i])
			}
		}
		for i := range c.jobs {
			j := &c.jobs[i]
			d.read(j, acc[j.base:j.base+j.n])
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

	chunkSamples = 1 << 13 // samples of a path worked on between two meetings of the workers
	chunkSegs    = 1 << 13
	maxSamples   = 1 << 18 // of one move; longer ones have samples longer than a cell
)

// outcome is what the tools did.
type outcome struct {
	stockMM3   float64 // at the start
	removedMM3 float64
	steps      stepBlocks
}

// removeAll lays the blanks and runs the whole program over them.
func removeAll(s *setup, c *cells) outcome {
	d := newDriver(s, c, nil)
	start := c.lay(s.grid, s.stock, d.sheds()...)
	d.drive()
	area := s.grid.CellMM * s.grid.CellMM
	return outcome{float64(start) / fixPerMM * area, float64(d.removed) / fixPerMM * area, d.steps}
}
