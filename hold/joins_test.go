package hold

import (
	"fmt"
	"math"
	"strings"
	"testing"
)

// gap is material left on a side of a contour: from, to along the side, mm from its first corner, with the height of
// the material. The cutter leaves it by rising, or, where the height is that of the sheet, by leaving the cut.
type gap struct {
	side             int
	middleMM, wideMM float64
	highMM           float64
}

// contour cuts a rectangle of w x h mm with a 6 mm cutter, its middle in that of the plate: passes at rising depths,
// the last one at full depth over the gaps. It begins and ends some way along the first side, which runs up; splits cut
// the last block in two that far before its end. The last pass may stop some way before its end. The whole program is
// turned about the middle.
type contour struct {
	w, h, thickMM float64
	feed          float64
	startMM       float64
	passes        []float64 // depths, the last one through
	gaps          []gap
	splits        []float64
	stopMM        float64
	turnRad       float64
}

// contourX and contourY are the middle of the contour and of the plate, mm.
const contourX, contourY = 200, 150

func (c contour) program() string {
	const r = 3.0
	var b strings.Builder
	b.WriteString("G21 G90 G17 G94\nT1 M6\nS18000 M3\n")
	x, y := c.w/2+r, c.h/2+r
	corner := [4][2]float64{{-x, -y}, {-x, y}, {x, y}, {x, -y}}
	sin, cos := math.Sincos(c.turnRad)
	at := func(side int, d float64) string {
		p, q := corner[side], corner[(side+1)%4]
		long := math.Hypot(q[0]-p[0], q[1]-p[1])
		u, v := p[0]+(q[0]-p[0])*d/long, p[1]+(q[1]-p[1])*d/long
		return fmt.Sprintf("X%.5f Y%.5f", contourX+u*cos-v*sin, contourY+u*sin+v*cos)
	}
	long := [4]float64{c.h + 2*r, c.w + 2*r, c.h + 2*r, c.w + 2*r}
	fmt.Fprintf(&b, "G0 %s Z5\n", at(0, c.startMM))
	for n, depth := range c.passes {
		fmt.Fprintf(&b, "G1 Z-%g F300\nF%g\n", depth, c.feed)
		for side := range 4 {
			for _, g := range c.gaps {
				top := c.thickMM - g.highMM
				if g.side != side || depth <= top || g.wideMM <= 0 || g.highMM <= 0 {
					continue
				}
				fmt.Fprintf(&b, "%s\n", at(side, g.middleMM-g.wideMM/2-r))
				if g.highMM >= c.thickMM {
					fmt.Fprintf(&b, "G0 Z5\n%s\nG1 Z-%g F300\n", at(side, g.middleMM+g.wideMM/2+r), depth)
				} else {
					fmt.Fprintf(&b, "G0 Z-%g\nG1 %s\nG1 Z-%g F300\n", top, at(side, g.middleMM+g.wideMM/2+r), depth)
				}
				fmt.Fprintf(&b, "F%g\n", c.feed)
			}
			end := long[side]
			if side == 3 && n == len(c.passes)-1 {
				end -= c.stopMM
			}
			fmt.Fprintf(&b, "%s\n", at(side, end))
		}
		for _, left := range c.splits {
			if n == len(c.passes)-1 {
				fmt.Fprintf(&b, "%s\n", at(0, c.startMM-left))
			}
		}
		if c.startMM > 0 {
			fmt.Fprintf(&b, "%s\n", at(0, c.startMM))
		}
	}
	b.WriteString("G0 Z5\nM30\n")
	return b.String()
}

// bridged are two gaps in the middle of the long sides.
func (c contour) bridged(wide, high float64) contour {
	c.gaps = []gap{{1, c.w/2 + 3, wide, high}, {3, c.w/2 + 3, wide, high}}
	return c
}

// part is the piece that the contour is about, with margin +Inf where none is told.
func (c contour) part(t testing.TB, p plate, cell float64) Piece {
	t.Helper()
	q, _ := c.analysed(t, p, cell)
	return q
}

func (c contour) analysed(t testing.TB, p plate, cell float64) (Piece, *Analysis) {
	t.Helper()
	p.thickMM = c.thickMM
	a := road(t, c.program(), p.toml()+fmt.Sprintf("[grid]\ncell = \"%g mm\"\n", cell))
	for _, q := range a.Result.Pieces {
		if q.ID > 1 && math.Abs(q.Centroid[0]-contourX) < 1 && math.Abs(q.Centroid[1]-contourY) < 1 {
			return q, a
		}
	}
	return Piece{Least: Least{Margin: math.Inf(1)}}, a
}

func smallPart() contour {
	return contour{w: 34, h: 26, thickMM: 6, feed: 1500, passes: []float64{5.5, 6.2}}
}

func thickBoard() (contour, plate) {
	p := aPlate()
	p.material, p.toolReach = "mdf", 40
	return contour{w: 60, h: 40, thickMM: 18, feed: 3000, passes: []float64{6, 12, 18.2}}, p
}

