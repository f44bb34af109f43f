package main

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/paulmach/orb"
	"github.com/paulmach/orb/planar"

	"staydown/hold/chart"
	"staydown/hold/job"
	"staydown/hold/result"
	"staydown/internal/testrun"
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
cell = "3 mm"
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
	for share, sizesMM := range map[float64][]float64{0: {16}, 0.25: {40}} {
		if testrun.Long {
			sizesMM = []float64{16, 40}
		}
		o := chart.Options{Tool: -1, Workers: 2, OpenShare: share, FeedsMMMin: []float64{600, 2400}, SizesMM: sizesMM,
			DepthsMM: []float64{0.5}}
		given := mustJob(t, fmt.Sprintf(chartJob, ""))
		r, err := chart.Find(given, o, newAlike(nil, 2).run)
		if err != nil {
			t.Fatal(err)
		}
		// A part on a skin that is narrower than coarse cells tell apart neither comes free nor hangs: its margin is
		// not known.
		known := slices.DeleteFunc(r.Trials, func(t chart.Trial) bool { return math.IsNaN(t.Margin.Likely) })
		draw := rand.New(rand.NewPCG(1, 2))
		for range testrun.Draws(2, 20) {
			trial := known[draw.IntN(len(known))]
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

// A pump too small for the table lets the sheet itself come loose; the chart says so, although it asks for parts.
func TestChartTellsThatTheSheetComesLoose(t *testing.T) {
	text := strings.NewReplacer(`"100 m3/h"`, `"0.2 m3/h"`, `"3 m3/h"`, `"0.1 m3/h"`).Replace(fmt.Sprintf(chartJob, ""))
	o := chart.Options{Tool: -1, Workers: 2, FeedsMMMin: []float64{600, 2400}, SizesMM: []float64{16, 40},
		DepthsMM: []float64{0.5}}
	r, err := chart.Find(mustJob(t, text), o, newAlike(nil, 2).run)
	if err != nil {
		t.Fatal(err)
	}
	if !slices.ContainsFunc(r.Reasons, func(why string) bool {
		return strings.Contains(why, "piece 1 ") && strings.Contains(why, "comes loose")
	}) {
		t.Errorf("the sheet is not told: %q", r.Reasons)
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

// cutOut is the width of the part that a program cuts out along Y, mm, and its outline.
func cutOut(prog *parse.Program) (mm float64, ring orb.Ring) {
	const diameter = 6
	box := orb.Bound{Min: orb.Point{math.Inf(1), math.Inf(1)}, Max: orb.Point{math.Inf(-1), math.Inf(-1)}}
	for _, m := range prog.Moves.All() {
		if m.Kind != parse.Rapid && m.End.Z < 0 {
			box = box.Extend(orb.Point{m.End.X, m.End.Y})
		}
	}
	box = box.Pad(-diameter / 2)
	return box.Max[1] - box.Min[1], box.ToRing()
}

// closingDepth is the depth of the last pass of a program through the 4 mm of chartJob: what the pass before it leaves.
func closingDepth(prog *parse.Program) float64 {
	lowest, before := 0.0, 0.0
	for _, m := range prog.Moves.All() {
		if z := m.End.Z; m.Kind != parse.Rapid && z < lowest-1e-6 {
			lowest, before = z, lowest
		}
	}
	return before + 4
}

// partOf is the result of a program that cuts out one part.
func partOf(ring orb.Ring, least result.Least) *result.Result {
	least.Mode = result.Slip
	return &result.Result{Pieces: []result.Piece{{ID: 1}, {ID: 2, Centroid: ring.Bound().Center(),
		AreaMM2: math.Abs(planar.Area(ring)), Least: least}}}
}

// counted is a runner that says of a part that it has a margin of its side over 40 mm, but none at 63 mm.
func counted(d chart.DryRuns) ([]*result.Result, error) {
	var out []*result.Result
	for _, prog := range d.Programs {
		side, ring := cutOut(prog)
		m := side / 40
		if math.Abs(side-63) < 0.1 {
			m = 0.5
		}
		out = append(out, partOf(ring, result.Least{Margin: m, Low: 0.9 * m, High: 1.2 * m}))
	}
	return out, nil
}

// How the sheet fares is asked at the greatest feed, one part at a time, and not where places or heights are compared.
func TestTheSheetIsAskedForAtTheGreatestFeed(t *testing.T) {
	feedOf := func(prog *parse.Program) (most float64) {
		for _, m := range prog.Moves.All() {
			if m.Kind != parse.Rapid {
				most = max(most, m.FeedMMMin)
			}
		}
		return most
	}
	asked, left := 0, 0
	o := chart.Options{Tool: -1, FeedsMMMin: []float64{600, 1200}, SizesMM: []float64{31.5, 40, 50}}
	_, err := chart.Find(mustJob(t, fmt.Sprintf(chartJob, "")), o,
		func(d chart.DryRuns) ([]*result.Result, error) {
			if left++; d.Sheet {
				left, asked = left-1, asked+1
				if feed := feedOf(d.Swept); feed != 1200 {
					t.Errorf("the sheet is asked for at F%g", feed)
				}
			}
			return counted(d)
		})
	if err != nil {
		t.Fatal(err)
	}
	if asked == 0 || left == 0 {
		t.Errorf("asked in %d runs, left out in %d", asked, left)
	}
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
			if s := p.Smallest; s.High != 80 || !(63 < s.Low && s.Low <= s.Likely && s.Likely <= 80) {
				t.Errorf("depth %g: %+v, want 80 and more than 63 mm", p.DepthMM, s)
			}
		}
	}
}

// Where margins follow a law the smallest sizes by all three ends follow from it: the high one is the next size of the
// ladder, the likely ones are within a twentieth and the low ones within an eighth, those that are read between depths
// too. The slope of the law falls from 3 to 1 within the sizes, which go with a power of the depth.
func TestRangeOfASmallestSize(t *testing.T) {
	one := func(depthMM float64) float64 { return 40 * math.Pow(depthMM, 0.3) } // mm, where the likely margin is 1
	law := func(side, depthMM float64) float64 {
		x := math.Log(side / one(depthMM))
		return math.Exp(2*x - 0.3*x*x)
	}
	at := func(margin, depthMM float64) float64 { // its inverse: 0.3 x2 - 2 x + ln m = 0
		return one(depthMM) * math.Exp((2-math.Sqrt(4-1.2*math.Log(margin)))/0.6)
	}
	j := mustJob(t, fmt.Sprintf(chartJob, ""))
	j.Limits.Margin = 1
	sizes := []float64{10, 12.5, 16, 20, 25, 31.5, 40, 50, 63, 80, 100, 125}
	r, err := chart.Find(j, chart.Options{Tool: -1, FeedsMMMin: []float64{600}, SizesMM: sizes},
		func(d chart.DryRuns) ([]*result.Result, error) {
			side, ring := cutOut(d.Programs[0])
			m := law(side, closingDepth(d.Programs[0]))
			return []*result.Result{partOf(ring, result.Least{Margin: m, Low: 0.4 * m, High: 3 * m})}, nil
		})
	if err != nil {
		t.Fatal(err)
	}
	for _, p := range r.Curves[0].Points {
		high := sizes[slices.IndexFunc(sizes, func(mm float64) bool { return mm >= at(1/0.4, p.DepthMM) })]
		s, likely, low := p.Smallest, at(1, p.DepthMM), at(1/3.0, p.DepthMM)
		if s.High != high || math.Abs(s.Likely/likely-1) > 0.05 || math.Abs(s.Low/low-1) > 0.125 {
			t.Errorf("depth %g: %+v, want %g, %g and %g mm", p.DepthMM, s, low, likely, high)
		}
	}
}

// On a nested-base router, a blower through raw fiberboard, parts below about 500 cm2 are unreliable (common practice,
// no source); here in one pass through 18 mm.
func TestBlowerOnFiberboardIsUnreliableBelow500SquareCentimeters(t *testing.T) {
	testrun.NotForRaces(t)
	j := mustJob(t, `
[stock]
corner   = ["0 mm", "0 mm", "-18 mm"]
size     = ["1200 mm", "1200 mm", "18 mm"]
material = "plywood"
[layer]
material  = "mdf"
thickness = "18 mm"
cut_limit = "1 mm"
[[zone]]
name   = "A"
area   = [["0 mm", "0 mm"], ["1200 mm", "1200 mm"]]
groove = { pitch = "50 mm", width = "10 mm" }
[pump]
kind = "side-channel"
flow = "500 m3/h"
[[tool]]
number   = 1
diameter = "12 mm"
flutes   = 2
[grid]
cell = "6 mm"
`)
	r, err := chart.Find(j, chart.Options{Tool: -1, Workers: 2, FeedsMMMin: []float64{6000},
		SizesMM: []float64{125, 250, 500}, DepthsMM: []float64{3}}, newAlike(nil, 2).run)
	if err != nil {
		t.Fatal(err)
	}
	for i, c := range r.Curves {
		// The likely smallest one in one pass is within a factor of two of that area.
		mm := c.Points[len(c.Points)-1].Smallest.Likely
		cm2 := mm * mm / 100 * map[chart.Shape]float64{chart.Square: 1, chart.Disc: math.Pi / 4,
			chart.Strip: 4}[c.Shape]
		if !(250 < cm2 && cm2 < 1000) {
			t.Errorf("%s: likely to hold from %.0f cm2 on", c.Shape, cm2)
		}
		if care := r.Cares[i]; !(care.ThinPassMM < care.NoCareMM && care.NoCareMM <= 500) {
			t.Errorf("%+v: a thin last pass buys nothing, or no part holds", care)
		}
	}
}

// A square of 40 mm on a layer that passes the whole vacuum: pressure and weight N hold it with the lever of half its
// width, and one tooth at a time pushes it at its top, half the depth of the step below. At half immersion, climbing,
// the force across the wall is K sin a (sin a + q cos a) where the tooth has turned by a from the wall, with K =
// specific force x depth x feed per tooth and q the radial ratio; at the most F = K (1 + sqrt(1 + q2))/2. So it tips at
//
//	H = N/F 40/2 + 0.5/2, N = 40 mm x 40 mm x 0.1 MPa + 3e-7 kg/mm3 x 40 mm x 40 mm x H x 9.81 m/s2,
//	K = 800 MPa x 0.5 mm x 0.05 mm = 20 N, q = 0.5
//
// The model counts no pressure beyond its cells, so it may say a little less.
func TestHeightAtWhichAPartTips(t *testing.T) {
	testrun.NotForRaces(t)
	j := mustJob(t, `
[site]
pressure = "1000 mbar"
[stock]
corner   = ["0 mm", "0 mm", "-4 mm"]
size     = ["100 mm", "90 mm", "4 mm"]
material = "plain"
[material.plain]
specific_force = "800 MPa"
exponent = 0
edge_force = "0 N/mm"
lift_ratio = 0
density = "300 kg/m3"
radial_ratio = 0.5
shear = "100 MPa"
tensile = "150 MPa"
yield = "100 MPa"
failure = "ductile"
[layer]
thickness = "0.1 mm"
through   = "1e-15 m2"
friction  = [0.9, 0.9]
cut_limit = "0.05 mm"
[[zone]]
name   = "A"
area   = [["0 mm", "0 mm"], ["100 mm", "90 mm"]]
[pump]
kind     = "rotary-vane"
flow     = "1000 m3/h"
ultimate = "0 mbar"
leak     = "0 m3/h"
[[tool]]
number   = 1
diameter = "6 mm"
flutes   = 2
helix    = "0 deg"
runout   = "0 mm"
[grid]
cell = "0.5 mm"
`)
	r, err := chart.Find(j, chart.Options{Tool: -1, Workers: 2, FeedsMMMin: []float64{1800}, SizesMM: []float64{40},
		DepthsMM: []float64{0.5}}, newAlike(nil, 2).run)
	if err != nil {
		t.Fatal(err)
	}
	tips := func(pushN float64) float64 {
		return (40*40*0.1*40/2/pushN + 0.25) / (1 - 3e-7*40*40*9.81*40/2/pushN)
	}
	want := tips(800 * 0.5 * 0.05 * (1 + math.Sqrt(1+0.5*0.5)) / 2)
	// Where the tool turns, at the ends of a side, up to the whole force points at the edge.
	least := tips(800 * 0.5 * 0.05 * math.Sqrt(1+0.5*0.5))
	for _, h := range r.Heights {
		if h.Shape != chart.Square {
			continue
		}
		if got := h.LikelyMM; got > want || got < 0.98*least || !(h.TipsMM < got) {
			t.Errorf("tips from %.4g mm on (by the low end %.4g), want %.4g to %.4g", got, h.TipsMM, least, want)
		}
		t.Logf("%+v want %.4g", h, want)
		return
	}
	t.Errorf("no height is told: %+v, cares %+v", r.Heights, r.Cares)
}
