package main

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"

	"github.com/paulmach/orb"
	"github.com/paulmach/orb/planar"

	"staydown/hold"
	"staydown/hold/chart"
	"staydown/hold/job"
	"staydown/parse"
)

// chartJob is a small grooved table, coarse so that tests are quick. Every figure is an example.
const chartJob = `
[stock]
corner   = ["0 mm", "0 mm", "-4 mm"]
size     = ["240 mm", "160 mm", "4 mm"]
material = "aluminium-wrought"
%s
[layer]
material  = "porous-card"
friction  = 0.35
cut_limit = "0.4 mm"
[[zone]]
name   = "A"
area   = [["0 mm", "0 mm"], ["240 mm", "160 mm"]]
groove = { pitch = "20 mm", width = "5 mm" }
[pump]
kind = "rotary-vane"
flow = "100 m3/h"
leak = "3 m3/h"
[[tool]]
number   = 1
diameter = "6 mm"
flutes   = 2
reach    = "22 mm"
[grid]
cell = "2 mm"
`

func mustJob(t *testing.T, text string) *job.Job {
	t.Helper()
	j, err := job.Parse("job.toml", []byte(text))
	if err != nil {
		t.Fatal(err)
	}
	return j
}

// A program of the chart has, checked on its own with a job file, the margin that the chart gives it: with the feeds
// that share a sweep, and with an open part of the sheet, which the job file writes as a cut-out.
func TestChartAgreesWithCheck(t *testing.T) {
	if raceDetector && testing.Short() {
		t.Skip("looks for wrong results, not for races")
	}
	trials := 3
	if longRun {
		trials = 20
	}
	for _, share := range []float64{0, 0.25} {
		o := chart.Options{Tool: -1, Workers: 2, OpenShare: share, FeedsMMMin: []float64{600, 2400},
			SizesMM: []float64{16, 40}, DepthsMM: []float64{0.5}}
		given := mustJob(t, fmt.Sprintf(chartJob, ""))
		r, err := chart.Find(given, o, alike{}.run)
		if err != nil {
			t.Fatal(err)
		}
		draw := rand.New(rand.NewPCG(1, 2))
		for range trials {
			trial := r.Trials[draw.IntN(len(r.Trials))]
			text, on, err := chart.Program(given, o, trial)
			if err != nil {
				t.Fatal(err)
			}
			cutout := ""
			if share > 0 {
				cutout = cutoutText(on.Stock.Blanks[0].Outline[1])
			}
			got := checkedMargin(t, text, fmt.Sprintf(chartJob, cutout))
			if want := trial.Margin.Likely; !(math.Abs(got-want) <= 0.01*want) {
				t.Errorf("open share %g, %+v: %.4f by check", share, trial, got)
			}
		}
	}
}

func cutoutText(ring orb.Ring) string {
	b := ring.Bound()
	return fmt.Sprintf("[[stock.cutout]]\ncorner = [\"%.9g mm\", \"%.9g mm\"]\nsize = [\"%.9g mm\", \"%.9g mm\"]\n",
		b.Min[0],
		b.Min[1], b.Max[0]-b.Min[0], b.Max[1]-b.Min[1])
}

// checkedMargin runs a program through check and gives the margin of the part that it cuts.
func checkedMargin(t *testing.T, program []byte, jobText string) float64 {
	t.Helper()
	dir := t.TempDir()
	path := filepath.Join(dir, "part.nc")
	for name, data := range map[string][]byte{path: program, filepath.Join(dir, jobFileName): []byte(jobText)} {
		if err := os.WriteFile(name, data, 0o666); err != nil {
			t.Fatal(err)
		}
	}
	d, p := analyse(path, settings{jobs: 1})
	if p != nil {
		t.Fatal(p)
	}
	parts := d.analysis.Result.Pieces[1:] // the first is the stock
	if len(parts) != 1 {
		t.Fatalf("%d parts, not one:\n%s", len(parts), program)
	}
	return parts[0].Least.Margin
}

// counted is a runner that says of a part that it has a margin of its side over 40 mm, but none at 63 mm.
func counted(programs []*parse.Program, _ *job.Job) ([]*hold.Result, error) {
	var out []*hold.Result
	for _, prog := range programs {
		box := orb.Bound{Min: orb.Point{math.Inf(1), math.Inf(1)}, Max: orb.Point{math.Inf(-1), math.Inf(-1)}}
		for _, m := range prog.Moves.All() {
			if m.Kind != parse.Rapid && m.End.Z < 0 {
				box = box.Extend(orb.Point{m.End.X, m.End.Y})
			}
		}
		side := box.Max[1] - box.Min[1] - 6
		m := side / 40
		if math.Abs(side-63) < 0.1 {
			m = 0.5
		}
		ring := box.Pad(-3).ToRing()
		p := hold.Piece{ID: 2, Centroid: box.Center(), AreaMM2: math.Abs(planar.Area(ring)),
			Least: hold.Least{Margin: m, Low: 0.9 * m, High: 1.2 * m, Mode: hold.Slip}}
		out = append(out, &hold.Result{Pieces: []hold.Piece{{ID: 1}, p}})
	}
	return out, nil
}

// Smallest is the size from which on all larger ones hold: what holds below a larger size that fails does not count.
func TestSmallestIsBelowNoSizeThatFails(t *testing.T) {
	j := mustJob(t, fmt.Sprintf(chartJob, ""))
	j.Limits.Margin = 1
	r, err := chart.Find(j, chart.Options{Tool: -1, FeedsMMMin: []float64{600}}, counted)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range r.Curves {
		if c.Shape != chart.Square {
			continue
		}
		for _, p := range c.Points {
			// 0.9 side/40 >= 1 from 44.4 mm on, side/40 from 40 and 1.2 side/40 from 33.3 mm on; but 63 mm fails.
			if want := (hold.Range{Low: 80, Likely: 80, High: 80}); p.Smallest != want {
				t.Errorf("depth %g: %+v, want %+v", p.DepthMM, p.Smallest, want)
			}
		}
	}
}
