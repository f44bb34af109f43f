package airflow

import (
	"math"
	"testing"

	"staydown/hold/airflow/internal/layer"
	"staydown/hold/airflow/internal/sheettest"
	"staydown/hold/internal/gas"
	"staydown/hold/job"
)

// stripModel is a strip of stock from x = 0 to 2a on a plenum that goes on beyond it on both sides; the ends are taped.
func stripModel(t testing.TB, a, lambda, fine, air, margin float64) *Model {
	t.Helper()
	const high = 60
	return mustModel(t, sheettest.NewIn(2*a, high, margin, 0, fine), Options{CellMM: air, Tol: 1e-10},
		func(j *testJob) {
			j.Layer.ThicknessMM = lambda / layer.SurfaceLossWidth
			j.Layer.Edge = job.SealedEdge
			j.Zones[0].Area = sheettest.Box(-margin, 0, 2*a+margin, high)
		})
}

// discModel is a disc of stock of radius r, bared all round.
func discModel(t testing.TB, r, lambda, fine, air float64) *Model {
	t.Helper()
	side := 2 * (r + 4*fine)
	s := sheettest.New(side, side, fine, fine)
	s.CutWhere(1, func(x, y float64) bool { return math.Hypot(x-side/2, y-side/2) > r })
	m := mustModel(t, s, Options{CellMM: air, Tol: 1e-10}, func(j *testJob) {
		j.Layer.ThicknessMM = lambda / layer.SurfaceLossWidth
		j.Layer.Edge = job.SealedEdge
	})
	advance(t, m, 1)
	return m
}

// meanOf is the mean of a function of w over a piece.
func meanOf(m *Model, piece int32, f func(w float64) float64) float64 {
	var area, sum float64
	for _, p := range m.Patches(piece) {
		area += p.AreaMM2
		sum += p.AreaMM2 * f(p.W)
	}
	return sum / area
}

func identity(w float64) float64 { return w }

func discEta(ratio float64) float64 {
	return 1 - 2/ratio*sheettest.BesselI1(ratio)/sheettest.BesselI0(ratio)
}

// Mean transmission of a strip, 1 - (lam/a) tanh(a/lam), and of a disc, 1 - (2 lam/R) I1(R/lam)/I0(R/lam). Source:
// closed form.
var etaTable = []struct{ ratio, strip, disc float64 }{
	{0.5, 0.075766, 0.030002}, {1, 0.238406, 0.107220}, {2, 0.517986, 0.302225}, {3, 0.668315, 0.460010},
	{5, 0.800018, 0.642647}, {10, 0.900000, 0.810280}, {20, 0.950000, 0.902533},
}

// The finite volumes carry exponentials: the same figure comes out whether cells are finer than the decay length or far
// coarser, and wherever the edge cuts through a cell.
func TestStripHoldsAsTheClosedFormSays(t *testing.T) {
	const a = 10
	for _, row := range etaTable {
		for _, air := range []float64{0.5, 1, 2.5, 5} {
			got := meanOf(stripModel(t, a, a/row.ratio, 0.25, air, 5), 1, identity)
			if math.Abs(got-row.strip) > 1e-6 { // the table's last digit
				t.Errorf("a/lam %g, air cell %g mm: %.7f, want %.6f", row.ratio, air, got, row.strip)
			}
			if 2*a/air < 8 {
				continue
			}
			got = meanOf(stripModel(t, a, a/row.ratio, 0.25, air, 5.75), 1, identity)
			if math.Abs(got-row.strip) > 0.003*row.strip+0.001 {
				t.Errorf("a/lam %g, air cell %g mm across the edge: %.6f, want %.6f", row.ratio, air, got, row.strip)
			}
		}
	}
}

func TestDiscHoldsAsTheClosedFormSays(t *testing.T) {
	const r = 10
	for _, row := range etaTable {
		for _, air := range []float64{0.5, 1, 2} {
			got := meanOf(discModel(t, r, r/row.ratio, 0.125, air), 1, identity)
			if math.Abs(got-row.disc) > 0.005*row.disc+0.0005 {
				t.Errorf("R/lam %g, air cell %g mm: %.6f, want %.6f", row.ratio, air, got, row.disc)
			}
		}
	}
}

