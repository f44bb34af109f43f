package airflow

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"staydown/hold/airflow/internal/layer"
	"staydown/hold/airflow/internal/sheettest"
	"staydown/hold/job"
	"staydown/sweep"
)

// A taped layer under whole stock passes the full vacuum everywhere and lets nothing in. Source: exact (no flow).
func TestSealedRimLeaksNothing(t *testing.T) {
	m := mustModel(t, sheettest.New(100, 60, 5, 0.5), Options{}, func(j *testJob) { j.Layer.Edge = job.SealedEdge })
	leak := advance(t, m, 5)
	if leak.ConductanceM3 != 0 || leak.OrificeMM2 != 0 {
		t.Errorf("leak %+v", leak)
	}
	for _, p := range m.Patches(1) {
		if p.W != 1 {
			t.Errorf("w = %g at %g, %g", p.W, p.X, p.Y)
		}
	}
}

// Two like zones, far enough apart, take twice the flow of one.
func TestTwoZonesTakeTwiceTheFlow(t *testing.T) {
	s := sheettest.New(300, 60, 5, 0.5)
	s.CutWhere(1, func(x, y float64) bool { return math.Hypot(x-50, y-30) < 12 || math.Hypot(x-250, y-30) < 12 })
	leak := func(open ...bool) float64 {
		m := mustModel(t, s, Options{CellMM: 2, Tol: 1e-9}, func(j *testJob) {
			j.Layer.Edge = job.SealedEdge
			a, b := j.Zones[0], j.Zones[0]
			a.Area, a.Open = sheettest.Box(10, 10, 90, 50), open[0]
			b.Area, b.Open = sheettest.Box(210, 10, 290, 50), open[1]
			j.Zones = []job.Zone{a, b}
		})
		return advance(t, m, 1).ConductanceM3
	}
	one, other, both := leak(true, false), leak(false, true), leak(true, true)
	sheettest.CloseTo(t, "the other zone", other, one, 1e-9)
	sheettest.CloseTo(t, "both zones", both, 2*one, 1e-9)
	if one <= 0 {
		t.Error("no leak at all")
	}
}

// The area of a zone that no stock covers leaks from the start, k A/t, also where it lies outside the sweep's grid.
// Source: Darcy's law in one dimension; the edge of the stock adds its fringe.
func TestUncoveredZoneLeaks(t *testing.T) {
	s := sheettest.New(100, 100, 5, 0.5)
	m := mustModel(t, s, Options{CellMM: 1}, func(j *testJob) {
		j.Layer.Edge = job.SealedEdge
		j.Zones[0].Area = sheettest.Box(0, 0, 300, 100)
	})
	bared := 200*100 + 100*0.44127*0.75
	sheettest.CloseTo(t, "conductance", advance(t, m, 0).ConductanceM3, bared*1e-6*3e-13/0.75e-3, 1e-4)
	if got := m.HeldAreaMM2(1); got != 100*100 {
		t.Errorf("held area %g mm2", got)
	}
}

func gasketJob(j *testJob) {
	j.Layer = nil
	j.Zones[0].Seal = job.GasketSeal
	j.Zones[0].Area = sheettest.Box(10, 10, 90, 50)
}

func TestGasketHoldsUntilItIsCutInside(t *testing.T) {
	s := sheettest.New(100, 60, 5, 0.5)
	s.CutWhere(2, func(x, y float64) bool { return x < 8 }) // outside the cord
	s.CutWhere(5.25, func(x, y float64) bool { return math.Hypot(x-40, y-30) < 4 })
	m := mustModel(t, s, Options{}, gasketJob)
	for p := sweep.Progress(0); p <= 5; p++ {
		if leak := advance(t, m, p); leak != (Leak{}) || len(m.Breached()) != 0 {
			t.Fatalf("at %g: leak %+v, breached %v", p, leak, m.Breached())
		}
	}
	if got := m.HeldAreaMM2(1); got != 80*40 {
		t.Errorf("held area %g mm2, want that inside the cord", got)
	}
	leak := advance(t, m, 5.25)
	// a hole of 8 mm, counted in cells; discharge coefficient 0.85
	sheettest.CloseTo(t, "opening", leak.OrificeMM2, 0.85*math.Pi*16, 0.05)
	open := m.Breached()
	if len(open) != 1 || open[0].Zone != "A" || open[0].At != 5.25 || math.Hypot(open[0].X-40, open[0].Y-30) > 4 {
		t.Errorf("breaches %+v", open)
	}
	for _, p := range m.Patches(1) {
		if p.W != 1 {
			t.Errorf("w = %g under what is still covered", p.W)
		}
	}
}

