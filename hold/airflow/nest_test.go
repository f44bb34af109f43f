package airflow

import (
	"fmt"
	"math"
	"testing"
	"time"

	"staydown/sweep"
)

// nest is a sheet with rows of square parts, each cut free by four moves along its outline.
type nest struct {
	*sheet
	parts, moves int
}

func newNest(wide, high, cell, pitch, kerf float64) *nest {
	n := &nest{sheet: newSheet(wide, high, 5, cell)}
	across, up := int(wide/pitch), int(high/pitch)
	n.parts = across * up
	n.moves = 4 * n.parts
	n.each(func(i int, x, y float64) {
		px, py := int(x/pitch), int(y/pitch)
		if n.label[i] == 0 || px >= across || py >= up {
			return
		}
		part := py*across + px
		dx, dy := x-(float64(px)+0.5)*pitch, y-(float64(py)+0.5)*pitch
		half := pitch/2 - kerf // of the part
		inner := math.Max(math.Abs(dx), math.Abs(dy))
		if inner < half {
			n.label[i] = int32(part + 2)
			return
		}
		if inner >= half+kerf/2 {
			return
		}
		// counter-clockwise from the lower left corner, a part in four moves
		var side int
		var along float64
		switch {
		case -dy >= math.Abs(dx):
			side, along = 0, dx
		case dx >= math.Abs(dy):
			side, along = 1, dy
		case dy >= math.Abs(dx):
			side, along = 2, -dx
		default:
			side, along = 3, -dy
		}
		n.cut[i] = sweep.Progress(float64(4*part+side) + math.Min(0.999, math.Max(0, (along+half)/(2*half))))
	})
	n.owner = func(label int32, p sweep.Progress) int32 {
		if label > 1 && p < sweep.Progress(4*(label-2)+4) {
			return 1
		}
		return label
	}
	return n
}

// fullNest is a nest of about 500 parts on a sheet of 3000 x 1500 mm.
func fullNest() *nest { return newNest(3000, 1500, 0.75, 94, 6) }

// Every move of the nest against solving the end state once. Reports how many full solves one update of each of 2000
// moves costs.
func BenchmarkNest(b *testing.B) {
	n := fullNest()
	for _, thickness := range []float64{0.75, 6, 18} {
		b.Run(fmt.Sprintf("layer=%gmm", thickness), func(b *testing.B) {
			edit := func(j *testJob) { j.Layer.ThicknessMM = thickness }
			for i := 0; i < b.N; i++ {
				b.StopTimer()
				whole := mustModel(b, n.sheet, Options{}, edit)
				t0 := time.Now()
				advance(b, whole, sweep.Never-1)
				full := time.Since(t0)
				m := mustModel(b, n.sheet, Options{}, edit)
				b.StartTimer()
				t0 = time.Now()
				for p := 0; p < n.moves; p++ {
					advance(b, m, sweep.Progress(p)+1)
				}
				b.ReportMetric(time.Since(t0).Seconds()/full.Seconds()*2000/float64(n.moves), "solves/2000moves")
				b.ReportMetric(float64(len(m.field.w)), "cells")
			}
		})
	}
}

func BenchmarkNew(b *testing.B) {
	n := fullNest()
	for b.Loop() {
		mustModel(b, n.sheet, Options{}, nil)
	}
}

func BenchmarkPatchesOfTheStock(b *testing.B) {
	n := fullNest()
	m := mustModel(b, n.sheet, Options{}, nil)
	advance(b, m, sweep.Progress(n.moves/2))
	p := n.moves / 2
	for b.Loop() {
		b.StopTimer()
		p++
		advance(b, m, sweep.Progress(p))
		b.StartTimer()
		m.Patches(1)
	}
}
