package hold

import (
	"fmt"
	"math"
	"runtime"
	"strings"
	"testing"
	"time"

	"staydown/hold/job"
	"staydown/hold/sweepjob"
	"staydown/parse"
	"staydown/sweep"
)

// nest is a program that cuts parts free in rows from a sheet of sx by sy mm, 6 mm thick, in two passes; each outline
// is a rounded shape of so many blocks.
func nest(parts int, sx, sy float64, blocks int) string {
	var b strings.Builder
	b.WriteString("G21 G90 G17 G94\nT1 M6\nS18000 M3\nG0 Z5\n")
	columns := int(math.Ceil(math.Sqrt(float64(parts) * sx / sy)))
	rows := (parts + columns - 1) / columns
	px, py := sx/float64(columns), sy/float64(rows)
	for i := range parts {
		cx, cy := (float64(i%columns)+0.5)*px, (float64(i/columns)+0.5)*py
		rx, ry := px/2-8, py/2-8
		shape := 0.6 + 0.4*float64(i%7)/6 // parts of different size
		at := func(k int) (float64, float64) {
			sin, cos := math.Sincos(2 * math.Pi * float64(k) / float64(blocks/2))
			r := shape * (1 + 0.1*math.Cos(3*2*math.Pi*float64(k)/float64(blocks/2)))
			return cx + rx*r*cos/1.1, cy + ry*r*sin/1.1
		}
		x, y := at(0)
		fmt.Fprintf(&b, "G0 X%.3f Y%.3f\n", x, y)
		for _, z := range []float64{4.8, 6.2} {
			fmt.Fprintf(&b, "G1 Z-%g F300\nF1800\n", z)
			for k := 1; k <= blocks/2; k++ {
				x, y = at(k)
				fmt.Fprintf(&b, "X%.3f Y%.3f\n", x, y)
			}
		}
		b.WriteString("G0 Z5\n")
	}
	b.WriteString("M30\n")
	return b.String()
}

// sheet is the job of a nest on a sheet of sx by sy mm.
func sheet(sx, sy, cell float64) string {
	return strings.Replace(aPlate().sized(sx, sy).on(cell), "100 m3/h", "400 m3/h", 1)
}

// watchHeap gives the greatest heap seen, in MiB, every 10 ms until it is asked.
func watchHeap() (peakMiB func() float64) {
	stop, done := make(chan struct{}), make(chan float64)
	go func() {
		var m runtime.MemStats
		peak := uint64(0)
		tick := time.NewTicker(10 * time.Millisecond)
		defer tick.Stop()
		for {
			select {
			case <-stop:
				done <- float64(peak) / (1 << 20)
				return
			case <-tick.C:
				runtime.ReadMemStats(&m)
				peak = max(peak, m.HeapAlloc)
			}
		}
	}()
	return func() float64 { close(stop); return <-done }
}

// BenchmarkRoad runs the road from text to findings on nests of rising size. parse-share, sweep-share and hold-share
// are the parts of the stages in the time of the whole, peak-MB the greatest heap; ns/mm2 is the time for a square
// millimeter of material removed, which should not grow with the size of the nest.
func BenchmarkRoad(b *testing.B) {
	for _, size := range []struct {
		parts  int
		sx, sy float64
		cell   float64
		blocks int
	}{{20, 600, 400, 0.5, 100}, {60, 1000, 600, 0.25, 200}, {125, 1500, 750, 0.25, 200}, {500, 3000, 1500, 0.25, 200}} {
		b.Run(fmt.Sprintf("%dparts", size.parts), func(b *testing.B) {
			program, jobFile := []byte(nest(size.parts, size.sx, size.sy, size.blocks)),
				[]byte(sheet(size.sx, size.sy, size.cell))
			var stages [3]time.Duration
			var removed float64
			peak := watchHeap()
			b.ReportAllocs()
			for b.Loop() {
				start := time.Now()
				j, err := job.Parse("job.toml", jobFile)
				if err != nil {
					b.Fatal(err)
				}
				prog := parse.Read(program, parse.Options{Name: "nest.nc", RapidMMMin: j.Machine.RapidMMMin})
				read := time.Now()
				tools := map[int]sweep.Tool{1: j.Tools[1].Tool}
				rec, err := sweep.Run(&prog.Moves, tools, j.Stock.Stock, sweep.Options{CellMM: j.CellMM,
					LayerMM: j.Layer.ThicknessMM, Neck: sweepjob.Neck(prog, j), MemoryBytes: 1 << 30})
				if err != nil {
					b.Fatal(err)
				}
				swept := time.Now()
				a, err := Check(prog, rec, j, Options{})
				if err != nil {
					b.Fatal(err)
				}
				stages[0] += read.Sub(start)
				stages[1] += swept.Sub(read)
				stages[2] += time.Since(swept)
				removed = rec.RemovedMM3 / 6
				if got := len(a.Result.Pieces); got != size.parts+1 {
					b.Fatalf("%d pieces, want %d", got, size.parts+1)
				}
			}
			b.ReportMetric(peak(), "peak-MB")
			whole := stages[0] + stages[1] + stages[2]
			for i, name := range []string{"parse", "sweep", "hold"} {
				b.ReportMetric(float64(stages[i])/float64(whole), name+"-share")
			}
			b.ReportMetric(float64(whole.Nanoseconds())/float64(b.N)/removed, "ns/mm2")
			b.ReportMetric(float64(strings.Count(string(program), "\n")), "blocks")
		})
	}
}

// BenchmarkFinishing runs the same road on a wavy face that a ball finishes in short moves and that frees nothing.
func BenchmarkFinishing(b *testing.B) {
	const rows, blocks = 40, 500
	var text strings.Builder
	text.WriteString("G21 G90 G17 G94\nT1 M6\nS18000 M3\nG0 Z5\nG0 X10 Y10\nG1 Z-1 F600\nF3000\n")
	for j := range rows {
		for i := range blocks {
			x, y := 10+0.4*float64(i), 10+0.4*float64(j)
			if j%2 == 1 {
				x = 10 + 0.4*float64(blocks-1-i)
			}
			fmt.Fprintf(&text, "X%.3f Y%.3f Z%.3f\n", x, y, -2-1.2*math.Sin(x/9)*math.Cos(y/7))
		}
	}
	text.WriteString("G0 Z5\nM30\n")
	j, err := job.Parse("job.toml", []byte(strings.Replace(sheet(220, 40, 0.5), `"flat"`, `"ball"`, 1)))
	if err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	for b.Loop() {
		prog := parse.Read([]byte(text.String()), parse.Options{Name: "face.nc", RapidMMMin: j.Machine.RapidMMMin})
		rec, err := sweep.Run(&prog.Moves, map[int]sweep.Tool{1: j.Tools[1].Tool}, j.Stock.Stock,
			sweep.Options{CellMM: j.CellMM, Neck: sweepjob.Neck(prog, j)})
		if err != nil {
			b.Fatal(err)
		}
		if _, err := Check(prog, rec, j, Options{NoPictures: true}); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(rows*blocks, "moves")
}
