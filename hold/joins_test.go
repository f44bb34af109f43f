package hold

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"staydown/hold/result"
	"staydown/internal/testrun"
	"staydown/sweep"
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

// middle is that of the contour and of its plate, mm.
func (c contour) middle() (x, y float64) { return 60, math.Max(60, c.h/2+20) }

func (c contour) program() string {
	const r = 3.0
	var b strings.Builder
	b.WriteString("G21 G90 G17 G94\nT1 M6\nS18000 M3\n")
	x, y := c.w/2+r, c.h/2+r
	corner := [4][2]float64{{-x, -y}, {-x, y}, {x, y}, {x, -y}}
	sin, cos := math.Sincos(c.turnRad)
	midX, midY := c.middle()
	at := func(side int, d float64) string {
		p, q := corner[side], corner[(side+1)%4]
		long := math.Hypot(q[0]-p[0], q[1]-p[1])
		u, v := p[0]+(q[0]-p[0])*d/long, p[1]+(q[1]-p[1])*d/long
		return fmt.Sprintf("X%.5f Y%.5f", midX+u*cos-v*sin, midY+u*sin+v*cos)
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
// joinCellMM is the side of the cells that most programs with joins run on.
var joinCellMM = 0.5 * float64(testrun.Draws(2, 1))

func (c contour) part(t testing.TB, p plate, cell float64) result.Piece {
	t.Helper()
	q, _ := c.analysed(t, p, cell)
	return q
}

func (c contour) analysed(t testing.TB, p plate, cell float64) (result.Piece, *Analysis) {
	t.Helper()
	p.thickMM, p.anchored = c.thickMM, true // what is asked is of the part, and the sheet about it is small
	x, y := c.middle()
	a := road(t, c.program(), p.sized(2*x, 2*y).on(cell))
	for _, q := range a.Result.Pieces {
		if q.ID > 1 && math.Abs(q.Centroid[0]-x) < 1 && math.Abs(q.Centroid[1]-y) < 1 {
			return q, a
		}
	}
	return result.Piece{Least: result.Least{Margin: math.Inf(1)}}, a
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
	for _, wide := range []float64{0.001, 0.01, 0.05, 0.1, 0.2, 0.45, 0.5, 0.8, 1.5, 5} {
		q := c.bridged(wide, 1).part(t, aPlate(), 0.5)
		t.Logf("two tabs %g x 1 mm: piece %d web %.3f mm2 %+v", wide, q.ID, q.WebMM2, q.Least)
		if q.ID == 0 {
			t.Errorf("two tabs %g x 1 mm: no piece", wide)
		}
		if rises(last, q.Least.Margin) && wide > 0.01 {
			t.Errorf("margin %.4f on two tabs %g mm wide, %.4f on narrower ones", q.Least.Margin, wide, last)
		}
		// Cells of the rim beside a tab do not count as held; on cells half as wide it is 0.4 %.
		if wide <= 0.01 && math.Abs(q.Least.Margin/free-1) > 0.02 {
			t.Errorf("margin %.4f on tabs of nothing, %.4f of the freed part", q.Least.Margin, free)
		}
		last = q.Least.Margin
	}
}

func TestBridgesOfAnyHeightAreSeen(t *testing.T) {
	c, p := thickBoard()
	free := c.part(t, p, joinCellMM).Least.Margin
	last := free
	for _, high := range []float64{0.3, 2.9, 3.1, 16.5, 18} {
		q := c.bridged(1, high).part(t, p, joinCellMM)
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

// A bridge as high as the sheet bends sideways long before it shears: until its bending alone carries several times the
// load, the part is told as a piece, and its margin rises with the width without a jump.
func TestFullHeightBridgesBendSideways(t *testing.T) {
	c := smallPart()
	c.feed, c.passes = 400, []float64{6.2}
	last := c.part(t, aPlate(), joinCellMM).Least.Margin
	for _, wide := range []float64{0.1, 0.3, 0.6, 0.8, 1} {
		q := c.bridged(wide, c.thickMM).part(t, aPlate(), joinCellMM)
		t.Logf("two bridges %g x %g mm: piece %d margin %.4f", wide, c.thickMM, q.ID, q.Least.Margin)
		if q.ID == 0 && last < 5 {
			t.Errorf("two bridges %g mm wide: no piece, margin %.3f on narrower ones", wide, last)
		}
		if rises(last, q.Least.Margin) {
			t.Errorf("margin %.4f on two bridges %g mm wide, %.4f on narrower ones", q.Least.Margin, wide, last)
		}
		last = q.Least.Margin
	}
}

func TestSplittingTheClosingBlockChangesNothing(t *testing.T) {
	for _, c := range []contour{
		{w: 60, h: 120, thickMM: 6, feed: 1200, startMM: 60, passes: []float64{3, 6.2}},
		{w: 60, h: 120, thickMM: 6, feed: 2400, startMM: 60, passes: []float64{5.4, 6.2}},
		{w: 60, h: 120, thickMM: 6, feed: 2400, passes: []float64{5.8, 6.2}},
	} {
		one := c.part(t, aPlate(), 0.5)
		for _, splits := range [][]float64{{10}, {100, 40, 10, 3, 1}} {
			d := c
			d.splits = splits
			q := d.part(t, aPlate(), 0.5)
			t.Logf("split %v: margin %.5f, one block %.5f", splits, q.Least.Margin, one.Least.Margin)
			if !(math.Abs(q.Least.Margin/one.Least.Margin-1) <= 0.001) {
				t.Errorf("split %v: margin %.5f, one block %.5f", splits, q.Least.Margin, one.Least.Margin)
			}
		}
	}
}

// A part comes loose when the bridge ahead of the tool is short, not when the closing block begins: 1 mm of a 6 mm
// sheet carries 1 kN in shear, and bent as a beam 6 mm high of any length up to 2R more than 0.3 kN (yield 205 N/mm2).
func TestAPartComesLooseNearTheEndOfTheClosingBlock(t *testing.T) {
	const mostMM = 4
	for _, splits := range [][]float64{nil, {20, 7, 2}} {
		c := contour{w: 24, h: 24, thickMM: 6, feed: 1500, startMM: 24, passes: []float64{6.2}, splits: splits}
		q, a := c.analysed(t, aPlate(), joinCellMM)
		k := slices.IndexFunc(a.Result.Findings, func(f result.Finding) bool {
			return f.Piece == q.ID && f.Level == result.LevelError
		})
		if k < 0 {
			t.Fatalf("the part does not come loose: margin %.2f", q.Least.Margin)
		}
		f := a.Result.Findings[k]
		if left := (q.FreedTimeS - f.TimeS) * c.feed / 60; !(left > 0 && left <= mostMM) {
			t.Errorf("splits %v: comes loose %.1f mm before the end of its cut, want at most %d", splits, left, mostMM)
		}
		for _, s := range a.Result.Timeline {
			if left := (q.FreedTimeS - s.TimeS) * c.feed / 60; s.LeastMargin < 1 && left > mostMM {
				t.Errorf("splits %v: the timeline has it loose %.1f mm before the end", splits, left)
			}
		}
	}
}

// lineOf is the first line of a program that begins with words.
func lineOf(t *testing.T, program, words string) int {
	t.Helper()
	for i, line := range strings.Split(program, "\n") {
		if strings.HasPrefix(line, words) {
			return i + 1
		}
	}
	t.Fatalf("no line begins with %q", words)
	return 0
}

// While the last pass goes round, the floor ahead of it carries beside the tabs: halfway 120 mm of it, 0.5 mm thick. So
// the part is held, and its least margin is where the last of the floor goes.
func TestTheFloorOfTheLastPassCarriesBesideTheTabs(t *testing.T) {
	c := contour{w: 60, h: 60, thickMM: 6, feed: 1500, passes: []float64{5.5, 6.2}}.bridged(6, 1.5)
	q, a := c.analysed(t, aPlate(), joinCellMM)
	program := strings.Split(c.program(), "\n")
	last := lineOf(t, c.program(), "G1 Z-6.2")
	corner, tabs := 0, 0 // the second corner of the last pass is behind its first tab
	for i := last; corner == 0; i++ {
		if strings.HasPrefix(program[i], "G1 Z-6.2") {
			tabs = i
		}
		if tabs > 0 && i > tabs+1 {
			corner = i + 1
		}
	}
	p := a.rec.Pieces[q.ID-1]
	for i, m := range a.prog.Moves.All() {
		// 57 mm2 of floor and both tabs there: ten times the peak load does not break them.
		if int(m.Line) == corner && p.OnNeckFrom() <= sweep.Progress(i+1) {
			t.Errorf("halfway the part hangs on a neck already: %+v", p.Sections[0])
		}
	}
	const tabsMM2 = 2 * 6 * 1.5
	first, end := p.Sections[0].AreaMM2, p.Sections[len(p.Sections)-1].AreaMM2
	if first < 1.5*tabsMM2 || math.Abs(end/tabsMM2-1) > 0.02 {
		t.Errorf("the neck begins with %.2f mm2 and ends with %.2f, want floor beside the tabs and %d at the end",
			first,
			end, int(tabsMM2))
	}
	if q.State != result.StateHeld || a.Result.Verdict != result.Held {
		t.Errorf("%v, verdict %v: %+v", q.State, a.Result.Verdict, a.Result.Findings)
	}
	if q.Least.Line <= corner {
		t.Errorf("least margin at line %d; the floor stands until line %d", q.Least.Line, corner)
	}
}

// A skin holds a part until a later pass takes it away, after another cut: the finding names the blocks of that pass,
// and none of those that leave the skin.
func TestASkinThatALaterPassRemoves(t *testing.T) {
	c := smallPart()
	c.passes = []float64{5.7, 6.2}
	whole := c.program()
	second := lineOf(t, whole, "G1 Z-6.2")
	lines := strings.Split(whole, "\n")
	other := []string{"G0 Z5", "X40 Y20", "G1 Z-3 F300", "X80 F1500", "G0 Z5", "X" + strings.TrimPrefix(strings.Fields(
		lines[3])[1], "X") + " " + strings.Fields(lines[3])[2]}
	program := strings.Join(slices.Concat(lines[:second-1], other, lines[second-1:]), "\n")
	removal := second + len(other)
	plate := aPlate().sized(120, 120)
	plate.anchored = true
	a := road(t, program, plate.on(joinCellMM))
	skinned := c
	skinned.passes = []float64{5.7}
	if q, b := skinned.analysed(t, aPlate(), joinCellMM); q.State != result.StateHeld ||
		b.Result.Verdict != result.Held {
		t.Errorf("on its skin: %v, verdict %v", q.State, b.Result.Verdict)
	}
	if a.Result.Verdict != result.Loose || len(a.Result.Pieces) != 2 {
		t.Fatalf("verdict %v, %d pieces", a.Result.Verdict, len(a.Result.Pieces))
	}
	q := a.Result.Pieces[1]
	if q.FreedLine < removal || q.Least.Line < removal {
		t.Errorf("freed at line %d, least margin at line %d; the skin goes from line %d on", q.FreedLine, q.Least.Line,
			removal)
	}
	errors := 0
	for _, f := range riskOf(a.Result, q.ID) {
		if f.Line < removal {
			t.Errorf("line %d named: %s; the skin goes from line %d on", f.Line, f.Message, removal)
		}
		if f.Level == result.LevelError && f.Line <= q.FreedLine && f.LastLine >= q.FreedLine {
			errors++
		}
	}
	if errors != 1 {
		t.Errorf("%d errors name line %d, which frees the part: %+v", errors, q.FreedLine, a.Result.Findings)
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
		margin[failure] = c.part(t, p, joinCellMM).Least.Margin
	}
	brittle, ductile := margin["failure = \"brittle\""], margin["failure = \"ductile\""]
	if margin[""] != brittle || !(ductile > 1.1*brittle) {
		t.Errorf("margins %v: ductile joins add to the hold, and without the key they are brittle", margin)
	}
}
