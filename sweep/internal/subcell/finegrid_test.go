package subcell

import (
	"math/rand"
	"reflect"
	"testing"

	"github.com/paulmach/orb"

	"staydown/parse"
	"staydown/sweep/internal/pieces"
	"staydown/sweep/internal/plan"
	"staydown/sweep/internal/raster"
	"staydown/sweep/internal/removal"
	"staydown/sweep/internal/shape"
	"staydown/sweep/internal/testprog"
)

// placesOf runs a program up to where the places of splits and necks are known, for tests.
func placesOf(t *testing.T, p *testprog.Program, tools map[int]shape.Tool, stock raster.Stock, cell float64) (*Bridges,
	[]split) {
	t.Helper()
	s, err := plan.Prepare(parse.NewMoves(p.Moves...), tools, stock, plan.Options{CellMM: cell, Jobs: 1})
	if err != nil {
		t.Fatal(err)
	}
	c := raster.NewCells(s.Grid, stock, raster.NewClock(s.Moves, cell/raster.TicksPerCell))
	removal.Run(s, c)
	c.ListTiles()
	near := plan.NewMoveIndex(s)
	New(s, c, near).OpenGaps()
	f := pieces.NewMergeTree(c, 1)
	f.Rebuild(1, nil)
	b := New(s, c, near)
	b.f, b.held, b.seen, b.shift = f, map[uint32]raster.Tick{}, map[uint32]bool{}, map[uint32]raster.Tick{}
	todo, _ := b.newPlaces()
	return b, todo
}

// What a pane shows for the moments round the raster's, if it says that this is all, is what it shows for all time.
func TestAPaneAskedForLessShowsTheSame(t *testing.T) {
	short, all := 0, 0
	for seed := range 12 {
		rnd := rand.New(rand.NewSource(int64(seed)))
		p := testprog.New(1)
		for range 2 + rnd.Intn(4) {
			p.Enter(60*rnd.Float64(), 50*rnd.Float64(), -6.2)
			for range 3 + rnd.Intn(9) {
				z := -6.2
				if rnd.Intn(4) == 0 {
					z = -5
				}
				p.Line(60*rnd.Float64(), 50*rnd.Float64(), z)
			}
			p.Up()
		}
		stock := testprog.Plate(60, 50, 6)
		if seed%3 == 0 {
			stock = testprog.Plate(31, 50, 6)
			stock.Blanks = append(stock.Blanks, raster.Blank{Outline: orb.Polygon{{{31, 0}, {60, 0}, {60, 50}, {31, 50},
				{31, 0}}}, TopMM: 0})
		}
		b, todo := placesOf(t, p, testprog.EndMill(3), stock, 0.5)
		var tools workspace
		for i := range todo {
			place := &todo[i]
			cx, cy := b.c.WhereIs(place.cell)
			marks := b.marks(place, cx, cy, firstWindow)
			if marks == nil {
				continue
			}
			all++
			pane := b.windowAt(cx, cy, firstWindow, marks, raster.FirstTick, place.was)
			clear(b.held)
			for range rnd.Intn(3) * 20 {
				x, y := pane.x0+rnd.Intn(pane.x1-pane.x0+1), pane.y0+rnd.Intn(pane.y1-pane.y0+1)
				if tile, k := b.c.At(x, y); tile != nil && tile.Cut[k] >= raster.FirstTick &&
					tile.Cut[k] != raster.TickNever {
					b.held[tile.ID(k)] = tile.Cut[k] + raster.Tick(rnd.Intn(100))
				}
			}
			want, ok := b.linksIn(pane, pane.always(), &tools)
			if !ok {
				t.Fatalf("seed %d, place %d: all time does not tell all", seed, i)
			}
			for _, ticks := range []raster.Tick{2, soonTicks, 100} {
				asked := raster.Interval{From: max(place.was, ticks) - ticks,
					To: min(place.was, raster.TickNever-ticks) + ticks}
				got, ok := b.linksIn(pane, asked, &tools)
				if !ok {
					continue
				}
				short++
				if !reflect.DeepEqual(got, want) {
					t.Errorf("seed %d, place %d, %d ticks: %+v, want %+v", seed, i, ticks, got, want)
				}
			}
		}
	}
	if all < 100 || short < 70 {
		t.Errorf("%d places, %d panes told all from less", all, short)
	}
}
