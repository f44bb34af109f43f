package field

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/mat"
	"pgregory.net/rapid"

	"staydown/hold/airflow/internal/gather"
	"staydown/hold/airflow/internal/layer"
	"staydown/hold/airflow/internal/sheettest"
	"staydown/hold/airflow/internal/zones"
	"staydown/hold/job"
	"staydown/sweep"
)

// laid is the field over a sheet made by hand, which follows the program.
type laid struct {
	*Solver
	events, closures int
}

// lay gathers air cells of m by m cells of the sheet, over tight work.
func lay(t rapid.TB, s *sheettest.Sheet, j *job.Job, m int, tol float64) *laid {
	t.Helper()
	sheet := layer.NewSheet(j)
	air, err := gather.Cells(s.Source(), j, zones.New(s.Grid, s.Stock, j, sheet.Lambda()), m)
	if err != nil {
		t.Fatal(err)
	}
	l := &laid{Solver: NewSolver(New(air, sheet, nil, layer.CoarseLandMM(j, air.Grid.CellMM)), tol, func(int32) {})}
	if err := l.SolveAll(); err != nil {
		t.Fatal(err)
	}
	return l
}

// advance exposes all that is cut through by a moment.
func (l *laid) advance(t rapid.TB, p sweep.Progress) {
	t.Helper()
	var changed []int32
	for ; l.events < len(l.Air.Events) && l.Air.Events[l.events].At <= p; l.events++ {
		e := &l.Air.Events[l.events]
		g := &l.Air.Groups[e.Group]
		g.Apply(e)
		if l.Expose(g, e, l.Air.WayOfCut(e.At)) {
			changed = append(changed, g.Cell)
		}
	}
	for ; l.closures < len(l.Air.Closures) && l.Air.Closures[l.closures].At <= p; l.closures++ {
		changed = append(changed, l.Close(l.Air.Closures[l.closures]))
	}
	if err := l.Solve(changed); err != nil {
		t.Fatal(err)
	}
}

// The solver against a dense Cholesky factorisation of the same balance (gonum).
func TestFieldAgreesWithDenseCholesky(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		const wide, high = 24, 18
		s := sheettest.Random(t, wide, high)
		j, m := sheettest.RandomTable(t, wide, high), rapid.IntRange(2, 4).Draw(t, "m")
		f := lay(t, s, j, m, 1e-11)
		for p := sweep.Progress(0.5); p < 5; p++ {
			f.advance(t, p)
		}
		n := len(f.w)
		a, b := mat.NewSymDense(n, nil), mat.NewVecDense(n, nil)
		add := func(i, j int, v float64) { a.SetSym(i, j, a.At(i, j)+v) }
		for i := 0; i < n; i++ {
			add(i, i, f.source[i]+f.sink[i])
			b.SetVec(i, f.source[i]-f.drain[i])
			if i%f.Grid.NX+1 < f.Grid.NX {
				add(i, i, f.link[2*i])
				add(i+1, i+1, f.link[2*i])
				add(i, i+1, -f.link[2*i])
			}
			if i+f.Grid.NX < n {
				add(i, i, f.link[2*i+1])
				add(i+f.Grid.NX, i+f.Grid.NX, f.link[2*i+1])
				add(i, i+f.Grid.NX, -f.link[2*i+1])
			}
		}
		for i := 0; i < n; i++ {
			if a.At(i, i) == 0 {
				a.SetSym(i, i, 1)
			}
		}
		var chol mat.Cholesky
		if !chol.Factorize(a) {
			return // cells cut off from plenum and air alike have no one answer
		}
		var w mat.VecDense
		if err := chol.SolveVecTo(&w, b); err != nil {
			return
		}
		for i := 0; i < n; i++ {
			if math.Abs(w.AtVec(i)-f.w[i]) > 1e-8 {
				t.Fatalf("cell %d: %.12f, dense %.12f", i, f.w[i], w.AtVec(i))
			}
		}
	})
}

// What goes into the plenum under the cover is what comes in at the edges.
func TestFieldBalances(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := sheettest.Random(t, 30, 20)
		f := lay(t, s, sheettest.RandomTable(t, 30, 20), 2, 1e-10)
		f.advance(t, 10)
		var in, out float64
		for i, w := range f.w {
			if w < -1e-9 || w > 1+1e-9 {
				t.Fatalf("w = %g in cell %d", w, i)
			}
			if f.area[i] > 0 && f.in[i] {
				out += f.source[i] * (1 - w)
				in += f.sink[i]*w + f.drain[i]
			}
		}
		if math.Abs(in-out) > 1e-6*in+1e-9 {
			t.Fatalf("%.9g mm2 come in, %.9g go out", in, out)
		}
	})
}
