package sweep

import (
	"fmt"
	"math"
	"testing"

	"staydown/internal/testrun"
	"staydown/sweep/internal/testprog"
)

// closing cuts a rectangle of 40 x 30 mm (on the tool's center) that starts and ends at (20, 35) on its left side and
// goes on beyond the start by over mm.
func closing(over float64) *testprog.Program {
	return testprog.New(1).Enter(20, 35, -6.2).Line(20, 20, -6.2).Line(60, 20, -6.2).Line(60, 50, -6.2).Line(20, 50,
		-6.2).
		Line(20, 35-over, -6.2).Up()
}

// The end caps of a kerf of radius R are apart by 2R less than the centers are, so the ends meet when the last line
// stops 2R before the start; all expectations are plane geometry of discs.
func TestAPieceIsFreedOnlyWhenTheKerfReallyCloses(t *testing.T) {
	testrun.NotForRaces(t)
	for _, cell := range []float64{0.1, 0.25, 0.4, 0.5} {
		for _, c := range []struct {
			gap   float64 // between the end caps, mm; negative when they overlap
			freed bool
		}{{-6.1, true}, {-6, true}, {-3, true}, {-0.1, true}, {0.1, false}, {0.15, false}, {0.3, false}, {2, false}} {
			t.Run(fmt.Sprintf("cell %g gap %g", cell, c.gap), func(t *testing.T) {
				r := sweep(t, closing(-6-c.gap), testprog.EndMill(6), testprog.Plate(80, 70, 6), cell)
				if len(r.Pieces) != 2 {
					t.Fatalf("%d pieces, want 2", len(r.Pieces))
				}
				if got := r.Pieces[1].Freed < Never; got != c.freed {
					t.Errorf("freed %v, want %v", got, c.freed)
				}
				if !c.freed {
					near(t, "section", r.Pieces[1].WebMM2, 6*c.gap, 0.01*6*c.gap)
				} else {
					// The caps touch when the tool's center is 6 mm above the start: y = 41, 9 mm down the last line.
					long := 9 - c.gap
					near(t, "moment", float64(r.Pieces[1].Freed), 7+9/long, 0.06/long+cell/10/long)
				}
			})
		}
	}
}

// A full circle that is one single move, 0.1 mm short of a full turn (measured between the end caps).
func TestAnArcShortOfAFullTurnFreesNothing(t *testing.T) {
	const r, tool = 20.0, 3.0
	for _, gap := range []float64{0.1, -0.1} {
		// Chord between the centers of the end caps: 2 tool + gap = 2 r sin(a/2).
		a := 2 * math.Asin((2*tool+gap)/(2*r))
		p := testprog.New(1).Enter(40+r, 40, -6.2).Arc(40, 40, 2*math.Pi-a, -6.2).Up()
		for _, cell := range []float64{0.2, 0.5} {
			rec := sweep(t, p, testprog.EndMill(2*tool), testprog.Plate(80, 80, 6), cell)
			if len(rec.Pieces) != 2 || (rec.Pieces[1].Freed == Never) != (gap > 0) {
				t.Errorf("cell %g gap %g: %+v", cell, gap, rec.Pieces[1:])
			} else if gap > 0 {
				near(t, "section", rec.Pieces[1].WebMM2, 6*gap, 0.02*6*gap)
			}
		}
	}
}

func wantPieces(t *testing.T, r *Record, want int) {
	t.Helper()
	if len(r.Pieces) != want {
		for _, p := range r.Pieces {
			t.Logf("piece %d of %d freed %v area %.2f at %v", p.ID, p.Parent, p.Freed, p.AreaMM2, p.Centroid)
		}
		t.Fatalf("%d pieces, want %d", len(r.Pieces), want)
	}
}