// rectangleModel is a rectangle bared on all sides.
func rectangleModel(t testing.TB, lx, ly, lambda, fine, air float64) *Model {
	t.Helper()
	return mustModel(t, sheettest.New(lx, ly, 4, fine), Options{CellMM: air, Tol: 1e-10}, func(j *testJob) {
		j.Layer.ThicknessMM = lambda / layer.SurfaceLossWidth
		j.Layer.Edge = job.SealedEdge
		j.Zones[0].Area = sheettest.Box(-4, -4, lx+4, ly+4)
	})
}

// rectangleEta is the double sine series of the mean transmission, in decay lengths.
func rectangleEta(lx, ly float64) float64 {
	sum := 0.0
	const p2 = math.Pi * math.Pi
	for m := 1; m < 2000; m += 2 {
		for n := 1; n < 2000; n += 2 {
			mm, nn := float64(m*m), float64(n*n)
			sum += 64 / (p2 * p2 * mm * nn) / (1 + p2*(mm/(lx*lx)+nn/(ly*ly)))
		}
	}
	return sum
}

// Mean transmission of a rectangle bared on all sides. Source: double sine series.
func TestRectangleHoldsAsTheSeriesSays(t *testing.T) {
	for _, row := range []struct{ lx, ly, eta float64 }{
		{2, 2, 0.117893}, {5, 5, 0.405417}, {10, 10, 0.650945}, {20, 20, 0.812732}, {10, 5, 0.504852},
		{20, 5, 0.555102},
	} {
		const lambda = 4
		for _, air := range []float64{0.25, 0.5, 1, 2} {
			if row.lx*row.ly*lambda*lambda/(air*air) > 10000 {
				continue
			}
			got := meanOf(rectangleModel(t, row.lx*lambda, row.ly*lambda, lambda, 0.25, air), 1, identity)
			// Four cells across the smallest part is as coarse as the model goes by itself.
			across := row.ly * lambda / air
			if math.Abs(got-row.eta) > 0.005*row.eta && (across > 10 || got > row.eta) || got < row.eta*0.9 {
				t.Errorf("%g x %g lam, air cell %g mm: %.6f, want %.6f", row.lx, row.ly, air, got, row.eta)
			}
		}
	}
}

// The error falls with the square of the cell. The strip has none to fall: its profile is carried exactly.
func TestErrorFallsWithTheSquareOfTheCell(t *testing.T) {
	for _, l := range []float64{2, 3} {
		const lambda = 8
		exact := rectangleEta(l, l)
		coarse := math.Abs(meanOf(rectangleModel(t, l*lambda, l*lambda, lambda, 0.25, 2), 1, identity) - exact)
		fine := math.Abs(meanOf(rectangleModel(t, l*lambda, l*lambda, lambda, 0.25, 1), 1, identity) - exact)
		if order := math.Log2(coarse / fine); order < 1.8 {
			t.Errorf("square of %g lam: error %.2e with 2 mm, %.2e with 1 mm: order %.2f", l, coarse, fine, order)
		}
	}
	for _, ratio := range []float64{1, 2, 3} {
		const r = 10
		coarse := math.Abs(meanOf(discModel(t, r, r/ratio, 0.5, 2), 1, identity) - discEta(ratio))
		fine := math.Abs(meanOf(discModel(t, r, r/ratio, 0.125, 0.25), 1, identity) - discEta(ratio))
		if fine > coarse {
			t.Errorf("disc, R/lam %g: error %.2e, then %.2e with an eighth of the air cell", ratio, coarse, fine)
		}
	}
}

// Hold in the squared form with pv = 0.2 pa. Source: quadrature of the closed-form profiles. Patches join areas in
// which pressure differs, and may fall short of it by 1 %, but may not exceed it.
func TestPatchesReproduceTheSquaredForm(t *testing.T) {
	const pa, pv = 101325.0, 0.2 * 101325.0
	hold := func(w float64) float64 { return gas.DifferencePa(pa, pv, w) / (pa - pv) }
	check := func(what string, got, want, above, below float64) {
		t.Helper()
		if got > want+above || got < want-below {
			t.Errorf("%s: %.6f, want %.6f", what, got, want)
		}
	}
	for _, row := range []struct{ ratio, strip, disc float64 }{
		{1, 0.154534, 0.066703}, {2, 0.380116, -1}, {3, 0.538179, 0.334435}, {5, 0.710609, 0.522353},
		{10, 0.854931, 0.733927}, {20, 0.927465, -1},
	} {
		for _, air := range []float64{0.5, 2.5} {
			check("strip", meanOf(stripModel(t, 10, 10/row.ratio, 0.25, air, 5), 1, hold), row.strip, 0.0015, 0.01)
			if row.disc > 0 {
				check("disc", meanOf(discModel(t, 10, 10/row.ratio, 0.25, air), 1, hold), row.disc, 0.002, 0.012)
			}
		}
	}
}

