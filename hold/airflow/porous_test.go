package airflow

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"staydown/hold/airflow/internal/layer"
	"staydown/hold/airflow/internal/sheettest"
	"staydown/hold/internal/gas"
	"staydown/hold/job"
	"staydown/hold/material"
	"staydown/sweep"
)

// porous makes the work of a job breathe.
func (j *testJob) porous(through, along float64, faced material.Facing) {
	j.Stock.Material.Through.Likely, j.Stock.Material.Along.Likely, j.Stock.Faced = through, along, faced
}

// thickSheet is newSheet with stock of the given thickness.
func thickSheet(wide, high, thick, margin, cell float64) *sheettest.Sheet {
	s := sheettest.New(wide, high, margin, cell)
	s.Stock.Blanks[0].TopMM = thick
	return s
}

// Two sheets of the same area in series: 12 mm on 12 mm of equal permeability over a chuck at 8.4 kPa have the middle
// of the squared pressures between them, sqrt((101.325^2 + 8.4^2)/2) = 71.89 kPa, so 29.43 kPa hold (hand arithmetic);
// the flow is that of t1/k1 + t2/k2 (Darcy's law).
func TestSeriesOfLayerAndWork(t *testing.T) {
	const pa, pv = 101325.0, 8400.0
	for _, row := range []struct{ layerMM, layerK, workMM, workK, underKPa float64 }{
		{12, 1e-13, 12, 1e-13, 71.895},
		{18, 3e-13, 6, 1e-13, 71.895},   // the same resistances
		{12, 3e-13, 12, 1e-13, 51.182},  // sqrt(pa^2 - 3/4 (pa^2 - pv^2))
		{12, 1e-13, 12, 1e-18, 8.40577}, // sqrt(pv^2 + 1e-5 (pa^2 - pv^2)/(1 + 1e-5))
	} {
		m := mustModel(t, thickSheet(100, 60, row.workMM, 0, 0.5), Options{Tol: 1e-10}, func(j *testJob) {
			j.Layer = &job.Layer{ThicknessMM: row.layerMM, ThroughM2: row.layerK, AlongM2: row.layerK,
				Edge: job.SealedEdge}
			j.porous(row.workK, row.workK, material.FacedNone)
		})
		leak := advance(t, m, 1)
		for _, p := range m.Patches(1) {
			sheettest.CloseTo(t, "pressure under the work, kPa", (pa-gas.DifferencePa(pa, pv, p.W))/1000, row.underKPa,
				1e-4)
		}
		resistance := row.layerMM*1e-3/row.layerK + row.workMM*1e-3/row.workK
		sheettest.CloseTo(t, "conductance", leak.ConductanceM3, 100*60*1e-6/resistance, 1e-6)
	}
}

// Work that hardly breathes holds and leaks as tight work does, and so does work that is faced below.
func TestLimitOfTightWork(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := sheettest.Random(t, 30, 20)
		j := sheettest.RandomTable(t, 30, 20)
		at := func(k float64, faced material.Facing) (float64, float64) {
			tj := testJob{j}
			tj.porous(k, 4*k, faced)
			m, err := newModel(j, s.Source(), Options{CellMM: 1, Tol: 1e-11})
			if err != nil {
				t.Fatal(err)
			}
			m.lookahead = 0
			leak, err := m.Advance(3)
			if err != nil {
				t.Fatal(err)
			}
			return leak.ConductanceM3, totalHold(m)
		}
		leak, hold := at(0, material.FacedNone)
		for _, row := range []struct {
			k     float64
			faced material.Facing
			tol   float64
		}{{1e-25, material.FacedNone, 1e-5}, {1e-25, material.FacedTop, 1e-5}, {1e-12, material.FacedBottom, 0},
			{1e-12, material.FacedBoth, 0}} {
			gotLeak, gotHold := at(row.k, row.faced)
			if !(math.Abs(gotLeak-leak) <= row.tol*leak+1e-22 && math.Abs(gotHold-hold) <= row.tol*hold) {
				t.Fatalf("%+v: leak %g, hold %g; tight %g, %g", row, gotLeak, gotHold, leak, hold)
			}
		}
	})
}

