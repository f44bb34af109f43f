package sweep

import (
	"fmt"
	"math"
	"testing"
)

// tabbed cuts a square of side 2 h about (cx, cy), turned by a, in a plate 6 mm thick: first at full depth with the tool
// lifted over a tab of width wide in the middle of each side, high mm thick.
func tabbed(cx, cy, h, a, wide, high float64) *prog {
	const tool = 3.0
	sin, cos := math.Sincos(a)
	at := func(x, y float64) (float64, float64) { return cx + x*cos - y*sin, cy + x*sin + y*cos }
	p := program(1)
	x, y := at(-h, -h)
	p.enter(x, y, -6.2)
	dx, dy := 1.0, 0.0
	px, py := -h, -h
	for side := 0; side < 4; side++ {
		go_ := func(d, z float64) {
			x, y := at(px+dx*d, py+dy*d)
			p.line(x, y, z)
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
	return p.up()
}

// Four tabs 6 mm wide and 1.5 mm thick have a section of 4 x 6 x 1.5 = 36 mm2 wherever they sit.
func TestFourTabsHaveTheirSection(t *testing.T) {
	for _, c := range []struct{ cx, cy, a, cell float64 }{
		{50, 50, 0, 0.25}, {50.1, 49.93, 0, 0.25}, {50, 50, 0.3, 0.25}, {50, 50, math.Pi / 4, 0.25}, {50, 50, 0, 0.5}, {50.2, 50, 1.1, 0.5},
	} {
		t.Run(fmt.Sprintf("%+v", c), func(t *testing.T) {
			r := sweep(t, tabbed(c.cx, c.cy, 20, c.a, 6, 1.5), flat(6), plate(100, 100, 6), c.cell)
			if len(r.Hanging) != 1 {
				t.Fatalf("%d pieces hang, want 1; %d pieces", len(r.Hanging), len(r.Pieces))
			}
			p := r.Pieces[r.Hanging[0]]
			if len(p.Webs) != 4 {
				t.Fatalf("%d webs, want 4: %+v", len(p.Webs), p.Webs)
			}
			sum := 0.0
			for _, w := range p.Webs {
				if w.Kind != Tab {
					t.Errorf("kind %d, want a tab", w.Kind)
				}
				near(t, "thickness", w.ThicknessMM, 1.5, 1e-4)
				// Two ends, each within half a cell.
				near(t, "width", w.WidthMM, 6, 1.01*c.cell)
				// The kerf is 6 mm wide.
				near(t, "length", w.LengthMM, 6, 4*c.cell+6*(math.Sqrt2-1))
				sum += w.SectionMM2
			}
			near(t, "section", sum, 36, 4*1.5*c.cell*0.7)
			if p.Freed != Never || p.Hung == Never {
				t.Errorf("freed %v hung %v", p.Freed, p.Hung)
			}
		})
	}
}

// An onion skin of 0.3 mm all round holds the part with its perimeter times its thickness to the end.
func TestAnOnionSkinHoldsToTheEnd(t *testing.T) {
	p := program(1).enter(20, 20, -5.7).line(60, 20, -5.7).line(60, 50, -5.7).line(20, 50, -5.7).line(20, 20, -5.7).up()
	r := sweep(t, p, flat(6), plate(80, 70, 6), 0.25)
	if len(r.Pieces) != 2 || len(r.Hanging) != 1 {
		t.Fatalf("%d pieces, %d hang", len(r.Pieces), len(r.Hanging))
	}
	q := r.Pieces[r.Hanging[0]]
	if q.Freed != Never || q.Hung.Move() != 6 || q.Parent != 1 || len(q.Webs) != 1 || q.Webs[0].Kind != Skin || q.Webs[0].Gone != Never {
		t.Fatalf("%+v", q)
	}
	near(t, "area", q.AreaMM2, 34*24, 0.125*116)
	near(t, "section", q.Webs[0].SectionMM2, 0.3*116, 0.06*0.3*116)
	ix, iy := int((40-r.Grid.OriginX)/0.25), int((35-r.Grid.OriginY)/0.25)
	if r.HangingAt(ix, iy) != q.ID || r.HangingAt(0, 0) != 0 || r.Label(ix, iy) != 1 {
		t.Errorf("hanging at its middle: %d, at the corner: %d, label %d", r.HangingAt(ix, iy), r.HangingAt(0, 0), r.Label(ix, iy))
	}
	// The floor under the kerf: what a second cut at the same height touches is the stock still.
	near(t, "web height", r.HeightMM(int((20-r.Grid.OriginX)/0.25), iy), 0.3, 1e-4)
}

// Tabs that are cut at the end: the part hangs on four from the contour on, and is freed by the last of the cuts.
func TestTabsCutOneByOne(t *testing.T) {
	p := tabbed(50, 50, 20, 0, 6, 1.5)
	contour := len(p.moves)
	for _, at := range [][2]float64{{50, 30}, {70, 50}, {50, 70}, {30, 50}} {
		if at[0] == 50 {
			p.enter(at[0]-6, at[1], -6.2).line(at[0]+6, at[1], -6.2).up()
		} else {
			p.enter(at[0], at[1]-6, -6.2).line(at[0], at[1]+6, -6.2).up()
		}
	}
	r := sweep(t, p, flat(6), plate(100, 100, 6), 0.25)
	pieces(t, r, 2)
	q := r.Pieces[1]
	if q.Hung.Move() >= contour || len(q.Webs) != 4 || len(r.Hanging) != 0 {
		t.Fatalf("hung %v on %d webs; %d hang at the end", q.Hung, len(q.Webs), len(r.Hanging))
	}
	last := len(p.moves) - 2
	freedBy(t, r, 2, last)
	gone := 0
	for _, w := range q.Webs {
		if w.Gone <= q.Freed+0.5 && w.Begin <= w.Gone && w.Begin.Move() >= contour {
			gone++
		}
		near(t, "thickness", w.ThicknessMM, 1.5, 1e-4)
	}
	if gone != 4 {
		t.Errorf("%d of 4 tabs were cut in time: %+v", gone, q.Webs)
	}
}

// A triangular tab: the tool climbs to 2 mm above the bottom and goes down again at once, over 12 mm. The smallest section
// runs along the middle line of the kerf, where a square end cuts the slopes back most.
func TestATriangularTabHasTheSectionOfItsMiddleLine(t *testing.T) {
	p := program(1).enter(20, 31, -6.2).line(20, 20, -6.2).line(60, 20, -6.2).line(60, 50, -6.2).line(20, 50, -6.2).
		line(20, 44, -6.2).line(20, 38, -4).line(20, 32, -6.2).up()
	r := sweep(t, p, flat(3), plate(80, 70, 6), 0.25)
	if len(r.Hanging) != 1 {
		t.Fatalf("%d hang", len(r.Hanging))
	}
	w := r.Pieces[r.Hanging[0]].Webs
	if len(w) != 1 || w[0].Kind != Tab {
		t.Fatalf("%+v", w)
	}
	// The floor at y is the least of the tool heights within 1.5 mm of y: the triangle of the path, 12 mm long and 2.2 mm
	// high (0.2 of it below the bottom), eroded by 1.5 mm on both sides, so less high by 1.5 x 2.2/6.
	slope := 2.2 / 6
	high := 2 - 1.5*slope
	half := high / slope
	near(t, "section", w[0].SectionMM2, high*half, 0.05*high*half)
}

// A skin whose corners are cut through afterwards leaves four tabs: to the end those are what holds the piece.
func TestASkinThatBecomesTabsIsToldAsTabs(t *testing.T) {
	p := program(1).enter(20, 20, -4.5).line(60, 20, -4.5).line(60, 60, -4.5).line(20, 60, -4.5).line(20, 20, -4.5).
		line(20, 20, -6.2).line(34, 20, -6.2).rapid(34, 20, -4.5).line(46, 20, -4.5).line(46, 20, -6.2).
		line(60, 20, -6.2).line(60, 34, -6.2).rapid(60, 34, -4.5).line(60, 46, -4.5).line(60, 46, -6.2).
		line(60, 60, -6.2).line(46, 60, -6.2).rapid(46, 60, -4.5).line(34, 60, -4.5).line(34, 60, -6.2).
		line(20, 60, -6.2).line(20, 46, -6.2).rapid(20, 46, -4.5).line(20, 34, -4.5).line(20, 34, -6.2).line(20, 20, -6.2).up()
	r := sweep(t, p, flat(6), plate(80, 80, 6), 0.25)
	if len(r.Hanging) != 1 {
		t.Fatalf("%d hang", len(r.Hanging))
	}
	q := r.Pieces[r.Hanging[0]]
	sum := 0.0
	for _, w := range q.Webs {
		sum += w.SectionMM2
		if w.Kind != Tab || w.Gone != Never {
			t.Errorf("%+v", w)
		}
	}
	// Four tabs of 12 - 6 mm, 1.5 mm high.
	if len(q.Webs) != 4 {
		t.Errorf("%d webs", len(q.Webs))
	}
	near(t, "section", sum, 36, 1.5*4*0.25*0.7)
	if q.Hung.Move() != 6 {
		t.Errorf("hung by move %d, want 6", q.Hung.Move())
	}
}