func TestGasketThatStockDoesNotCoverIsOpenFromTheStart(t *testing.T) {
	s := sheettest.New(60, 60, 5, 0.5)
	for _, wide := range []float64{64, 200} { // beyond the stock, beyond the grid
		m := mustModel(t, s, Options{}, func(j *testJob) {
			gasketJob(j)
			j.Zones[0].Area = sheettest.Box(10, 10, wide, 50)
		})
		leak := advance(t, m, 0)
		sheettest.CloseTo(t, "opening", leak.OrificeMM2, 0.85*(wide-60)*40, 1e-9)
		if open := m.Breached(); len(open) != 1 || open[0].At != 0 {
			t.Errorf("zone to %g mm: breaches %+v", wide, open)
		}
	}
}

func TestClosedZonesNeitherHoldNorLeak(t *testing.T) {
	s := sheettest.New(100, 60, 5, 0.5)
	s.CutWhere(1, func(x, y float64) bool { return math.Hypot(x-50, y-30) < 5 })
	for _, seal := range []job.SealKind{job.LayerSeal, job.GasketSeal} {
		m := mustModel(t, s, Options{}, func(j *testJob) {
			j.Zones[0].Open, j.Zones[0].Seal = false, seal
		})
		if leak := advance(t, m, 2); leak != (Leak{}) || m.HeldAreaMM2(1) != 0 || len(m.Patches(1)) != 0 ||
			len(m.Breached()) != 0 {
			t.Errorf("seal %d: leak %+v, held %g", seal, leak, m.HeldAreaMM2(1))
		}
	}
}

// Cells too coarse for the grooves err to less hold than cells that tell them, and say so.
func TestCellsTooCoarseForTheGrooves(t *testing.T) {
	s := sheettest.New(200, 120, 5, 0.5)
	s.CutWhere(1, func(x, y float64) bool { return math.Abs(x-100) < 3 || math.Abs(x-61) < 3 || math.Abs(y-60) < 3 })
	hold := func(cell float64) (float64, []string) {
		m := mustModel(t, s, Options{CellMM: cell}, func(j *testJob) {
			j.Layer.Edge = job.SealedEdge
			j.Zones[0].Groove = &job.Groove{PitchMM: 20, WidthMM: 4}
		})
		advance(t, m, 1)
		return totalHold(m), m.Assumed()
	}
	fine, _ := hold(1)
	coarse, said := hold(6)
	if coarse > fine || coarse < 0.7*fine {
		t.Errorf("hold %.1f N with cells of 6 mm, %.1f N with 1 mm", coarse, fine)
	}
	if !strings.Contains(strings.Join(said, "\n"), "cannot tell") {
		t.Errorf("not said: %q", said)
	}
}