// The more the work breathes the less it holds and the more it leaks; a tight upper face helps.
func TestPorousWorkHoldsLess(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := sheettest.Random(t, 30, 20)
		j := sheettest.RandomTable(t, 30, 20)
		k := j.Layer.ThroughM2 * math.Pow(10, rapid.Float64Range(-3, 1).Draw(t, "k"))
		at := func(k float64, faced material.Facing) (float64, float64) {
			tj := testJob{j}
			tj.porous(k, 2*k, faced)
			m, err := newModel(j, s.Source(), Options{CellMM: 1, Tol: 1e-10})
			if err != nil {
				t.Fatal(err)
			}
			m.lookahead = 0
			leak, err := m.Advance(3)
			if err != nil {
				t.Fatal(err)
			}
			return leak.ConductanceM3, totalHold(m)
		}
		leak, hold := at(0, material.FacedNone)
		for _, share := range []float64{0.1, 1} {
			openLeak, openHold := at(share*k, material.FacedNone)
			if !(openHold <= hold*(1+1e-6) && openLeak >= leak*(1-1e-6)) {
				t.Fatalf("k %g: hold %g N and leak %g, with less %g and %g", share*k, openHold, openLeak, hold, leak)
			}
			facedLeak, facedHold := at(share*k, material.FacedTop)
			if !(facedHold >= openHold*(1-1e-6)) {
				t.Fatalf("k %g: faced %g N, open %g N; leak %g and %g", share*k, facedHold, openHold, facedLeak,
					openLeak)
			}
			leak, hold = openLeak, openHold
		}
	})
}

// Half of the sheet is pocketed to a third of its thickness: closed form of each half, but for the few mm where they
// meet. The pocket counts from the start, a web from the moment at which it becomes one and as the lowest floor before.
func TestThinnedWorkLeaksMore(t *testing.T) {
	const thick = 12.0
	series := func(workMM float64) float64 { return 250 * 40 * 1e-6 / (12e-3/1e-13 + workMM*1e-3/1e-13) }
	leak := func(s *sheettest.Sheet, at sweep.Progress) float64 {
		return advance(t, mustModel(t, s, Options{CellMM: 1, Tol: 1e-10}, func(j *testJob) {
			j.Layer.ThicknessMM, j.Layer.ThroughM2, j.Layer.AlongM2, j.Layer.Edge = 12, 1e-13, 1e-13, job.SealedEdge
			j.porous(1e-13, 1e-13, material.FacedNone)
		}), at).ConductanceM3
	}
	pocket := thickSheet(500, 40, thick, 0, 0.5)
	pocket.Left = make([]float32, len(pocket.Cut))
	pocket.Each(func(i int, x, _ float64) {
		if pocket.Left[i] = thick; x > 250 {
			pocket.Left[i] = 4
		}
	})
	sheettest.CloseTo(t, "with a pocket", leak(pocket, 0), series(4)+series(thick), 0.01)
	web := thickSheet(500, 40, thick, 0, 0.5)
	web.Left, web.WebFrom, web.WebMM = make([]float32, len(web.Cut)), make([]sweep.Progress, len(web.Cut)),
		make([]float32, len(web.Cut))
	web.FloorMM = 6
	web.Each(func(i int, x, _ float64) {
		if web.Left[i] = thick; x > 250 {
			web.Left[i], web.WebFrom[i], web.WebMM[i] = 1, 5, 1
		}
	})
	sheettest.CloseTo(t, "before it is a web", leak(web, 4), series(6)+series(thick), 0.01)
	sheettest.CloseTo(t, "as a web", leak(web, 5), series(1)+series(thick), 0.015)
}

// A gasketed zone under work that breathes: all of its area lets air in through the work alone, and a band of (2 ln
// 2)/pi of the work's thickness outside the cord. Source: Darcy's law, closed form of the band.
func TestPorousWorkOnAGasket(t *testing.T) {
	m := mustModel(t, thickSheet(300, 200, 12, 5, 0.5), Options{}, func(j *testJob) {
		j.Layer = nil
		j.Zones[0].Seal, j.Zones[0].Area = job.GasketSeal, sheettest.Box(50, 50, 250, 150)
		j.porous(1e-13, 1e-13, material.FacedNone)
	})
	leak := advance(t, m, 1)
	sheettest.CloseTo(t, "conductance", leak.ConductanceM3, (200*100+600*0.44127*12)*1e-6*1e-13/12e-3, 1e-4)
	for _, p := range m.Patches(1) {
		if p.W != 1 {
			t.Errorf("w = %g inside the cord", p.W)
		}
	}
}

// bedded is a section of a layer 1 thick and through = 1 over a plenum: on it, right of x = 0, work with an edge.
type bedded struct {
	stretch2           float64 // along over through of the layer
	thick, k, stretchW float64 // of the work: height, permeability across, along over across
	faced              bool
}

