package sweep

import (
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"

	"staydown/sweep/internal/testprog"
)

// tabbed cuts a square of side 2 h about (cx, cy), turned by a, in a plate 6 mm thick: first at full depth with the
// tool lifted over a tab of width wide in the middle of each side, high mm thick.
func tabbed(cx, cy, h, a, wide, high float64) *testprog.Program {
	const tool = 3.0
	sin, cos := math.Sincos(a)
	at := func(x, y float64) (float64, float64) { return cx + x*cos - y*sin, cy + x*sin + y*cos }
	p := testprog.New(1)
	x, y := at(-h, -h)
	p.Enter(x, y, -6.2)
	dx, dy := 1.0, 0.0
	px, py := -h, -h
	for side := 0; side < 4; side++ {
		go_ := func(d, z float64) {
			x, y := at(px+dx*d, py+dy*d)
			p.Line(x, y, z)
		}
		// The end caps of radius tool leave the tab narrowest in its middle: wide there.
		go_(h-wide/2-tool, -6.2)
		go_(h-wide/2-tool, -6+high)
		go_(h+wide/2+tool, -6+high)
		go_(h+wide/2+tool, -6.2)
		go_(2*h, -6.2)
		px, py = px+2*h*dx, py+2*h*dy
		dx, dy = -dy, dx
	}
	return p.Up()
}

// Four tabs 6 mm wide and 1.5 mm thick have a section of 4 x 6 x 1.5 = 36 mm2 wherever they sit.
func TestFourTabsHaveTheirSection(t *testing.T) {
	for _, c := range []struct{ cx, cy, a, cell float64 }{
		{50, 50, 0, 0.25}, {50.1, 49.93, 0, 0.25}, {50, 50, 0.3, 0.25}, {50, 50, math.Pi / 4, 0.25}, {50, 50, 0, 0.5},
		{50.2, 50, 1.1, 0.5},
	} {
		t.Run(fmt.Sprintf("%+v", c), func(t *testing.T) {
			r := sweep(t, tabbed(c.cx, c.cy, 20, c.a, 6, 1.5), testprog.EndMill(6), testprog.Plate(100, 100, 6), c.cell)
			if len(r.Hanging) != 1 {
				t.Fatalf("%d pieces hang, want 1; %d pieces", len(r.Hanging), len(r.Pieces))
			}
			p := r.Pieces[r.Hanging[0]]
			end := p.Sections[len(p.Sections)-1]
			if len(end.Joins) != 8 || end.At != Never {
				t.Fatalf("%d parts of joins, want 2 of each tab: %+v", len(end.Joins), end)
			}
			for _, j := range end.Joins {
				near(t, "height", j.HeightMM, 1.5, 1e-4)
				near(t, "width", j.WholeMM, 6, 0.01)
				// The kerf is 6 mm wide.
				near(t, "length", j.LengthMM, 6, 0.01)
			}
			near(t, "section", end.AreaMM2, 36, 0.05)
			if p.Freed != Never || p.Hung == Never {
				t.Errorf("freed %v hung %v", p.Freed, p.Hung)
			}
		})
	}
}

// Between round ends of radius R a join w wide in its middle is w + 2 (R - sqrt(R^2 - y^2)) wide at y. Bent edgewise it
// yields where the square of that over y is least, bent upright where that over y is: strength of materials, sought by
// trying every y.
func TestRoundEndsShortenWhatBends(t *testing.T) {
	const r = 3.0
	for _, wide := range []float64{0.2, 1, 6} {
		least, flattest := math.Inf(1), math.Inf(1)
		for y := 0.001; y < r; y += 0.001 {
			at := wide + 2*(r-math.Sqrt(r*r-y*y))
			least, flattest = min(least, at*at/y), min(flattest, at/y)
		}
		// 6 F y/(h at^2) = 3 F L/(h wide^2), and upright 6 F y/(at h^2) = 3 F L/(wide h^2)
		want, upright := 2*wide*wide/least, 2*wide/flattest
		p := sweep(t, tabbed(50, 50, 20, 0.3, wide, 1.5), testprog.EndMill(6), testprog.Plate(100, 100, 6),
			0.5).Pieces[1]
		for _, j := range p.Sections[len(p.Sections)-1].Joins {
			if j.UprightMM < 0.99*upright || j.UprightMM > 1.2*upright {
				t.Errorf("%g mm wide: upright %.3f mm, want %.3f", wide, j.UprightMM, upright)
			}
			// The circle counts as a parabola, which flares less.
			if j.EdgewiseMM < 0.99*want || j.EdgewiseMM > 1.12*want {
				t.Errorf("%g mm wide: %.3f mm, want %.3f", wide, j.EdgewiseMM, want)
			}
		}
	}
	// Beside a straight flank it narrows on one side only: the whole length counts.
	p := testprog.New(1).Enter(37, 30, -6.2).Line(70, 30, -6.2).Line(70, 70, -6.2).Line(30, 70, -6.2).Line(30, 15,
		-6.2).Up()
	q := sweep(t, p, testprog.EndMill(6), testprog.Plate(100, 100, 6), 0.5).Pieces[1]
	for _, j := range q.Sections[len(q.Sections)-1].Joins {
		if j.EdgewiseMM != j.LengthMM || j.UprightMM != j.LengthMM || math.Abs(j.WholeMM-1) > 0.02 {
			t.Errorf("beside a flank: %+v, want 1 mm wide, all of its length", j)
		}
	}
}