// A layer zone and a gasketed one on one pump.
func TestMixedZones(t *testing.T) {
	s := sheettest.New(200, 60, 5, 0.5)
	s.CutWhere(1, func(x, y float64) bool { return math.Hypot(x-50, y-30) < 5 })
	s.CutWhere(2, func(x, y float64) bool { return math.Hypot(x-150, y-30) < 5 })
	m := mustModel(t, s, Options{CellMM: 2}, func(j *testJob) {
		j.Layer.Edge = job.SealedEdge
		a, b := j.Zones[0], j.Zones[0]
		a.Area = sheettest.Box(0, 0, 100, 60)
		b.Name, b.Area, b.Seal = "B", sheettest.Box(110, 10, 190, 50), job.GasketSeal
		j.Zones = []job.Zone{a, b}
	})
	if leak := advance(t, m, 0.5); leak.ConductanceM3 > 1e-20 || leak.OrificeMM2 != 0 {
		t.Errorf("whole: %+v", leak)
	}
	first := advance(t, m, 1)
	if first.ConductanceM3 <= 0 || first.OrificeMM2 != 0 {
		t.Errorf("hole over the layer: %+v", first)
	}
	second := advance(t, m, 2)
	sheettest.CloseTo(t, "layer", second.ConductanceM3, first.ConductanceM3, 1e-12)
	sheettest.CloseTo(t, "opening", second.OrificeMM2, 0.85*math.Pi*25, 0.02)
	if open := m.Breached(); len(open) != 1 || open[0].Zone != "B" {
		t.Errorf("breaches %+v", open)
	}
}

// A cut through the layer opens the plenum; one that stops within it leaks t/(t-d) as much through its floor.
func TestCutsIntoTheLayer(t *testing.T) {
	leak := func(depth float32) Leak {
		s := sheettest.New(100, 60, 5, 0.5)
		s.CutWhere(1, func(x, y float64) bool { return math.Hypot(x-50, y-30) < 8 })
		s.Each(func(i int, x, y float64) {
			if s.Cut[i] == 1 {
				s.Depth[i] = depth
			}
		})
		m := mustModel(t, s, Options{CellMM: 1}, func(j *testJob) { j.Layer.Edge = job.SealedEdge })
		return advance(t, m, 1)
	}
	whole, half, through := leak(0), leak(0.375), leak(0.75)
	floor := math.Pi * 64 * 1e-6 * 3e-13 / 0.75e-3
	if whole.ConductanceM3 < floor || half.ConductanceM3 < 2*floor {
		t.Errorf("%g m3 whole, %g m3 at half the thickness; the floor alone lets %g and twice that",
			whole.ConductanceM3, half.ConductanceM3, floor)
	}
	sheettest.CloseTo(t, "opening through the layer", through.OrificeMM2, 0.85*math.Pi*64, 0.02)
	if whole.OrificeMM2 != 0 || half.OrificeMM2 != 0 {
		t.Error("an opening where the layer is not cut through")
	}
}

// Beside a straight kerf 1-w falls as exp(-x/lam); round a hole of radius a as K0(r/lam)/K0(a/lam): 0.599685, 0.273125
// and
// 0.073885 at 10, 20 and 40 mm for a = 5, lam = 20 mm. Source: closed form.
func TestProfileRoundAHole(t *testing.T) {
	const a, lambda = 5, 20
	s := sheettest.New(160, 160, 1, 0.5)
	s.CutWhere(1, func(x, y float64) bool { return math.Hypot(x-80, y-80) < a })
	m := mustModel(t, s, Options{CellMM: 1, Tol: 1e-9}, func(j *testJob) {
		j.Layer.ThicknessMM = lambda / layer.SurfaceLossWidth
		j.Layer.Edge = job.SealedEdge
	})
	advance(t, m, 1)
	raster := m.Raster()
	at := func(x, y float64) float64 {
		ix, iy := int((x-raster.OriginX)/raster.CellMM), int((y-raster.OriginY)/raster.CellMM)
		return float64(raster.W[iy*raster.NX+ix])
	}
	for _, row := range []struct{ r, e float64 }{{10, 0.599685}, {20, 0.273125}, {40, 0.073885}} {
		for _, angle := range []float64{0, math.Pi / 4, math.Pi / 2, 3.7} {
			x, y := 80+row.r*math.Cos(angle), 80+row.r*math.Sin(angle)
			cx := math.Floor((x-raster.OriginX)/raster.CellMM)*raster.CellMM + raster.OriginX + raster.CellMM/2
			cy := math.Floor((y-raster.OriginY)/raster.CellMM)*raster.CellMM + raster.OriginY + raster.CellMM/2
			want := row.e * sheettest.BesselK0(math.Hypot(cx-80, cy-80)/lambda) / sheettest.BesselK0(row.r/lambda)
			if got := 1 - at(x, y); math.Abs(got-want) > 0.008 {
				t.Errorf("r = %g mm, angle %g: 1-w = %.5f, want %.5f", row.r, angle, got, want)
			}
		}
	}
	if !math.IsNaN(at(80, 80)) {
		t.Error("a value where no material lies")
	}
}

