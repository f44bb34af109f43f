package sweep

import (
	"crypto/sha256"
	"encoding/binary"
	"math"
	"math/rand"
	"reflect"
	"testing"

	"staydown/internal/testrun"

	"github.com/paulmach/orb"
	"pgregory.net/rapid"

	"staydown/parse"
	"staydown/sweep/internal/testprog"
)

// wander makes a program of random cuts in a plate of 40 x 40 x 6 mm, on a grid of eighths of a millimeter so that
// turns by right angles are exact.
func wander(t *rapid.T) *testprog.Program {
	p := testprog.New(1)
	at := func(lo, hi int, name string) float64 { return float64(rapid.IntRange(lo*8, hi*8).Draw(t, name)) / 8 }
	p.Enter(at(0, 40, "x"), at(0, 40, "y"), -2)
	for n := rapid.IntRange(1, 12).Draw(t, "moves"); n > 0; n-- {
		switch rapid.IntRange(0, 3).Draw(t, "kind") {
		case 0:
			p.Enter(at(-5, 45, "x"), at(-5, 45, "y"), at(-7, -1, "z"))
		default:
			p.Line(at(-5, 45, "x"), at(-5, 45, "y"), at(-7, 0, "z"))
		}
	}
	return p.Up()
}

func anyTool(t *rapid.T) map[int]Tool {
	return map[int]Tool{1: {
		Number: 1, Shape: Shape(rapid.IntRange(0, 4).Draw(t, "shape")),
		DiameterMM: float64(rapid.IntRange(16, 64).Draw(t, "d")) / 8,
		CornerMM:   0.75, AngleRad: rapid.Float64Range(0.5, 3).Draw(t, "angle"),
	}}
}

// Material only ever disappears: every longer program leaves less, cell by cell, and what was cut stays cut at its
// moment.
func TestRemovedVolumeNeverGrowsBack(t *testing.T) {
	drawCases(t, testrun.Draws(40, 100))
	rapid.Check(t, func(t *rapid.T) {
		p, tools := wander(t), anyTool(t)
		var before *Record
		for n := 3; n <= len(p.Moves); n += 3 {
			r, err := Run(movesOf(p.Moves[:n]), tools, testprog.Plate(40, 40, 6), Options{CellMM: 0.5, WebMM: 2})
			if err != nil {
				t.Fatal(err)
			}
			if before != nil && before.Grid == r.Grid {
				if r.RemovedMM3 < before.RemovedMM3 {
					t.Fatalf("removed %g, before %g", r.RemovedMM3, before.RemovedMM3)
				}
				for iy := 0; iy < r.Grid.NY; iy++ {
					for ix := 0; ix < r.Grid.NX; ix++ {
						if r.HeightMM(ix, iy) > before.HeightMM(ix, iy) {
							t.Fatalf("cell %d, %d grew", ix, iy)
						}
						if c := before.CutAt(ix, iy); c != Never && math.Abs(float64(c-r.CutAt(ix, iy))) > 1e-9 {
							t.Fatalf("cell %d, %d was cut at %v, now %v", ix, iy, c, r.CutAt(ix, iy))
						}
					}
				}
			}
			before = r
		}
	})
}