// Part sizes on card and board, mean transmission in the linear form. Source: double sine series.
func TestPartSizesOnTheirLayers(t *testing.T) {
	for _, row := range []struct{ lambda, wide, high, eta float64 }{
		{0.4775, 6.35, 6.35, 0.7280}, {0.4775, 25, 25, 0.9255}, {0.4775, 100, 100, 0.9810}, {2, 25, 25, 0.7126},
		{2, 100, 100, 0.9220}, {5, 25, 25, 0.4054}, {5, 100, 100, 0.8127}, {11.46, 100, 100, 0.6085},
		{11.46, 25, 25, 0.1361},
	} {
		cell := row.wide / 100
		s := sheettest.New(row.wide, row.high, 5*cell, cell)
		for _, m := range []int{2, 5, 20} {
			if float64(m)*cell > row.wide/5 || (m == 20 && row.lambda > 2) {
				continue
			}
			model := mustModel(t, s, Options{CellMM: float64(m) * cell, Tol: 1e-9}, func(j *testJob) {
				j.Layer.ThicknessMM = row.lambda / layer.SurfaceLossWidth
				j.Layer.Edge = job.SealedEdge
				j.Zones[0].Area = sheettest.Box(-1, -1, row.wide+1, row.high+1)
			})
			if got := meanOf(model, 1, identity); math.Abs(got-row.eta) > 0.01*row.eta {
				t.Errorf("%g x %g mm, lam %g mm, air cell %g mm: %.4f, want %.4f",
					row.wide, row.high, row.lambda, float64(m)*cell, got, row.eta)
			}
		}
	}
}

// The conductance of a strip: what is bared, and under the cover lam tanh(a/lam) beside each edge. Source: closed form.
func TestStripLeaksAsTheClosedFormSays(t *testing.T) {
	const a, high = 10, 60
	for _, ratio := range []float64{1, 3, 10} {
		lambda := a / ratio
		m := stripModel(t, a, lambda, 0.25, 0.5, 5)
		bared := high * (10 + 2*lambda*math.Tanh(ratio)) // 5 mm on each side
		want := bared * 1e-6 * 3e-13 / (lambda / layer.SurfaceLossWidth * 1e-3)
		sheettest.CloseTo(t, "conductance", m.leak().ConductanceM3, want, 1e-3)
	}
}

// Hold of a strip and a disc in the squared form with pv = 0.2 pa, from the closed-form profiles of w. Source: cosh and
// I0 profiles, quadrature of pa - sqrt(pa^2 - w (pa^2 - pv^2)).
func TestSquaredFormTable(t *testing.T) {
	const pa, pv = 101325.0, 0.2 * 101325.0
	for _, row := range []struct{ ratio, strip, disc float64 }{
		{1, 0.154534, 0.066703}, {3, 0.538179, 0.334435}, {5, 0.710609, 0.522353}, {10, 0.854931, 0.733927},
	} {
		const n = 20000
		var strip, disc float64
		for i := 0; i < n; i++ {
			x := (float64(i) + 0.5) / n
			strip += gas.DifferencePa(pa, pv, 1-math.Cosh(x*row.ratio)/math.Cosh(row.ratio)) / n
			disc += 2 * x * gas.DifferencePa(pa, pv, 1-sheettest.BesselI0(x*row.ratio)/sheettest.BesselI0(
				row.ratio)) / n
		}
		sheettest.CloseTo(t, "strip", strip/(pa-pv), row.strip, 2e-5)
		sheettest.CloseTo(t, "disc", disc/(pa-pv), row.disc, 2e-5)
	}
}
