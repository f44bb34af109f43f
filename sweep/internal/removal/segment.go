package removal

import (
	"sync/atomic"

	"staydown/sweep/internal/raster"
	"staydown/sweep/internal/shape"
)

// segment is a straight piece of a move's path, in mm; heights count from the table side of the stock.
type segment struct {
	ax, ay, az float64
	bx, by, bz float64
	ux, uy     float64 // direction seen from above; 0, 0 for a plunge
	len        float64 // seen from above
	climb      float64 // height gained per mm along
	reach      float64 // distance from the path within which the tool can meet material
	f0, f1     float64 // fractions of the move
	perLen     float64 // fraction of the move per mm along
	job        int32   // index in the chunk's jobs
	again      bool    // the same path was run before: nothing is left to remove
}

// bounds in Y of all cells that the segment or its probes look at.
func (s *segment) ySpan(margin float64) (lo, hi float64) {
	return min(s.ay, s.by) - margin, max(s.ay, s.by) + margin
}

// job is a move that comes near the material, with its place in the chunk's samples.
type job struct {
	move       int32
	tool       *shape.Cutter
	fa, fb     float64 // the fractions of the move that have samples
	base       int     // first sample
	n          int     // number of samples
	plunge     bool
	again      bool
	coarseTime bool // moments inside the move do not matter

	mm    float64     // of the whole move's path
	perF  float64     // samples per fraction of the move
	first raster.Tick // of the move
	ticks float64     // of the move
}

// sampleAt gives the sample in which fraction f of the move lies.
func (j *job) sampleAt(f float64) int {
	return j.base + max(0, min(j.n-1, int((f-j.fa)*j.perF)))
}

// tickAt gives the tick in which fraction f of the move lies, as clock.at.
func (j *job) tickAt(f float64) raster.Tick {
	return j.first + raster.Tick(max(0, min(j.ticks-1, f*j.ticks)))
}

// sampleEdge gives the fraction of the move at which sample k of the job begins.
func (j *job) sampleEdge(k int) float64 {
	return j.fa + (j.fb-j.fa)*float64(k)/float64(j.n)
}

// chunk is a stretch of the program.
type chunk struct {
	jobs  []job
	segs  []segment
	bands [][]int32 // segments that come near each band of tiles
	used  []int32   // bands with segments
	next  atomic.Int64
	n     int        // samples
	acc   [][]sample // of each worker
}

func newChunk(bands, workers int) *chunk {
	return &chunk{bands: make([][]int32, bands), acc: make([][]sample, workers)}
}