// freedBy tells the move that frees a piece, and that the step which does it lists the piece.
func freedBy(t *testing.T, r *Record, id, move int) {
	t.Helper()
	p := r.Pieces[id-1]
	if p.Freed.Move() != move {
		t.Errorf("piece %d freed by move %d (%v), want %d", id, p.Freed.Move(), p.Freed, move)
	}
	for _, s := range r.Steps.All() {
		end := Progress(float64(s.Move) + float64(s.To))
		if int(s.Move) == p.Freed.Move() && float64(end)-float64(p.Freed) > -1e-6 {
			for _, q := range r.Touched(s) {
				if int(q) == id {
					return
				}
			}
			t.Errorf("piece %d is not among %v of the step %v..%v of move %d that frees it", id, r.Touched(s), s.From,
				s.To, s.Move)
			return
		}
	}
	t.Errorf("no step frees piece %d", id)
}

// ringWithGap cuts three sides and most of the fourth of a square and leaves a bridge about (20, 35).
func ringWithGap() *testprog.Program {
	return testprog.New(1).Enter(20, 39, -6.2).Line(20, 50, -6.2).Line(60, 50, -6.2).Line(60, 20, -6.2).Line(20, 20,
		-6.2).Line(20, 31, -6.2).Up()
}

func TestADrillHoleFreesAPiece(t *testing.T) {
	p := ringWithGap()
	p.Tool = 2
	p.Enter(20, 35, -9).Up()
	tools := testprog.EndMill(6)
	tools[2] = Tool{Number: 2, Shape: Drill, DiameterMM: 6, AngleRad: 2}
	r := sweep(t, p, tools, testprog.Plate(80, 70, 6), 0.25)
	wantPieces(t, r, 2)
	freedBy(t, r, 2, 11)
	// The tip is 0 at 5 mm of 14 from above; the cone is 3/tan(1) = 1.926 mm high and must pass the bottom with nearly
	// its full width: the two end caps are 2 mm apart, so the bridge goes when the cone is 1.0 mm wide there at the
	// latest and the hole's flank when 2R sits through.
	if f := float64(r.Pieces[1].Freed) - 11; f < (5+6)/14.0 || f > (5+6+1.927)/14+0.01 {
		t.Errorf("freed after %.3f of the plunge", f)
	}
}

func TestAHelixFreesAPiece(t *testing.T) {
	testrun.NotForRaces(t)
	p := ringWithGap()
	p.Enter(20.5, 35, 0.5).Arc(20, 35, -10*math.Pi, -6.5).Up()
	r := sweep(t, p, testprog.EndMill(6), testprog.Plate(80, 70, 6), 0.25)
	wantPieces(t, r, 2)
	freedBy(t, r, 2, 12)
	// The tip passes the film's height after 6.49 of the 7 mm down (from +0.5), at the earliest; all round within a
	// turn.
	if f := float64(r.Pieces[1].Freed) - 12; f < 6.49/7-0.001 || f > 6.49/7+0.2 {
		t.Errorf("freed after %.3f of the helix", f)
	}
}

func TestASecondToolFreesAPiece(t *testing.T) {
	p := ringWithGap()
	p.Tool = 2
	p.Enter(20, 30, -6.2).Line(20, 40, -6.2).Up()
	tools := testprog.EndMill(6)
	tools[2] = Tool{Number: 2, Shape: Flat, DiameterMM: 3}
	r := sweep(t, p, tools, testprog.Plate(80, 70, 6), 0.25)
	wantPieces(t, r, 2)
	freedBy(t, r, 2, 12)
	// The gap is open when the 3 mm tool's front meets the other cap at (20, 36): its center at 34.5, 4.5 of 10 mm.
	near(t, "moment", float64(r.Pieces[1].Freed), 12.45, 0.04/10+0.25/10/10+0.004)
}

