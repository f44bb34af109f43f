package sweep

import (
	"math/rand"
	"reflect"
	"testing"

	"github.com/paulmach/orb"

	"staydown/parse"
)

// placesOf runs a program up to where the places of splits and necks are known, for tests.
func placesOf(t *testing.T, p *prog, tools map[int]Tool, stock Stock, cell float64) (*bridges, []split) {
	t.Helper()
	s, err := prepare(movesOf(p.moves), tools, stock, options{CellMM: cell, Jobs: 1})
	if err != nil {
		t.Fatal(err)
	}
	r, err := Run(movesOf(p.moves), tools, stock, Options{CellMM: cell, Jobs: 1})
	if err != nil {
		t.Fatal(err)
	}
	c := r.cells
	f := newForest(c, 1)
	f.putBack(1, nil)
	b := newBridges(s, c, newMoveIndex(s))
	b.f, b.hold, b.done, b.shift = f, map[uint32]tick{}, map[uint32]bool{}, map[uint32]tick{}
	todo, _ := b.newPlaces()
	return b, todo
}

// What a pane shows for the moments round the raster's, if it says that this is all, is what it shows for all time.
func TestAPaneAskedForLessShowsTheSame(t *testing.T) {
	short, all := 0, 0
	for seed := range 12 {
		rnd := rand.New(rand.NewSource(int64(seed)))
		p := program(1)
		for range 2 + rnd.Intn(4) {
			p.enter(60*rnd.Float64(), 50*rnd.Float64(), -6.2)
			for range 3 + rnd.Intn(9) {
				z := -6.2
				if rnd.Intn(4) == 0 {
					z = -5
				}
				p.line(60*rnd.Float64(), 50*rnd.Float64(), z)
			}
			p.up()
		}
		stock := plate(60, 50, 6)
		if seed%3 == 0 {
			stock = plate(31, 50, 6)
			stock.Blanks = append(stock.Blanks, Blank{Outline: orb.Polygon{{{31, 0}, {60, 0}, {60, 50}, {31, 50},
				{31, 0}}}, TopMM: 0})
		}
		b, todo := placesOf(t, p, flat(3), stock, 0.5)
		var tools bench
		for i := range todo {
			place := &todo[i]
			cx, cy := b.c.whereIs(place.cell)
			marks := b.marks(place, cx, cy, firstWindow)
			if marks == nil {
				continue
			}
			all++
			pane := b.pane(cx, cy, firstWindow, marks, firstTick, place.was)
			clear(b.hold)
			for range rnd.Intn(3) * 20 {
				x, y := pane.x0+rnd.Intn(pane.x1-pane.x0+1), pane.y0+rnd.Intn(pane.y1-pane.y0+1)
				if tile, k := b.c.at(x, y); tile != nil && tile.cut[k] >= firstTick && tile.cut[k] != tickNever {
					b.hold[tile.id(k)] = tile.cut[k] + tick(rnd.Intn(100))
				}
			}
			want, ok := b.through(pane, pane.always(), &tools)
			if !ok {
				t.Fatalf("seed %d, place %d: all time does not tell all", seed, i)
			}
			for _, ticks := range []tick{2, soonTicks, 100} {
				asked := span{max(place.was, ticks) - ticks, min(place.was, tickNever-ticks) + ticks}
				got, ok := b.through(pane, asked, &tools)
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

// The index finds the moves whose boxes meet another, in their order.
func TestMoveIndexFindsAllMovesNear(t *testing.T) {
	rnd := rand.New(rand.NewSource(3))
	p := program(1)
	for range 9000 {
		p.line(300*rnd.Float64(), 300*rnd.Float64(), 2-8*rnd.Float64())
		if rnd.Intn(5) == 0 {
			p.arc(p.at.X+3, p.at.Y, rnd.Float64(), p.at.Z)
		}
	}
	s, err := prepare(movesOf(p.moves), flat(6), plate(300, 300, 6), options{CellMM: 1})
	if err != nil {
		t.Fatal(err)
	}
	ix := newMoveIndex(s)
	found := 0
	for range 200 {
		at := orb.Point{300 * rnd.Float64(), 300 * rnd.Float64()}
		box := orb.Bound{Min: at, Max: at}.Pad(20 * rnd.Float64())
		var got, want []int
		ix.each(box, func(i int, _ *parse.Move) { got = append(got, i) })
		for i, m := range s.moves.All() {
			if b := s.reachOf(&m); b.Intersects(box) {
				want = append(want, i)
			}
		}
		if !reflect.DeepEqual(got, want) {
			t.Fatalf("%v: %d moves, want %d", box, len(got), len(want))
		}
		found += len(want)
	}
	if found < 1000 {
		t.Errorf("only %d moves found", found)
	}
}
