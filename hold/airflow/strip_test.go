package airflow

import (
	"fmt"
	"math"
	"testing"

	"staydown/hold/job"
)

// stripModel is a strip of stock from x = 0 to 2a on a plenum that goes on beyond it on both sides; the ends are taped.
func stripModel(t testing.TB, a, high, fine, air, lambda float64) *Model {
	s := newSheetIn(2*a, high, stripMargin, 0, fine)
	m := mustModel(t, s, Options{CellMM: air, Tol: 1e-11}, func(j *testJob) {
		j.Layer.ThicknessMM = lambda / surfaceBand
		j.Layer.Edge = job.SealedEdge
		j.Zones[0].Area = box(-10, 0, 2*a+10, high)
	})
	return m
}

var stripMargin = 5.75

func meanW(m *Model, piece int32) float64 {
	var area, sum float64
	for _, p := range m.Patches(piece) {
		area += p.AreaMM2
		sum += p.AreaMM2 * p.W
	}
	return sum / area
}

func TestProbe(t *testing.T) {
	for _, ratio := range []float64{0.5, 1, 2, 3, 5, 10, 20} {
		line := ""
		for _, airs := range []float64{0.25, 0.5, 1, 2.5, 5} {
			a := 10.0
			lambda := a / ratio
			m := stripModel(t, a, 40, 0.25, airs, lambda)
			exact := 1 - math.Tanh(ratio)/ratio
			line += fmt.Sprintf(" %.2f: %+.2e", airs/lambda, meanW(m, 1)-exact)
		}
		t.Logf("ratio %g %s", ratio, line)
	}
	for _, ratio := range []float64{0.5, 1, 2, 3, 5, 10, 20} {
		line := ""
		for _, airs := range []float64{0.25, 0.5, 1, 2, 4} {
			radius := 10.0
			lambda := radius / ratio
			s := newSheet(30, 30, 1, 0.125)
			s.cutWhere(1, func(x, y float64) bool { return math.Hypot(x-15, y-15) > radius })
			m := mustModel(t, s, Options{CellMM: airs, Tol: 1e-9}, func(j *testJob) { j.Layer.ThicknessMM = lambda / surfaceBand; j.Layer.Edge = job.SealedEdge })
			if _, err := m.Advance(1); err != nil {
				t.Fatal(err)
			}
			exact := 1 - 2/ratio*besselI1(ratio)/besselI0(ratio)
			line += fmt.Sprintf(" %.2f: %+.2e", airs/lambda, meanW(m, 1)-exact)
		}
		t.Logf("disc ratio %g %s", ratio, line)
	}
}