func TestTheLastOfSeveralPassesFreesAPiece(t *testing.T) {
	p := testprog.New(1).Enter(20, 20, -2)
	for _, z := range []float64{-2, -4, -6.1} {
		p.Line(20, 20, z).Line(60, 20, z).Line(60, 50, z).Line(20, 50, z).Line(20, 20, z)
	}
	r := sweep(t, p.Up(), testprog.EndMill(6), testprog.Plate(80, 70, 6), 0.25)
	wantPieces(t, r, 2)
	freedBy(t, r, 2, 17)
	// From the second pass on 2 mm are left, less than half of 6: a skin all round.
	q := r.Pieces[1]
	if q.Hung.Move() != 12 {
		t.Fatalf("hung %v, want by move 12", q.Hung)
	}
	// Its least section runs round the piece, 34 x 24 mm: 2 (34+24) mm times 2 mm.
	near(t, "section", q.WebMM2, 2*(34+24)*2, 0.02*2*(34+24)*2)
}

func TestARampAlongTheContourFreesOnItsLowPass(t *testing.T) {
	// Down a ramp round the contour twice: the second time through the bottom along the way.
	p := testprog.New(1).Enter(20, 20, 0).Line(60, 20, -1).Line(60, 50, -2).Line(20, 50, -3).Line(20, 20, -4).
		Line(60, 20, -6.1).Line(60, 50, -6.1).Line(20, 50, -6.1).Line(20, 20, -6.1).Line(60, 20, -6.1).Up()
	r := sweep(t, p, testprog.EndMill(6), testprog.Plate(80, 70, 6), 0.25)
	wantPieces(t, r, 2)
	// The ramp of move 7 reaches the bottom (6 less 0.01 mm) at 1.99/2.1 of its 40 mm; the rest of that side is open
	// only after the last pass along it, move 11, which closes it when the front is there.
	freedBy(t, r, 2, 11)
	near(t, "moment", float64(r.Pieces[1].Freed), 11+(40*1.99/2.1-6)/40, 0.02)
}

// Two narrow slots divide a strip; the closing cut at its end sets both parts free, the nearer first.
func TestOneBlockFreesTwoPiecesInOrder(t *testing.T) {
	p := testprog.New(1).Enter(10, 40, -6.2).Line(10, 10, -6.2).Line(70, 10, -6.2).Line(70, 40, -6.2).Up().
		Enter(40, 40, -6.2).Line(40, 10, -6.2).Up().
		Enter(10, 40, -6.2).Line(70, 40, -6.2).Up()
	r := sweep(t, p, testprog.EndMill(4), testprog.Plate(80, 50, 6), 0.25)
	wantPieces(t, r, 3)
	freedBy(t, r, 2, 15)
	freedBy(t, r, 3, 15)
	if !(r.Pieces[1].Freed < r.Pieces[2].Freed && r.Pieces[1].Centroid[0] < 40 && r.Pieces[2].Centroid[0] > 40) {
		t.Errorf("order: %v at %v, %v at %v", r.Pieces[1].Freed, r.Pieces[1].Centroid, r.Pieces[2].Freed,
			r.Pieces[2].Centroid)
	}
	// Closed when the front at x + 2 meets the slot's side: x = 38 - 2 and 70 - 2 - 2, of 60 mm from x = 10.
	near(t, "first", float64(r.Pieces[1].Freed), 15+(36-10)/60.0, 0.004)
	near(t, "second", float64(r.Pieces[2].Freed), 15+(66-10)/60.0, 0.004)
}