// A tab 2 mm thick round a corner, between ends at a and b from it along the walls, breaks off along straight lines
// from the middles of the ends to the corner: sqrt(a^2 + R^2) - R and sqrt(b^2 + R^2) - R long, by hand.
func TestATabRoundACornerBreaksOffStraight(t *testing.T) {
	const r, high = 3.0, 2.0
	for _, c := range []struct{ a, b, turn float64 }{{10, 10, 0}, {10, 5, 0.3}, {6, 14, math.Pi / 4}, {9, 7, 2},
		{25, 35, 0}, {25, 35, 2.5}, {30, 18, 0.5}, {35, 12, -0.3}} {
		sin, cos := math.Sincos(c.turn)
		p := testprog.New(1)
		at := func(x, y float64) (float64, float64) {
			x, y = x-20, y-20
			return 60 + x*cos - y*sin, 60 + x*sin + y*cos
		}
		to := func(x, y, z float64) {
			x, y = at(x, y)
			p.Line(x, y, z)
		}
		x, y := at(c.a, -r)
		p.Enter(x, y, -6.2)
		to(40+r, -r, -6.2)
		to(40+r, 40+r, -6.2)
		to(-r, 40+r, -6.2)
		to(-r, c.b, -6.2)
		to(-r, c.b, high-6)
		to(-r, -r, high-6)
		to(c.a, -r, high-6)
		q := sweep(t, p.Up(), testprog.EndMill(2*r), testprog.Plate(120, 120, 6), 0.5)
		if len(q.Hanging) != 1 {
			t.Fatalf("%+v: %d pieces hang, want 1", c, len(q.Hanging))
		}
		s := q.Pieces[q.Hanging[0]].Sections
		want := high * (math.Hypot(c.a, r) + math.Hypot(c.b, r) - 2*r)
		if got := s[len(s)-1].AreaMM2; math.Abs(got/want-1) > 0.02 {
			t.Errorf("%+v: %.2f mm2, want %.2f", c, got, want)
		}
	}
}

// A tab 2 mm thick round an inside corner of a piece, between ends at a and b from where the walls would meet, breaks
// off straight to the corner of the waste, 2 R out of that place along both walls, by hand. The piece is an L.
func TestATabRoundAnInsideCornerBreaksOffStraight(t *testing.T) {
	const r, high = 3.0, 2.0
	for _, c := range []struct{ a, b, turn float64 }{{13, 13, 0}, {13, 11, 0.3}, {12, 15, math.Pi / 4}, {13, 12, 2}} {
		sin, cos := math.Sincos(c.turn)
		p := testprog.New(1)
		to := func(x, y, z float64) { p.Line(60+x*cos-y*sin, 60+x*sin+y*cos, z) }
		p.Enter(60+c.a*cos-r*sin, 60+c.a*sin+r*cos, -6.2) // beside the wall that runs to +x, in the quadrant
		to(30+r, r, -6.2)
		to(30+r, -30-r, -6.2)
		to(-30-r, -30-r, -6.2)
		to(-30-r, 30+r, -6.2)
		to(r, 30+r, -6.2)
		to(r, c.b, -6.2)
		to(r, c.b, high-6)
		to(r, r, high-6)
		to(c.a, r, high-6)
		q := sweep(t, p.Up(), testprog.EndMill(2*r), testprog.Plate(120, 120, 6), 0.5)
		if len(q.Hanging) != 1 {
			t.Fatalf("%+v: %d pieces hang, want 1", c, len(q.Hanging))
		}
		s := q.Pieces[q.Hanging[0]].Sections
		want := high * (math.Hypot(c.a-2*r, r) + math.Hypot(c.b-2*r, r) - 2*r)
		if got := s[len(s)-1].AreaMM2; math.Abs(got/want-1) > 0.02 {
			t.Errorf("%+v: %.2f mm2, want %.2f", c, got, want)
		}
	}
}

