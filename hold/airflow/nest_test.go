package airflow

import (
	"fmt"
	"testing"
	"time"

	"staydown/hold/airflow/internal/sheettest"
	"staydown/sweep"
)

// fullNest is a nest of about 500 parts on a sheet of 3000 x 1500 mm.
func fullNest() *sheettest.Nest { return sheettest.NewNest(3000, 1500, 0.75, 94, 6) }

// Every move of the nest against solving the end state once. Reports how many full solves one update of each of 2000
// moves costs.
func BenchmarkNest(b *testing.B) {
	n := fullNest()
	for _, thickness := range []float64{0.75, 6, 18} {
		b.Run(fmt.Sprintf("layer=%gmm", thickness), func(b *testing.B) {
			edit := func(j *testJob) { j.Layer.ThicknessMM = thickness }
			for i := 0; i < b.N; i++ {
				b.StopTimer()
				whole := mustModel(b, n.Sheet, Options{}, edit)
				t0 := time.Now()
				advance(b, whole, sweep.Never-1)
				full := time.Since(t0)
				m := mustModel(b, n.Sheet, Options{}, edit)
				b.StartTimer()
				t0 = time.Now()
				for p := 0; p < n.Moves; p++ {
					advance(b, m, sweep.Progress(p)+1)
				}
				b.ReportMetric(time.Since(t0).Seconds()/full.Seconds()*2000/float64(n.Moves), "solves/2000moves")
				b.ReportMetric(float64(m.air.Grid.NX*m.air.Grid.NY), "cells")
			}
		})
	}
}

func BenchmarkNew(b *testing.B) {
	n := fullNest()
	for b.Loop() {
		mustModel(b, n.Sheet, Options{}, nil)
	}
}

func BenchmarkPatchesOfTheStock(b *testing.B) {
	n := fullNest()
	m := mustModel(b, n.Sheet, Options{}, nil)
	advance(b, m, sweep.Progress(n.Moves/2))
	p := n.Moves / 2
	for b.Loop() {
		b.StopTimer()
		p++
		advance(b, m, sweep.Progress(p))
		b.StartTimer()
		m.Patches(1)
	}
}