// lost gives the width over which its edge loses hold, at full vacuum beyond, by finite volumes of 1/n of the layer's
// thickness that grow far from the edge.
func (b bedded) lost(n int) float64 {
	far := 6 * math.Max(math.Sqrt(b.stretch2), b.thick*math.Sqrt(b.stretchW))
	if b.faced {
		far = math.Max(8*math.Sqrt(b.k*b.stretchW*b.thick), far)
	}
	left, side := int(3*math.Sqrt(b.stretch2))*n, 1/float64(n)
	dx := even(left, side)
	for x, wide := 0.0, side; x < far; x += wide {
		if x > 3 {
			wide *= 1.08
		}
		dx = append(dx, wide)
	}
	v := volume{dx: dx, dy: even(1, 1), dz: even(n+int(b.thick*float64(n)+0.5), side),
		plenum: func(int, int) bool { return true }, open: func(int, int) bool { return !b.faced },
		k: func(ix, _, iz int) (float64, float64) {
			switch {
			case iz < n:
				return b.stretch2, 1
			case ix < left:
				return 0, 0
			}
			return b.k * b.stretchW, b.k
		}}
	v.solve()
	inner := b.inner()
	sum := 0.0
	for ix := left; ix < len(dx); ix++ {
		sum += dx[ix] * (1 - v.above(ix, 0, n-1)/inner)
	}
	return sum
}

// inner is the transmission far from the edge.
func (b bedded) inner() float64 {
	if b.faced {
		return 1
	}
	return 1 / (1 + b.k/b.thick)
}

// The band that the cut edge of work which breathes costs, and by which it leaks more, never below that of the section
// and little above.
func TestCutEdgeOfPorousWorkAgainstTheSection(t *testing.T) {
	for _, row := range []struct {
		bedded
		most float64
	}{
		{bedded{1, 1, 0.03, 1, false}, 1.01}, {bedded{1, 1, 1, 1, false}, 1.06}, {bedded{1, 0.5, 3, 4, false}, 1.1},
		{bedded{2, 1, 0.3, 2, false}, 1.06}, {bedded{2, 2, 1, 2, false}, 1.06}, {bedded{4, 2, 3, 1, false}, 1.06},
		{bedded{1, 1, 0.001, 2000, false}, 1.2}, {bedded{1, 1, 0.03, 100, false}, 1.25}, // wood
		// faced
		{bedded{1, 1, 0.3, 1, true}, 1.15}, {bedded{2, 0.5, 1, 2, true}, 1.1}, {bedded{1, 2, 0.3, 4, true}, 1.4},
	} {
		lost1, lost2 := row.lost(6), row.lost(12)
		lost := 2*lost2 - lost1
		p := layer.Porosity{ThroughMM: row.k, Stretch: math.Sqrt(row.stretchW), Faced: row.faced,
			Reach: math.Sqrt(row.stretch2)}
		kappa := layer.SurfaceLossWidth * layer.SurfaceLossWidth * row.stretch2
		share := 1.0
		if !row.faced {
			share += row.k / row.thick
		}
		got := math.Sqrt((kappa + p.Sideways(1/row.thick, kappa)) / share)
		if got < 0.997*lost || got > row.most*lost {
			t.Errorf("%+v: %.4f, the section says %.4f (%.3f of it)", row.bedded, got, lost, got/lost)
		}
	}
}

// A kerf round a part of raw board on raw board: hold lost under the part, and leak, against the section of a long
// part.
func TestKerfThroughPorousBoardAgainstTheSection(t *testing.T) {
	const thick, wide, kerf, side = 18.0, 60.0, 24.0, 1.5
	s := thickSheet(2*(wide+kerf)+120, 12, thick, 0, 0.5)
	middle := wide + kerf + 60
	inKerf := func(x float64) bool { return math.Abs(x-middle) > wide && math.Abs(x-middle) < wide+kerf }
	s.CutWhere(1, func(x, _ float64) bool { return inKerf(x) })
	m := mustModel(t, s, Options{CellMM: 1.5, Tol: 1e-9}, func(j *testJob) {
		j.Layer.ThicknessMM, j.Layer.ThroughM2, j.Layer.AlongM2, j.Layer.Edge = thick, 1e-13, 2e-13, job.SealedEdge
		j.porous(1e-13, 2e-13, material.FacedNone)
	})
	leak := advance(t, m, 1).ConductanceM3 / 1e-13 * 1e3 / 12
	n := int(thick / side)
	v := volume{dx: even(int((wide+kerf+60)/side), side), dy: even(1, 1), dz: even(2*n, side),
		plenum: func(int, int) bool { return true },
		open:   func(int, int) bool { return true },
		k: func(ix, _, iz int) (float64, float64) {
			if iz >= n && inKerf(middle+(float64(ix)+0.5)*side) {
				return 0, 0
			}
			return 2, 1
		}}
	v.solve()
	sheettest.CloseTo(t, "leak", leak, 2*v.leak(), 0.04)
	var area, sum float64
	v.each(func(ix, _, iz int) {
		if iz == n-1 && !inKerf(middle+(float64(ix)+0.5)*side) {
			area += side
			sum += v.above(ix, 0, iz) * side
		}
	})
	sheettest.CloseTo(t, "mean transmission under part and sheet", meanOf(m, 1, identity), sum/area, 0.02)
}