// A quarter turn of the whole job turns the result and changes nothing else.
func TestAQuarterTurnCommutes(t *testing.T) {
	drawCases(t, testrun.Draws(50, 100))
	rapid.Check(t, func(t *rapid.T) {
		p, tools := wander(t), anyTool(t)
		turned := &testprog.Program{}
		for _, m := range p.Moves {
			// About the middle of the plate: (x, y) to (40 - y, x).
			m.Start, m.End = parse.Point{X: 40 - m.Start.Y, Y: m.Start.X, Z: m.Start.Z}, parse.Point{X: 40 - m.End.Y,
				Y: m.End.X, Z: m.End.Z}
			turned.Moves = append(turned.Moves, m)
		}
		a, err := Run(movesOf(p.Moves), tools, testprog.Plate(40, 40, 6), Options{CellMM: 0.5, WebMM: 2})
		if err != nil {
			t.Fatal(err)
		}
		b, err := Run(movesOf(turned.Moves), tools, testprog.Plate(40, 40, 6), Options{CellMM: 0.5, WebMM: 2})
		if err != nil {
			t.Fatal(err)
		}
		differ, explained := 0, 0.0 // explained: what the cells that differ make of the removed volume
		for iy := 0; iy < a.Grid.NY; iy++ {
			for ix := 0; ix < a.Grid.NX; ix++ {
				tx, ty := a.Grid.NY-1-iy, ix
				if math.Abs(a.HeightMM(ix, iy)-b.HeightMM(tx, ty)) > 1e-4 ||
					math.Abs(a.LayerDepthMM(ix, iy)-b.LayerDepthMM(tx, ty)) > 1e-4 {
					differ++
					explained += (b.HeightMM(tx, ty) - a.HeightMM(ix, iy)) * a.Grid.CellMM * a.Grid.CellMM
				}
			}
		}
		if off := a.RemovedMM3 - b.RemovedMM3 - explained; math.Abs(off) > 1e-4*(1+a.RemovedMM3) {
			t.Fatalf("removed %g, turned %g; the %d cells that differ explain %g of it", a.RemovedMM3, b.RemovedMM3,
				differ, explained)
		}
		// A cell whose center lies on the very edge of a sweep may round either way.
		if differ > 3 {
			t.Fatalf("%d cells differ", differ)
		}
		// Sets about as small as the least that is looked at may be left out of one: of cells that go in one moment
		// some come first.
		if differ == 0 && (larger(a, 3*bodyCells) > larger(b, 2*bodyCells) || larger(b, 3*bodyCells) > larger(a,
			2*bodyCells)) {
			t.Fatalf("%d pieces, turned %d", len(a.Pieces), len(b.Pieces))
		}
	})
}

// bodyCells is the number of cells from which a body is looked at where tabs may hold it.
const bodyCells = 64

// larger counts the pieces of at least so many cells.
func larger(r *Record, cells float64) (n int) {
	for i := range r.Pieces {
		if r.Pieces[i].AreaMM2 >= cells*r.Grid.CellMM*r.Grid.CellMM {
			n++
		}
	}
	return n
}

// The number of workers does not change a single bit.
func TestWorkersDoNotChangeTheResult(t *testing.T) {
	p := testprog.New(1)
	for _, z := range []float64{-2, -4, -6.2} { // long enough for several chunks
		q := nest(3, 3, 60, 22, 60)
		for _, m := range q.Moves {
			m.Start.Z, m.End.Z = max(z, m.Start.Z), max(z, m.End.Z)
			p.Moves = append(p.Moves, m)
		}
		p.Tip = q.Tip
	}
	p.Enter(90, 90, -3).Arc(80, 80, 20, -6.5).Line(20, 140, -1).Up()
	workers := []int{1, 3, 2, 7}[:testrun.Draws(2, 4)]
	var first *Record
	var want string
	for _, jobs := range workers {
		r, err := Run(movesOf(p.Moves), testprog.EndMill(6), testprog.Plate(180, 180, 6),
			Options{CellMM: 0.25, Jobs: jobs})
		if err != nil {
			t.Fatal(err)
		}
		got := printOf(r)
		if first == nil {
			first, want = r, got
			continue
		}
		if !reflect.DeepEqual(first.Steps, r.Steps) || !reflect.DeepEqual(first.Pieces, r.Pieces) ||
			first.RemovedMM3 != r.RemovedMM3 {
			t.Fatalf("%d workers give another result than 1", jobs)
		}
		if got != want {
			t.Fatalf("%d workers give other cells than 1", jobs)
		}
	}
}

// printOf is a fingerprint of what Row tells of all cells.
func printOf(r *Record) string {
	h, d := make([]float32, r.Grid.NX), make([]float32, r.Grid.NX)
	c, l := make([]Progress, r.Grid.NX), make([]int32, r.Grid.NX)
	sum := sha256.New()
	for iy := range r.Grid.NY {
		r.Row(iy, RowCells{h, c, l, d})
		for _, part := range []any{h, c, l, d} {
			if err := binary.Write(sum, binary.LittleEndian, part); err != nil {
				panic(err)
			}
		}
	}
	return string(sum.Sum(nil))
}

