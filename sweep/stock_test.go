package sweep

import (
	"errors"
	"math"
	"strings"
	"testing"

	"github.com/paulmach/orb"

	"staydown/sweep/internal/testprog"
)

func disc(cx, cy, r float64, n int) orb.Ring {
	var out orb.Ring
	for i := 0; i <= n; i++ {
		sin, cos := math.Sincos(2 * math.Pi * float64(i%n) / float64(n))
		out = append(out, orb.Point{cx + r*cos, cy + r*sin})
	}
	return out
}

// Areas of plane figures, and a blank that has a hole from the start.
func TestStockOfAnyOutline(t *testing.T) {
	idle := testprog.New(1).Rapid(0, 0, 20)
	for _, c := range []struct {
		name string
		b    Blank
		area float64
	}{
		{"rectangle", Blank{Outline: orb.Polygon{{{0, 0}, {40, 0}, {40, 30}, {0, 30}, {0, 0}}}}, 1200},
		{"disc", Blank{Outline: orb.Polygon{disc(0, 0, 20, 720)}}, math.Pi * 400},
		{"triangle, clockwise, not closed", Blank{Outline: orb.Polygon{{{0, 0}, {0, 30}, {40, 0}}}}, 600},
		{"ring", Blank{Outline: orb.Polygon{disc(5, 5, 20, 720), disc(5, 5, 8, 720)}}, math.Pi * (400 - 64)},
	} {
		c.b.TopMM = 0
		r, err := Run(movesOf(idle.Moves), testprog.EndMill(6), Stock{BottomMM: -5, Blanks: []Blank{c.b}},
			Options{CellMM: 0.1})
		if err != nil {
			t.Fatal(c.name, err)
		}
		near(t, c.name, r.StockMM3, 5*c.area, 0.002*5*c.area)
		near(t, c.name+" piece", r.Pieces[0].AreaMM2, c.area, 0.002*c.area)
	}
}

// A cut-out that is there from the start takes part in freeing: two slots from it to the edge split the blank.
func TestACutOutJoinsTheCuts(t *testing.T) {
	s := Stock{BottomMM: -6, Blanks: []Blank{{Outline: orb.Polygon{{{0, 0}, {80, 0}, {80, 50}, {0, 50}, {0, 0}},
		{{30, 20}, {50, 20}, {50, 30}, {30, 30}, {30, 20}}}}}}
	p := testprog.New(1).Enter(40, -5, -6.2).Line(40, 18, -6.2).Up().Enter(40, 55, -6.2).Line(40, 32, -6.2).Up()
	r := sweep(t, p, testprog.EndMill(4), s, 0.25)
	wantPieces(t, r, 2)
	freedBy(t, r, 2, 8)
	// The front reaches the cut-out's edge, y = 30, when the center is at 32: at the very end, 23 mm.
	near(t, "moment", float64(r.Pieces[1].Freed), 9, 0.02)
	near(t, "area", r.Pieces[1].AreaMM2, (80*50-20*10-4*40)/2, 0.125*100)
}

// Several blanks: each keeps its own number, material of one never joins the other even where they touch.
func TestSeveralBlanks(t *testing.T) {
	box := func(x0, y0, x1, y1, top float64) Blank {
		return Blank{Outline: orb.Polygon{{{x0, y0}, {x1, y0}, {x1, y1}, {x0, y1}, {x0, y0}}}, TopMM: top}
	}
	s := Stock{BottomMM: 0, Blanks: []Blank{box(0, 0, 40, 40, 6), box(40, 0, 80, 40, 4), box(100, 0, 140, 40, 5)}}
	p := testprog.New(1).Enter(20, -5, -0.2).Line(20, 20, -0.2).Line(120, 20, -0.2).Line(120, 45, -0.2).Up()
	r := sweep(t, p, testprog.EndMill(6), s, 0.25)
	// The first blank loses its lower right corner, the second is cut across, the third loses its upper left corner.
	wantPieces(t, r, 6)
	for i, want := range []struct{ parent, move int }{{1, 4}, {2, 4}, {3, 5}} {
		q := r.Pieces[3+i]
		if q.Parent != want.parent || q.Freed.Move() != want.move {
			t.Errorf("piece %d: parent %d freed by %d, want %v", q.ID, q.Parent, q.Freed.Move(), want)
		}
	}
	near(t, "stock", r.StockMM3, 1600*(6+4+5), 1e-6)
	near(t, "corner", r.Pieces[3].FinalAreaMM2, 17*17, 0.125*34)
	near(t, "strip", r.Pieces[4].FinalAreaMM2, 40*17, 0.125*114)
	if c := r.CutAt(0, 0); c != 0 {
		t.Errorf("a place without stock was cut at %v", c)
	}
}