// A ring bared inside and outside: 1-w = A I0 + B K0. Source: closed form.
func TestProfileOfARing(t *testing.T) {
	const inner, outer, lambda = 5.0, 50.0, 20.0
	s := sheettest.New(110, 110, 1, 0.5)
	s.CutWhere(1, func(x, y float64) bool {
		r := math.Hypot(x-55, y-55)
		return r < inner || r > outer
	})
	m := mustModel(t, s, Options{CellMM: 1, Tol: 1e-9}, func(j *testJob) {
		j.Layer.ThicknessMM = lambda / layer.SurfaceLossWidth
		j.Layer.Edge = job.SealedEdge
	})
	advance(t, m, 1)
	i1, i2, k1, k2 := sheettest.BesselI0(inner/lambda), sheettest.BesselI0(outer/lambda),
		sheettest.BesselK0(inner/lambda), sheettest.BesselK0(outer/lambda)
	det := i1*k2 - i2*k1
	ca, cb := (k2-k1)/det, (i1-i2)/det
	var area, sum float64
	for r := inner + 0.05; r < outer; r += 0.1 {
		area += r
		sum += r * (ca*sheettest.BesselI0(r/lambda) + cb*sheettest.BesselK0(r/lambda))
	}
	sheettest.CloseTo(t, "mean transmission", meanOf(m, 1, identity), 1-sum/area, 0.005)
}

func TestBesselFunctions(t *testing.T) {
	// Abramowitz and Stegun, tables 9.8 (from memory): I0(1) = 1.26606588, I1(1) = 0.56515910, K0(1) = 0.42102444.
	sheettest.CloseTo(t, "I0", sheettest.BesselI0(1), 1.26606588, 1e-8)
	sheettest.CloseTo(t, "I1", sheettest.BesselI1(1), 0.56515910, 1e-8)
	sheettest.CloseTo(t, "K0", sheettest.BesselK0(1), 0.42102444, 1e-7)
}

// Cutting never raises the hold at a given vacuum, nor lowers the leak. The leak of a cut that only widens a kerf by
// part of a cell may waver by what its edge, measured in cells, does: less than a hundredth for cutters of 3 mm on air
// cells of 1 mm. Where it reaches the edge of a groove the model passes from one form of the exact section to another,
// which may differ by a few hundredths of a short kerf.
func TestCuttingNeverRaisesThePressure(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := sheettest.RandomCutBy(t, 40, 30, 1.5)
		j := sheettest.RandomTable(t, 40, 30)
		m, err := newModel(j, s.Source(), Options{CellMM: rapid.SampledFrom([]float64{0.5, 1}).Draw(t, "air"),
			Tol: 1e-9})
		if err != nil {
			t.Fatal(err)
		}
		m.lookahead = 0
		waver := 0.01
		if j.Zones[0].Groove != nil {
			waver = 0.05
		}
		before := math.Inf(1)
		leakBefore := Leak{}
		for p := sweep.Progress(0); p <= 64; p += 8 {
			leak, err := m.Advance(p / 16)
			if err != nil {
				t.Fatal(err)
			}
			if leak.ConductanceM3 < leakBefore.ConductanceM3*(1-waver) || leak.OrificeMM2 < leakBefore.OrificeMM2 {
				t.Fatalf("at %g the leak falls from %+v to %+v", p/16, leakBefore, leak)
			}
			hold := totalHold(m)
			if hold > before*(1+1e-4) {
				t.Fatalf("at %g the hold rises from %.9g to %.9g N", p/16, before, hold)
			}
			before, leakBefore = hold, leak
		}
	})
}