// An onion skin of 0.3 mm all round holds the part with its perimeter times its thickness to the end.
func TestAnOnionSkinHoldsToTheEnd(t *testing.T) {
	p := testprog.New(1).Enter(20, 20, -5.7).Line(60, 20, -5.7).Line(60, 50, -5.7).Line(20, 50, -5.7).Line(20, 20,
		-5.7).Up()
	r := sweep(t, p, testprog.EndMill(6), testprog.Plate(80, 70, 6), 0.25)
	if len(r.Pieces) != 2 || len(r.Hanging) != 1 {
		t.Fatalf("%d pieces, %d hang", len(r.Pieces), len(r.Hanging))
	}
	q := r.Pieces[r.Hanging[0]]
	if q.Freed != Never || q.Hung.Move() != 6 || q.Parent != 1 || len(q.Sections) == 0 {
		t.Fatalf("%+v", q)
	}
	near(t, "area", q.AreaMM2, 34*24, 0.125*116)
	end := q.Sections[len(q.Sections)-1]
	near(t, "section", end.AreaMM2, 0.3*116, 0.02*0.3*116)
	near(t, "section told", q.WebMM2, end.AreaMM2, 1e-9)
	if end.Bends() > 0.03 {
		t.Errorf("%.3f of a skin all round bends, want next to nothing", end.Bends())
	}
	ix, iy := int((40-r.Grid.OriginX)/0.25), int((35-r.Grid.OriginY)/0.25)
	if label := r.Label(ix, iy); label != 1 {
		t.Errorf("label at its middle: %d, want that of the stock", label)
	}
	// The floor under the kerf: what a second cut at the same height touches is the stock still.
	near(t, "web height", r.HeightMM(int((20-r.Grid.OriginX)/0.25), iy), 0.3, 1e-4)
}

// Tabs that are cut at the end: the part hangs on four from the contour on, and is freed by the last of the cuts.
func TestTabsCutOneByOne(t *testing.T) {
	p := tabbed(50, 50, 20, 0, 6, 1.5)
	contour := len(p.Moves)
	for _, at := range [][2]float64{{50, 30}, {70, 50}, {50, 70}, {30, 50}} {
		if at[0] == 50 {
			p.Enter(at[0]-6, at[1], -6.2).Line(at[0]+6, at[1], -6.2).Up()
		} else {
			p.Enter(at[0], at[1]-6, -6.2).Line(at[0], at[1]+6, -6.2).Up()
		}
	}
	r := sweep(t, p, testprog.EndMill(6), testprog.Plate(100, 100, 6), 0.25)
	wantPieces(t, r, 2)
	q := r.Pieces[1]
	if q.Hung.Move() >= contour || len(r.Hanging) != 0 {
		t.Fatalf("hung %v; %d hang at the end", q.Hung, len(r.Hanging))
	}
	last := len(p.Moves) - 2
	freedBy(t, r, 2, last)
	// After each of the first three cuts so many tabs are left.
	for tabs := 4; tabs > 0; tabs-- {
		after := Progress(contour + 5*(4-tabs))
		s, ok := q.SectionAt(after)
		if !ok {
			t.Fatalf("nothing holds after move %v: %+v", after, q.Sections)
		}
		near(t, "section", s.AreaMM2, 9*float64(tabs), 0.05)
	}
	if _, ok := q.SectionAt(q.Freed); ok {
		t.Error("something holds the freed piece")
	}
}

// A triangular tab: the tool climbs to 2 mm above the bottom and goes down again at once, over 12 mm. The smallest
// section runs along the middle line of the kerf, where a square end cuts the slopes back most.
func TestATriangularTabHasTheSectionOfItsMiddleLine(t *testing.T) {
	p := testprog.New(1).Enter(20, 31, -6.2).Line(20, 20, -6.2).Line(60, 20, -6.2).Line(60, 50, -6.2).Line(20, 50,
		-6.2).
		Line(20, 44, -6.2).Line(20, 38, -4).Line(20, 32, -6.2).Up()
	r := sweep(t, p, testprog.EndMill(3), testprog.Plate(80, 70, 6), 0.25)
	if len(r.Hanging) != 1 {
		t.Fatalf("%d hang", len(r.Hanging))
	}
	q := r.Pieces[r.Hanging[0]]
	// The floor at y is the least of the tool heights within 1.5 mm of y: the triangle of the path, 12 mm long and 2.2
	// mm high (0.2 of it below the bottom), eroded by 1.5 mm on both sides, so less high by 1.5 x 2.2/6.
	slope := 2.2 / 6
	high := 2 - 1.5*slope
	half := high / slope
	near(t, "section", q.WebMM2, high*half, 0.05*high*half)
}

