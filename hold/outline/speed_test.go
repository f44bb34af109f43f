package outline

import (
	"fmt"
	"math"
	"testing"

	"github.com/paulmach/orb"

	"staydown/hold"
	"staydown/hold/job"
	"staydown/hold/result"
	"staydown/hold/sweepjob"
	"staydown/parse"
	"staydown/parse/drawing"
	"staydown/sweep"
)

func benchJob(sx, sy float64) string {
	return fmt.Sprintf(`
[stock]
corner   = ["0 mm", "0 mm", "-6 mm"]
size     = ["%g mm", "%g mm", "6 mm"]
material = "aluminium-wrought"
anchored = true
[layer]
material  = "porous-card"
through   = "2e-14 m2"
friction  = 0.35
[[zone]]
name = "A"
area = [["0 mm", "0 mm"], ["%g mm", "%g mm"]]
groove = { pitch = "20 mm", width = "5 mm" }
[pump]
kind = "rotary-vane"
flow = "400 m3/h"
[[tool]]
number   = 1
diameter = "6 mm"
flutes   = 2
`, sx, sy, sx, sy)
}

// road is the road of check.
func road(t testing.TB, ways *int) Checker {
	return func(prog *parse.Program, j *job.Job, opt hold.Options) (*result.Result, error) {
		*ways++
		cells := sweep.Options{CellMM: j.CellMM, WebMM: j.WebMM, Neck: sweepjob.Neck(prog, j)}
		if j.Layer != nil {
			cells.LayerMM = j.Layer.ThicknessMM
		}
		opt.Resweep = sweepjob.Sweeper(prog, j, cells)
		rec, err := opt.Resweep(j.Stock.BottomMM)
		if err != nil {
			return nil, err
		}
		a, err := hold.Check(prog, rec, j, opt)
		if err != nil {
			return nil, err
		}
		return a.Result, nil
	}
}

// BenchmarkJudge judges drawings of so many parts, each of its own size.
func BenchmarkJudge(b *testing.B) {
	for _, columns := range []int{10, 20, 25} {
		rows := columns * 4 / 5
		b.Run(fmt.Sprintf("%dparts", columns*rows), func(b *testing.B) {
			j, err := job.Parse("job.toml", []byte(benchJob(float64(columns)*100, float64(rows)*100)))
			if err != nil {
				b.Fatal(err)
			}
			d := &drawing.Drawing{}
			for i := range columns * rows {
				var ring orb.Ring
				size := 25 + 15*math.Abs(math.Sin(float64(i)))
				for k := range 101 {
					sin, cos := math.Sincos(2 * math.Pi * float64(k%100) / 100)
					r := size * (1 + 0.1*math.Cos(6*math.Pi*float64(k%100)/100))
					ring = append(ring, orb.Point{float64(i%columns)*100 + 50 + r*cos, float64(i/columns)*100 + 50 +
						r*sin})
				}
				d.Parts = append(d.Parts, drawing.Part{Outline: drawing.Outline{Ring: ring, Line: i}})
			}
			for b.Loop() {
				runs := 0
				if _, err := Judge(d, j, Options{Tool: -1}, road(b, &runs)); err != nil {
					b.Fatal(err)
				}
				b.ReportMetric(float64(runs), "runs")
			}
		})
	}
}
