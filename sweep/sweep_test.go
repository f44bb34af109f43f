package sweep

import (
	"math"
	"testing"

	"staydown/parse"
	"staydown/sweep/internal/testprog"
)

func movesOf(list []parse.Move) *parse.Moves { return parse.NewMoves(list...) }

func sweep(t testing.TB, p *testprog.Program, tools map[int]Tool, s Stock, cell float64) *Record {
	t.Helper()
	r, err := Run(movesOf(p.Moves), tools, s, Options{CellMM: cell})
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s = %.6g, want %.6g within %.3g", what, got, want, tol)
	}
}

// Source: area of a capsule, pi R^2 + 2 R L.
func TestSlotCoversACapsule(t *testing.T) {
	const r, l = 3.0, 40.0
	p := testprog.New(1).Enter(10, 10, -6).Line(10+l*0.8, 10+l*0.6, -6).Up()
	rec := sweep(t, p, testprog.EndMill(2*r), testprog.Plate(80, 60, 6), 0.25)
	want := (math.Pi*r*r + 2*r*l) * 6
	near(t, "removed", rec.RemovedMM3, want, 0.003*want)
	if len(rec.Pieces) != 1 {
		t.Errorf("a slot freed %d pieces", len(rec.Pieces)-1)
	}
}

func TestAClosedContourFreesOnePiece(t *testing.T) {
	p := testprog.New(1).Enter(20, 20, -6.2).Line(60, 20, -6.2).Line(60, 50, -6.2).Line(20, 50, -6.2).Line(20, 20,
		-6.2).Up()
	rec := sweep(t, p, testprog.EndMill(6), testprog.Plate(80, 70, 6), 0.25)
	if len(rec.Pieces) != 2 {
		t.Fatalf("%d pieces, want the stock and one", len(rec.Pieces))
	}
	q := rec.Pieces[1]
	near(t, "area", q.AreaMM2, 34*24, 0.25*(2*(34+24))/2)
	near(t, "volume", q.VolumeMM3, 6*q.AreaMM2, 0.01)
	near(t, "top", q.TopMM, 0, 1e-4)
	near(t, "x", q.Centroid[0], 40, 0.13)
	near(t, "y", q.Centroid[1], 35, 0.13)
	if q.Freed.Move() != 6 {
		t.Errorf("freed by move %d, want the closing one, 6", q.Freed.Move())
	}
}