// A skin whose corners are cut through afterwards leaves four tabs: to the end those are what holds the piece.
func TestASkinThatBecomesTabsIsToldAsTabs(t *testing.T) {
	p := testprog.New(1).Enter(20, 20, -4.5).Line(60, 20, -4.5).Line(60, 60, -4.5).Line(20, 60, -4.5).Line(20, 20,
		-4.5).
		Line(20, 20, -6.2).Line(34, 20, -6.2).Rapid(34, 20, -4.5).Line(46, 20, -4.5).Line(46, 20, -6.2).
		Line(60, 20, -6.2).Line(60, 34, -6.2).Rapid(60, 34, -4.5).Line(60, 46, -4.5).Line(60, 46, -6.2).
		Line(60, 60, -6.2).Line(46, 60, -6.2).Rapid(46, 60, -4.5).Line(34, 60, -4.5).Line(34, 60, -6.2).
		Line(20, 60, -6.2).Line(20, 46, -6.2).Rapid(20, 46, -4.5).Line(20, 34, -4.5).Line(20, 34, -6.2).Line(20, 20,
		-6.2).Up()
	r := sweep(t, p, testprog.EndMill(6), testprog.Plate(80, 80, 6), 0.25)
	if len(r.Hanging) != 1 {
		t.Fatalf("%d hang", len(r.Hanging))
	}
	q := r.Pieces[r.Hanging[0]]
	// Four tabs of 12 - 6 mm, 1.5 mm high.
	near(t, "section", q.WebMM2, 36, 0.05)
	if q.Hung.Move() != 6 {
		t.Errorf("hung by move %d, want 6", q.Hung.Move())
	}
}

// The section of a skin is what stands below the rim of the piece: its perimeter times the thickness, whatever its size
// and direction on the grid, with corners of the path sharp or rounded off.
func TestASkinIsAsLongAsTheRim(t *testing.T) {
	drawCases(t, 60)
	rapid.Check(t, func(r *rapid.T) {
		w, h := rapid.Float64Range(20, 50).Draw(r, "w"), rapid.Float64Range(20, 50).Draw(r, "h")
		turn := rapid.Float64Range(-math.Pi, math.Pi).Draw(r, "turn")
		radius := rapid.Float64Range(1, 4).Draw(r, "radius")
		skin := rapid.Float64Range(0.1, 2).Draw(r, "skin")
		cell := rapid.SampledFrom([]float64{0.25, 0.5}).Draw(r, "cell")
		rounded := rapid.Bool().Draw(r, "rounded")
		sin, cos := math.Sincos(turn)
		at := func(x, y float64) (float64, float64) { return 50 + x*cos - y*sin, 50 + x*sin + y*cos }
		p := testprog.New(1)
		z := skin - 6
		along := func(x, y float64) { u, v := at(x, y); p.Line(u, v, z) }
		x, y := at(-w/2, -h/2-radius)
		p.Enter(x, y, z)
		// Round the corners goes the tool at its radius from them, or out to where its paths meet.
		for _, c := range [][4]float64{{w / 2, -h / 2, 0, -1}, {w / 2, h / 2, 1, 0}, {-w / 2, h / 2, 0, 1},
			{-w / 2, -h / 2, -1, 0}} {
			along(c[0]+radius*c[2], c[1]+radius*c[3])
			if rounded {
				for k := 1; k < 8; k++ {
					s, k := math.Sincos(float64(k) * math.Pi / 16)
					along(c[0]+radius*(c[2]*k-c[3]*s), c[1]+radius*(c[3]*k+c[2]*s))
				}
			} else {
				along(c[0]+radius*(c[2]-c[3]), c[1]+radius*(c[3]+c[2]))
			}
			along(c[0]-radius*c[3], c[1]+radius*c[2])
		}
		record := sweep(t, p.Up(), testprog.EndMill(2*radius), testprog.Plate(100, 100, 6), cell)
		if len(record.Hanging) != 1 {
			r.Fatalf("%d pieces hang", len(record.Hanging))
		}
		want := 2 * (w + h) * skin
		if got := record.Pieces[record.Hanging[0]].WebMM2; math.Abs(got/want-1) > 0.01 {
			r.Fatalf("section %.3f mm2, want %.3f", got, want)
		}
	})
}