// Halving the cell twice at least quarters the error of the area, in the mean over many places. Source of the exact
// value: area of a disc.
func TestHalvingTheCellTwiceQuartersTheError(t *testing.T) {
	testrun.NotForRaces(t)
	rnd := rand.New(rand.NewSource(1))
	mean := map[float64]float64{}
	const r, big = 3.0, 15.0
	want := math.Pi * (big - r) * (big - r)
	const n = 60
	for range n {
		cx, cy := 30+rnd.Float64(), 30+rnd.Float64()
		p := testprog.New(1).Enter(cx+big, cy, -6.2).Arc(cx, cy, 2*math.Pi, -6.2).Up()
		for _, cell := range []float64{1, 0.5, 0.25} {
			rec := sweep(t, p, testprog.EndMill(2*r), testprog.Plate(61, 61, 6), cell)
			wantPieces(t, rec, 2)
			mean[cell] += math.Abs(rec.Pieces[1].FinalAreaMM2-want) / n
		}
	}
	t.Logf("mean error of the area: %v of %.1f mm2", mean, want)
	// Two halvings taken together: the mean of the errors of so many places is itself only known within a tenth.
	if mean[0.5] > mean[1]*0.6 || mean[0.25] > mean[1]/4 {
		t.Errorf("mean errors %v", mean)
	}
}

// Row gives the same as the accessors of single cells, and Row's progress names the right move.
func TestRowAgreesWithCells(t *testing.T) {
	r := sweep(t, nest(2, 1, 60, 20, 30), testprog.EndMill(6), testprog.Plate(120, 60, 6), 0.25)
	h, d := make([]float32, r.Grid.NX), make([]float32, r.Grid.NX)
	c, l := make([]Progress, r.Grid.NX), make([]int32, r.Grid.NX)
	for iy := 0; iy < r.Grid.NY; iy++ {
		r.Row(iy, RowCells{h, c, l, d})
		for ix := range h {
			if h[ix] != float32(r.HeightMM(ix, iy)) || d[ix] != float32(r.LayerDepthMM(ix, iy)) ||
				c[ix] != r.CutAt(ix, iy) || l[ix] != r.Label(ix, iy) {
				t.Fatalf("cell %d, %d", ix, iy)
			}
		}
		for ix := 0; ix < r.Grid.NX; {
			to, alike := r.Stretch(ix, iy)
			for k := ix; alike && k < to; k++ {
				if h[k] != h[ix] || d[k] != d[ix] || c[k] != c[ix] || l[k] != l[ix] {
					t.Fatalf("cell %d, %d is not like those before it", k, iy)
				}
			}
			ix = to
		}
	}
	// The lowest row lies beside the sheet, where nothing is cut.
	if to, alike := r.Stretch(0, 0); to != r.Grid.NX || !alike {
		t.Errorf("the lowest row is alike: %v up to %d; want all of %d", alike, to, r.Grid.NX)
	}
	p := r.Pieces[1]
	x, y := int((p.Centroid[0]-r.Grid.OriginX)/r.Grid.CellMM), int((p.Centroid[1]-r.Grid.OriginY)/r.Grid.CellMM)
	if got := r.PieceAt(r.Label(x, y), p.Freed-0.1); got != 1 {
		t.Errorf("before it is freed the middle of piece 2 belongs to %d", got)
	}
	if got := r.PieceAt(r.Label(x, y), p.Freed); got != 2 {
		t.Errorf("when it is freed the middle of piece 2 belongs to %d", got)
	}
}

// The outline is the piece's own: its area is that of the cells, within the cells that it rounds off.
func TestOutlinesHaveTheAreaOfTheirCells(t *testing.T) {
	r := sweep(t, nest(2, 2, 60, 20, 90), testprog.EndMill(6), testprog.Plate(120, 120, 6), 0.25)
	wantPieces(t, r, 5)
	for _, p := range r.Pieces[1:] {
		area := 0.0
		for _, poly := range p.Outline {
			for _, ring := range poly {
				area += signed(ring)
			}
		}
		near(t, "area", area, p.AreaMM2, 0.005*p.AreaMM2)
		if p.Class != Part {
			t.Errorf("piece %d of %.0f mm2 is class %d", p.ID, p.AreaMM2, p.Class)
		}
	}
}

func signed(r orb.Ring) float64 {
	sum := 0.0
	for i := range r {
		a, b := r[i], r[(i+1)%len(r)]
		sum += a[0]*b[1] - b[0]*a[1]
	}
	return sum / 2
}