// Squares inside each other, from the outside in and from the inside out.
func TestIslandsInsideIslands(t *testing.T) {
	square := func(p *testprog.Program, h float64) {
		p.Enter(50-h, 50-h, -6.2).Line(50+h, 50-h, -6.2).Line(50+h, 50+h, -6.2).Line(50-h, 50+h, -6.2).Line(50-h, 50-h,
			-6.2).Up()
	}
	for _, c := range []struct {
		cut, id []float64
		parent  []int
	}{
		// From the outside in, the larger part of what is split keeps its number: of the 74 mm square the inner 50 mm
		// one (2500 of 4140 mm2), of that the frame.
		{cut: []float64{40, 28, 14}, id: []float64{28, 40, 14}, parent: []int{1, 2, 2}},
		{cut: []float64{14, 28, 40}, id: []float64{14, 28, 40}, parent: []int{1, 1, 1}},
	} {
		p := testprog.New(1)
		for _, h := range c.cut {
			square(p, h)
		}
		r := sweep(t, p, testprog.EndMill(6), testprog.Plate(100, 100, 6), 0.25)
		wantPieces(t, r, 4)
		// A square contour on the center line leaves 2h-6 inside and 2h+6 (with corners rounded by 3 mm) outside.
		side := func(h float64) float64 { return (2*h - 6) * (2*h - 6) }
		hole := func(h float64) float64 { return (2*h+6)*(2*h+6) - (4-math.Pi)*9 }
		want := map[float64]float64{40: side(40) - hole(28), 28: side(28) - hole(14), 14: side(14)}
		for i, h := range c.id {
			q := r.Pieces[i+1]
			near(t, "area left", q.FinalAreaMM2, want[h], 0.125*8*h)
			if q.Parent != c.parent[i] {
				t.Errorf("square of %g: parent %d, want %d", h, q.Parent, c.parent[i])
			}
		}
	}
}

// A straight cut from beyond one edge to beyond the other: two parts, the smaller one is freed at the very end.
func TestACutAcrossTheStockSplitsIt(t *testing.T) {
	p := testprog.New(1).Enter(30, -10, -6.2).Line(30, 60, -6.2).Up()
	r := sweep(t, p, testprog.EndMill(6), testprog.Plate(80, 50, 6), 0.25)
	wantPieces(t, r, 2)
	near(t, "area", r.Pieces[1].AreaMM2, 27*50, 0.125*50)
	// The front of the round tool reaches the edge at y = 47 in the middle; the last corner of the kerf's side goes
	// when the center is there, but the strip is open as soon as the front passes.
	near(t, "moment", float64(r.Pieces[1].Freed), 3+57/70.0, 0.004)
}

// A bridge of one cell: two kerfs one cell apart.
func TestATabOneCellWideHolds(t *testing.T) {
	for _, cell := range []float64{0.25, 0.5} {
		p := testprog.New(1).Enter(20, 38+cell/2, -6.2).Line(20, 50, -6.2).Line(60, 50, -6.2).Line(60, 20,
			-6.2).Line(20, 20,
			-6.2).Line(20, 32-cell/2, -6.2).Up()
		r := sweep(t, p, testprog.EndMill(6), testprog.Plate(80, 70, 6), cell)
		wantPieces(t, r, 2)
		if r.Pieces[1].Freed != Never {
			t.Errorf("cell %g: freed", cell)
		}
		near(t, "section", r.Pieces[1].WebMM2, 6*cell, 0.01*6*cell)
	}
}

// A plunge that leaves a film of 0.2 mm towards the edge of the stock, at a cell of 0.5 mm whose centers miss it: the
// film still holds what the kerf that starts there would set free.
func TestAFilmAtTheEdgeHolds(t *testing.T) {
	for _, film := range []float64{0.2, 0.1, -0.1} {
		// From the plunge near the lower edge up and out through the left edge: the corner below hangs on the film.
		p := testprog.New(1).Enter(30, 3+film, -6.2).Line(20, 20, -6.2).Line(-5, 20, -6.2).Up()
		for _, cell := range []float64{0.25, 0.5} {
			r := sweep(t, p, testprog.EndMill(6), testprog.Plate(80, 60, 6), cell)
			if len(r.Pieces) != 2 || (r.Pieces[1].Freed == Never) != (film > 0) {
				t.Errorf("film %g, cell %g: %+v", film, cell, r.Pieces[1:])
			} else if film > 0 {
				near(t, "section", r.Pieces[1].WebMM2, 6*film, 0.02*6*film)
			}
		}
	}
}
