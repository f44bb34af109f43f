//go:build unix

package sweep

import (
	"math"
	"runtime"
	"runtime/debug"
	"slices"
	"syscall"
	"testing"
	"time"

	"staydown/parse"
	"staydown/sweep/internal/plan"
	"staydown/sweep/internal/raster"
	"staydown/sweep/internal/removal"
	"staydown/sweep/internal/testprog"
)

// effort is what something took.
type effort struct{ wall, processor float64 } // s

// timed runs f, cold with no memory in hand, as a program that begins, or warm with what others have given back.
func timed(cold bool, f func()) effort {
	if cold {
		debug.FreeOSMemory()
	} else {
		runtime.GC()
	}
	cpu, wall := processor(), time.Now()
	f()
	return effort{time.Since(wall).Seconds(), (processor() - cpu).Seconds()}
}

func (s effort) least(o effort) effort {
	return effort{min(s.wall, o.wall), min(s.processor, o.processor)}
}

// removed lists the cells that are cut through, as tick, slot and place, in the order in which they went.
func removed(r *Record) (ev []uint64) {
	for slot, t := range r.cells.List {
		for k, at := range &t.Cut {
			if at >= raster.FirstTick && at != raster.TickNever {
				ev = append(ev, uint64(at)<<32|uint64(slot)<<(2*raster.TileBits)|uint64(k))
			}
		}
	}
	slices.Sort(ev)
	return ev
}

// floor is a bare loop that makes the tiles and writes height, time and label of every finally removed cell once.
func floor(ev []uint64, tiles int) {
	list := make([]raster.Tile, tiles)
	for i := range list {
		t := &list[i]
		raster.Fill(t.Cut[:], raster.TickNever)
		raster.Fill(t.Height[:], 6*raster.FixedPerMM)
	}
	for _, e := range ev {
		t, k := &list[uint32(e)>>(2*raster.TileBits)], e&(raster.TileArea-1)
		t.Height[k], t.Cut[k], t.Label[k] = -13107, raster.Tick(e>>32), 1
	}
	runtime.KeepAlive(list)
}

// withoutPieces is the sweep without pieces and owners.
func withoutPieces(b *testing.B, p *testprog.Program, stock Stock) func() {
	s, err := plan.Prepare(parse.NewMoves(p.Moves...), testprog.EndMill(6), stock, plan.Options{CellMM: 0.25})
	if err != nil {
		b.Fatal(err)
	}
	return func() {
		c := raster.NewCells(s.Grid, stock, raster.NewClock(parse.NewMoves(p.Moves...), 0.25/raster.TicksPerCell))
		removal.Run(s, c)
	}
}

// BenchmarkNestOf500 is 500 parts on a sheet of 3000 x 1500 mm at 0.25 mm, 100,000 blocks. Each figure is taken cold,
// as in a run of the program, and warm: memory that the system has to hand out first costs the floor more than it costs
// the sweep.
func BenchmarkNestOf500(b *testing.B) {
	p := nest(25, 20, 75, 27, 200)
	stock := sheet(3000, 1500)
	for b.Loop() {
		for _, cold := range []bool{true, false} {
			name := map[bool]string{true: "cold-", false: "warm-"}[cold]
			var r *Record
			var err error
			peak := watchHeap()
			whole := timed(cold, func() {
				r, err = Run(parse.NewMoves(p.Moves...), testprog.EndMill(6), stock,
					Options{CellMM: 0.25})
			})
			if err != nil {
				b.Fatal(err)
			}
			b.ReportMetric(float64(peak())/1e6, "peak-MB")
			if len(r.Pieces) != 501 {
				b.Fatalf("%d pieces", len(r.Pieces))
			}
			ev, tiles := removed(r), len(r.cells.List)
			b.ReportMetric(float64(r.Steps.Len()), "steps")
			b.ReportMetric(float64(tiles*raster.TileArea)/1e6, "Mcells-touched")
			b.ReportMetric(100*r.RemovedMM3/r.StockMM3, "%-cut")
			r = nil
			least := timed(cold, func() { floor(ev, tiles) })
			for range 2 {
				least = least.least(timed(cold, func() { floor(ev, tiles) }))
			}
			part := timed(cold, withoutPieces(b, p, stock))
			b.ReportMetric(whole.wall, name+"s")
			b.ReportMetric(whole.processor, name+"cpu-s")
			b.ReportMetric(whole.wall/least.wall, name+"x-floor")
			b.ReportMetric(whole.processor/least.processor, name+"cpu-x-floor")
			b.ReportMetric(part.wall/least.wall, name+"removal-x-floor")
			b.ReportMetric(part.processor/least.processor, name+"removal-cpu-x-floor")
		}
	}
}

// BenchmarkSurfacing is a wavy face finished by a ball in 1,000,000 blocks of 0.1 mm.
func BenchmarkSurfacing(b *testing.B) {
	p := testprog.New(1).Enter(5, 5, -1)
	const lines, blocks = 400, 2500
	for j := range lines {
		for i := range blocks {
			k := i
			if j%2 == 1 {
				k = blocks - 1 - i
			}
			x, y := 5+0.1*float64(k), 5+0.5*float64(j)
			p.Line(x, y, -2+0.8*math.Sin(x/9)*math.Cos(y/7))
		}
	}
	p.Up()
	stock := sheet(260, 210)
	for b.Loop() {
		begin := processor()
		r, err := Run(parse.NewMoves(p.Moves...), tool(Tool{Shape: Ball, DiameterMM: 6}), stock, Options{CellMM: 0.25})
		if err != nil {
			b.Fatal(err)
		}
		b.ReportMetric((processor() - begin).Seconds(), "cpu-s")
		b.ReportMetric(float64(r.Steps.Len()), "steps")
	}
}

// processor is the time that the process effort on all processors: other work on the machine does not count.
func processor() time.Duration {
	var u syscall.Rusage
	if syscall.Getrusage(syscall.RUSAGE_SELF, &u) != nil {
		return 0
	}
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}

// watchHeap samples the heap until the returned function is called.
func watchHeap() func() uint64 {
	stop, done := make(chan struct{}), make(chan uint64)
	go func() {
		var top uint64
		tick := time.NewTicker(5 * time.Millisecond)
		defer tick.Stop()
		for {
			select {
			case <-stop:
				done <- top
				return
			case <-tick.C:
				var m runtime.MemStats
				runtime.ReadMemStats(&m)
				top = max(top, m.HeapInuse)
			}
		}
	}()
	return func() uint64 { close(stop); return <-done }
}
