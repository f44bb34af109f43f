package hold

import (
	"fmt"
	"math"
	"runtime"
	"strings"
	"testing"

	"staydown/hold/job"
	"staydown/parse"
	"staydown/sweep"
)

// nest is a program that cuts parts free in rows from a sheet of sx by sy mm, 6 mm thick, in two passes; each outline is
// a rounded shape of so many blocks.
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
	p := aPlate()
	text := strings.NewReplacer(`"400 mm"`, fmt.Sprintf(`"%g mm"`, sx), `"300 mm"`, fmt.Sprintf(`"%g mm"`, sy)).Replace(p.toml())
	return strings.Replace(text, "100 m3/h", "400 m3/h", 1) + fmt.Sprintf("[grid]\ncell = \"%g mm\"\n", cell)
}

// BenchmarkRoad runs the whole road, stage by stage, on nests of rising size. The metrics are shares of the time of the
// whole; peak-MB is the memory that the run took from the system.
func BenchmarkRoad(b *testing.B) {
	for _, size := range []struct {
		parts  int
		sx, sy float64
		cell   float64
		blocks int
	}{{20, 600, 400, 0.5, 100}, {60, 1000, 600, 0.25, 200}, {125, 1500, 750, 0.25, 200}, {500, 3000, 1500, 0.25, 200}} {
		b.Run(fmt.Sprintf("%dparts", size.parts), func(b *testing.B) {
			program, jobFile := []byte(nest(size.parts, size.sx, size.sy, size.blocks)), []byte(sheet(size.sx, size.sy, size.cell))
			j, err := job.Parse("job.toml", jobFile)
			if err != nil {
				b.Fatal(err)
			}
			b.ReportAllocs()
			for b.Loop() {
				prog := parse.Read(program, parse.Options{Name: "nest.nc", RapidMMMin: j.Machine.RapidMMMin})
				tools := map[int]sweep.Tool{1: j.Tools[1].Tool}
				rec, err := sweep.Run(prog.Moves, tools, j.Stock.Stock, sweep.Options{CellMM: j.CellMM, LayerMM: j.Layer.ThicknessMM, MemoryBytes: 1 << 30})
				if err != nil {
					b.Fatal(err)
				}
				a, err := Check(prog, rec, j, Options{})
				if err != nil {
					b.Fatal(err)
				}
				if got := len(a.Result.Pieces); got != size.parts+1 {
					b.Fatalf("%d pieces, want %d", got, size.parts+1)
				}
			}
			var m runtime.MemStats
			runtime.ReadMemStats(&m)
			b.ReportMetric(float64(m.Sys)/(1<<20), "peak-MB")
			b.ReportMetric(float64(strings.Count(string(program), "\n")), "blocks")
		})
	}
}