// Depth below the stock is kept inside and outside the blanks, for flat and pointed tools.
func TestDepthInTheLayer(t *testing.T) {
	for _, tl := range []Tool{{Shape: Flat, DiameterMM: 6}, {Shape: Vee, DiameterMM: 6, AngleRad: math.Pi / 2}} {
		p := testprog.New(1).Enter(-3, 20, -6.5).Line(20, 20, -6.5).Up()
		r := sweep(t, p, tool(tl), testprog.Plate(40, 40, 6), 0.25)
		for _, x := range []float64{-2.1, 10.1} {
			ix, iy := int((x-r.Grid.OriginX)/0.25), int((20-r.Grid.OriginY)/0.25)
			y := r.Grid.OriginY + (float64(iy)+0.5)*0.25
			want := 0.5
			if tl.Shape == Vee {
				want -= math.Abs(y - 20)
			}
			near(t, "depth", r.LayerDepthMM(ix, iy), want, 1e-4)
		}
	}
}

func TestCellIsChosenAndStated(t *testing.T) {
	p := testprog.New(1).Enter(20, 20, -3).Line(30, 20, -3).Up()
	r, err := Run(movesOf(p.Moves), testprog.EndMill(6), testprog.Plate(60, 60, 6), Options{})
	if err != nil {
		t.Fatal(err)
	}
	// A twelfth of 6 mm.
	if r.Grid.CellMM != 0.5 {
		t.Errorf("cell %g, want 0.5", r.Grid.CellMM)
	}
	said := strings.Join(r.Assumed, "\n")
	if !strings.Contains(said, "cell of 0.5 mm") || !strings.Contains(said, "3 mm high counts as a web") {
		t.Errorf("assumed: %q", said)
	}
	// With little memory the cell grows.
	r, err = Run(movesOf(p.Moves), testprog.EndMill(6), testprog.Plate(600, 600, 6), Options{MemoryBytes: 1400 << 10})
	if err != nil {
		t.Fatal(err)
	}
	if r.Grid.CellMM <= 0.5 || !strings.Contains(strings.Join(r.Assumed, "\n"), "would not fit") {
		t.Errorf("cell %g, assumed %q", r.Grid.CellMM, r.Assumed)
	}
}