// rises tells that a margin is above another, beyond the bound of the cells.
func rises(b, a float64) bool { return b > a*1.02+1e-9 }

func TestTheMarginFallsToThatOfTheFreedPartAsTabsGetNarrower(t *testing.T) {
	c := smallPart()
	free := c.part(t, aPlate(), 0.5).Least.Margin
	if !(free < 1) {
		t.Fatalf("the part without tabs has margin %.3f, it should be loose", free)
	}
	last := free
	for _, wide := range []float64{0.001, 0.05, 0.1, 0.2, 0.3, 0.45, 0.5, 0.6, 0.8, 1, 1.5, 2, 3, 5} {
		q := c.bridged(wide, 1).part(t, aPlate(), 0.5)
		t.Logf("two tabs %g x 1 mm: piece %d web %.3f mm2 %+v", wide, q.ID, q.WebMM2, q.Least)
		if q.ID == 0 {
			t.Errorf("two tabs %g x 1 mm: no piece", wide)
		}
		if rises(last, q.Least.Margin) && wide > 0.05 {
			t.Errorf("margin %.4f on two tabs %g mm wide, %.4f on narrower ones", q.Least.Margin, wide, last)
		}
		// The vacuum under a part that hangs is known to a few cells at its rim.
		if wide <= 0.05 && math.Abs(q.Least.Margin/free-1) > 0.03 {
			t.Errorf("margin %.4f on tabs of nothing, %.4f of the freed part", q.Least.Margin, free)
		}
		last = q.Least.Margin
	}
}

func TestBridgesOfAnyHeightAreSeen(t *testing.T) {
	c, p := thickBoard()
	free := c.part(t, p, 0.5).Least.Margin
	last := free
	for _, high := range []float64{0.3, 0.8, 1.5, 2.5, 2.9, 3, 3.1, 4, 6, 9, 14, 16.5, 17.9, 18} {
		q := c.bridged(1, high).part(t, p, 0.5)
		t.Logf("two tabs 1 x %g mm: piece %d margin %.4f web %.3f mm2", high, q.ID, q.Least.Margin, q.WebMM2)
		if q.ID == 0 {
			t.Errorf("two tabs 1 x %g mm: no piece", high)
		}
		if rises(last, q.Least.Margin) {
			t.Errorf("margin %.4f on two tabs %g mm high, %.4f on lower ones", q.Least.Margin, high, last)
		}
		if q.WebMM2 < 0.98*2*high || q.WebMM2 > 1.02*2*high {
			t.Errorf("section %.3f mm2 on two tabs 1 x %g mm", q.WebMM2, high)
		}
		last = q.Least.Margin
	}
}

func TestSplittingTheClosingBlockChangesNothing(t *testing.T) {
	for _, c := range []contour{
		{w: 60, h: 240, thickMM: 6, feed: 1200, startMM: 120, passes: []float64{3, 6.2}},
		{w: 60, h: 240, thickMM: 6, feed: 2400, startMM: 120, passes: []float64{5.4, 6.2}},
		{w: 60, h: 240, thickMM: 6, feed: 2400, passes: []float64{5.8, 6.2}},
	} {
		one := c.part(t, aPlate(), 0.5)
		for _, splits := range [][]float64{{100}, {10}, {100, 40, 10, 3, 1}} {
			d := c
			d.splits = splits
			q := d.part(t, aPlate(), 0.5)
			t.Logf("split %v: margin %.5f, one block %.5f", splits, q.Least.Margin, one.Least.Margin)
			if math.Abs(q.Least.Margin/one.Least.Margin-1) > 0.001 {
				t.Errorf("split %v: margin %.5f, one block %.5f", splits, q.Least.Margin, one.Least.Margin)
			}
		}
	}
}

// Joins of a ductile material carry together with the hold, those of a brittle one instead of it where they are
// stronger.
func TestAnOwnMaterialIsDuctileWhereTheJobSaysSo(t *testing.T) {
	c := smallPart().bridged(2, 1)
	margin := map[string]float64{}
	for _, failure := range []string{"", "failure = \"brittle\"", "failure = \"ductile\""} {
		p := aPlate()
		p.material = "own"
		p.more = "[material.own]\nspecific_force = \"660 MPa\"\nexponent = 0\ndensity = \"2700 kg/m3\"\n" +
			"edge_force = \"15 N/mm\"\ntensile = \"290 MPa\"\nyield = \"205 MPa\"\n" + failure + "\n"
		margin[failure] = c.part(t, p, 0.5).Least.Margin
	}
	brittle, ductile := margin["failure = \"brittle\""], margin["failure = \"ductile\""]
	if margin[""] != brittle || !(ductile > 1.1*brittle) {
		t.Errorf("margins %v: ductile joins add to the hold, and without the key they are brittle", margin)
	}
}