// A thicker or less permeable layer never leaks more.
func TestThickerOrDenserLayersLeakLess(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		// Kerfs wider than the layer is thick: narrower ones are reckoned too leaky, and the more so the thicker the
		// layer.
		const wide, high = 40, 30
		s := sheettest.New(wide, high, 2, 0.5)
		for k := rapid.IntRange(1, 3).Draw(t, "cuts"); k > 0; k-- {
			cx, cy := rapid.Float64Range(0, wide).Draw(t, "cx"), rapid.Float64Range(0, high).Draw(t, "cy")
			dx, dy := rapid.Float64Range(4, wide/3).Draw(t, "dx"), rapid.Float64Range(4, high/3).Draw(t, "dy")
			s.CutWhere(1, func(x, y float64) bool { return math.Abs(x-cx) < dx && math.Abs(y-cy) < dy })
		}
		j := sheettest.OpenTable(wide, high, rapid.Float64Range(0.5, 3).Draw(t, "thickness"), rapid.Float64Range(1e-14,
			1e-11).Draw(t, "k"))
		j.Layer.Edge = job.SealedEdge
		leak := func() float64 {
			m, err := newModel(j, s.Source(), Options{CellMM: 1, Tol: 1e-9})
			if err != nil {
				t.Fatal(err)
			}
			l, err := m.Advance(10)
			if err != nil {
				t.Fatal(err)
			}
			return l.ConductanceM3
		}
		base := leak()
		by := rapid.Float64Range(1, 2).Draw(t, "by")
		j.Layer.ThicknessMM *= by
		if thick := leak(); thick > base*(1+1e-9) {
			t.Fatalf("%g times as thick: leak %g becomes %g", by, base, thick)
		}
		j.Layer.ThicknessMM /= by
		j.Layer.ThroughM2 /= by
		j.Layer.AlongM2 /= by
		if dense := leak(); dense > base*(1+1e-9) {
			t.Fatalf("%g times as dense: leak %g becomes %g", by, base, dense)
		}
	})
}

// A quarter turn of the job turns the answer.
func TestQuarterTurn(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		const wide, high = 32, 24
		s := sheettest.Random(t, wide, high)
		turned := sheettest.New(high, wide, 2, 0.5)
		n := s.Grid.NX
		for iy := 0; iy < s.Grid.NY; iy++ {
			for ix := 0; ix < n; ix++ {
				from, to := iy*n+ix, ix*turned.Grid.NX+(s.Grid.NY-1-iy) // (x, y) -> (high - y, x)
				turned.Cut[to], turned.Label[to], turned.Depth[to] = s.Cut[from], s.Label[from], s.Depth[from]
			}
		}
		j := sheettest.RandomTable(t, wide, high)
		k := *j
		k.Zones = []job.Zone{{Name: "A", Area: sheettest.Box(0, 0, high, wide), Open: true, Groove: j.Zones[0].Groove}}
		a, err := newModel(j, s.Source(), Options{CellMM: 2, Tol: 1e-10})
		if err != nil {
			t.Fatal(err)
		}
		b, err := newModel(&k, turned.Source(), Options{CellMM: 2, Tol: 1e-10})
		if err != nil {
			t.Fatal(err)
		}
		a.lookahead, b.lookahead = 0, 0
		la, _ := a.Advance(3)
		lb, _ := b.Advance(3)
		if math.Abs(la.ConductanceM3-lb.ConductanceM3) > 2e-6*la.ConductanceM3 ||
			math.Abs(la.OrificeMM2-lb.OrificeMM2) > 1e-6 {
			t.Fatalf("leak %+v, turned %+v", la, lb)
		}
		if ha, hb := totalHold(a), totalHold(b); math.Abs(ha-hb) > 1e-6*ha {
			t.Fatalf("hold %.9g N, turned %.9g N", ha, hb)
		}
	})
}