func TestWhatCannotBeSwept(t *testing.T) {
	good := testprog.New(1).Enter(20, 20, -3).Line(30, 20, -3).Up()
	far := testprog.New(1).Enter(20, 20, -3).Line(1e9, 20, -3)
	nan := testprog.New(1).Enter(20, 20, -3).Line(math.NaN(), 20, -3)
	spin := testprog.New(1).Enter(20, 20, -3).Arc(10, 10, 1e9, -3)
	for _, c := range []struct {
		name  string
		p     *testprog.Program
		tools map[int]Tool
		stock Stock
		opt   Options
		line  int
		words string
	}{
		{"no blank", good, testprog.EndMill(6), Stock{}, Options{}, 0, "no blank"},
		{"no thickness", good, testprog.EndMill(6), testprog.Plate(50, 50, 0), Options{}, 0, "thick"},
		{"no corner", good, testprog.EndMill(6), Stock{BottomMM: -1, Blanks: []Blank{{}}}, Options{}, 0, "corners"},
		{"no tool", good, nil, testprog.Plate(50, 50, 6), Options{}, 3, "tool 1"},
		{"no diameter", good, testprog.EndMill(0), testprog.Plate(50, 50, 6), Options{}, 3, "diameter"},
		{"no angle", good, tool(Tool{Shape: Vee, DiameterMM: 3}), testprog.Plate(50, 50, 6), Options{}, 3, "angle"},
		{"wild corner", good, tool(Tool{Shape: Bull, DiameterMM: 3, CornerMM: 2}), testprog.Plate(50, 50, 6), Options{},
			3,
			"corner"},
		{"far away", far, testprog.EndMill(6), testprog.Plate(50, 50, 6), Options{}, 4, "coordinate"},
		{"not a number", nan, testprog.EndMill(6), testprog.Plate(50, 50, 6), Options{}, 4, "coordinate"},
		{"endless arc", spin, testprog.EndMill(6), testprog.Plate(50, 50, 6), Options{}, 4, "too long"},
		{"coarse cell", good, testprog.EndMill(6), testprog.Plate(50, 50, 6), Options{CellMM: 4}, 0, "too coarse"},
		{"no memory", good, testprog.EndMill(6), testprog.Plate(500, 500, 6),
			Options{CellMM: 0.05, MemoryBytes: 1 << 20}, 0, "MiB"},
		{"tiny cell", good, testprog.EndMill(6), testprog.Plate(50, 50, 6), Options{CellMM: 1e-9}, 0, "cell"},
		{"wild web", good, testprog.EndMill(6), testprog.Plate(50, 50, 6), Options{WebMM: -1}, 0, "web"},
	} {
		_, err := Run(movesOf(c.p.Moves), c.tools, c.stock, c.opt)
		var e *Error
		if !errors.As(err, &e) || e.Line != c.line || !strings.Contains(e.Error(), c.words) {
			t.Errorf("%s: %v, want line %d and %q", c.name, err, c.line, c.words)
		}
	}
}

// A program that cuts before it calls a tool is given the only one there is, and that is said.
func TestTheOnlyToolIsAssumed(t *testing.T) {
	p := testprog.New(0).Enter(20, 20, -3).Line(30, 20, -3).Up()
	r, err := Run(movesOf(p.Moves), testprog.EndMill(6), testprog.Plate(60, 60, 6), Options{CellMM: 0.5})
	if err != nil || r.RemovedMM3 == 0 || !strings.Contains(strings.Join(r.Assumed, "\n"), "tool 1") {
		t.Errorf("%v, assumed %q", err, r.Assumed)
	}
}

// Offcuts are told by size: the core of a small bored ring is a slug, the rest between two close cuts a sliver.
func TestOffcutsAreToldFromParts(t *testing.T) {
	p := testprog.New(1).Enter(30+5, 30, -6.2).Arc(30, 30, 2*math.Pi, -6.2).Up(). // core of diameter 4
		// 34 x 1.5
		Enter(10, 50, -6.2).Line(50, 50, -6.2).Line(50, 57.5, -6.2).Line(10, 57.5, -6.2).Line(10, 50, -6.2).Up()
	r := sweep(t, p, testprog.EndMill(6), testprog.Plate(80, 80, 6), 0.1)
	wantPieces(t, r, 3)
	if r.Pieces[1].Class != Slug || r.Pieces[2].Class != Sliver {
		t.Errorf("classes %d and %d, want a slug and a sliver", r.Pieces[1].Class, r.Pieces[2].Class)
	}
}

// A long strip between two cuts is a sliver when it is narrower than half the tool, here 3 mm, however large it is. Its
// width is twice its area over the length of its border.
func TestAStripIsASliverBelowHalfTheTool(t *testing.T) {
	for _, c := range []struct {
		wide float64
		want Class
	}{{2, Sliver}, {2.6, Sliver}, {3.6, Part}, {5, Part}} {
		p := testprog.New(1).Enter(10, 20, -6.2).Line(100, 20, -6.2).Line(100, 26+c.wide, -6.2).Line(10, 26+c.wide,
			-6.2).Line(10, 20, -6.2).Up()
		r := sweep(t, p, testprog.EndMill(6), testprog.Plate(110, 60, 6), 0.2)
		wantPieces(t, r, 2)
		if got := r.Pieces[1].Class; got != c.want {
			t.Errorf("strip of %g mm: class %d, want %d", c.wide, got, c.want)
		}
	}
}
