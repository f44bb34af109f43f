package pieces

import (
	"cmp"
	"fmt"
	"math"
	"math/rand"
	"slices"
	"testing"

	"github.com/paulmach/orb"

	"staydown/parse"
	"staydown/sweep/internal/plan"
	"staydown/sweep/internal/raster"
	"staydown/sweep/internal/removal"
	"staydown/sweep/internal/testprog"
)

// oneByOne puts the cells of a store that are cut back one by one and tells where grown sets come together: the tick
// and the sizes. It is the plain way to the same meetings, and slow.
func oneByOne(g raster.Grid, f *MergeTree) (meets []string) {
	c := f.c
	up, size := make([]int, g.NX*g.NY), make([]int, g.NX*g.NY)
	find := func(i int) int {
		for up[i] != i {
			up[i] = up[up[i]]
			i = up[i]
		}
		return i
	}
	place := func(n int) (i, k int) {
		x, y := n%g.NX, n/g.NX
		return (y>>raster.TileBits)*c.TX + x>>raster.TileBits, (y&raster.TileMask)<<raster.TileBits | x&raster.TileMask
	}
	type event struct {
		at  raster.Tick
		low uint32
		n   int
	}
	var events []event
	for n := range up {
		up[n] = -1
		x, y := n%g.NX, n/g.NX
		if at := c.CutAt(x, y); at >= raster.FirstTick {
			events = append(events, event{at, lowOf(f, at, x, y), n})
		}
	}
	slices.SortFunc(events, func(a, b event) int {
		return -cmp.Or(cmp.Compare(a.at, b.at), cmp.Compare(a.low, b.low), cmp.Compare(b.n, a.n))
	})
	for _, e := range events {
		up[e.n], size[e.n] = e.n, 1
		var roots, grown []int
		blank := c.BlankOf(place(e.n))
		for dir, step := range [4]int{1, g.NX, -1, -g.NX} {
			if dir == 0 && e.n%g.NX == g.NX-1 || dir == 2 && e.n%g.NX == 0 || e.n+step < 0 || e.n+step >= len(up) ||
				up[e.n+step] < 0 {
				continue
			}
			if c.BlankOf(place(e.n+step)) != blank {
				continue
			}
			if root := find(e.n + step); !slices.Contains(roots, root) {
				roots = append(roots, root)
				if size[root] >= minFragmentCells {
					grown = append(grown, size[root])
				}
			}
		}
		if len(grown) > 1 && e.at < raster.TickNever {
			slices.Sort(grown)
			meets = append(meets, fmt.Sprint(e.at, grown))
		}
		for _, root := range roots {
			up[root] = e.n
			size[e.n] += size[root]
		}
	}
	return meets
}

// lowOf parts the cells of one moment: by their distance from a tool that goes straight down, to a ten-thousandth, else
// by their place in memory.
func lowOf(f *MergeTree, at raster.Tick, x, y int) uint32 {
	t, k := f.c.At(x, y)
	if t == nil {
		return 0
	}
	if f.Plunges.maybe(at) {
		if far, ok := f.Plunges.DistanceOf(at, t.ID(k)); ok {
			return math.Float32bits(float32(far))&^(raster.TileArea-1) | uint32(k)
		}
	}
	return t.ID(k)
}

// random cuts a plate of one blank or two along random lines. Many cells go in one moment; in some moments, as if a
// tool stood there, those next to a place go first.
func random(t *testing.T, seed int) (raster.Grid, *MergeTree) {
	rnd := rand.New(rand.NewSource(int64(seed)))
	p := testprog.New(1)
	for range 2 + rnd.Intn(5) {
		p.Enter(rnd.Float64()*60, rnd.Float64()*50, -6.2)
		for range 2 + rnd.Intn(9) {
			p.Line(rnd.Float64()*60, rnd.Float64()*50, -6.2)
		}
		p.Up()
	}
	stock := testprog.Plate(60, 50, 6)
	if seed%4 == 3 {
		stock = testprog.Plate(33, 50, 6)
		stock.Blanks = append(stock.Blanks, raster.Blank{Outline: orb.Polygon{{{33, 0}, {60, 0}, {60, 50}, {33, 45},
			{33, 0}}},
			TopMM: -1})
	}
	s, err := plan.Prepare(parse.NewMoves(p.Moves...), testprog.EndMill(3), stock, plan.Options{CellMM: 0.5})
	if err != nil {
		t.Fatal(err)
	}
	c := raster.NewCells(s.Grid, stock, raster.NewClock(s.Moves, 0.5/raster.TicksPerCell))
	removal.Run(s, c)
	c.ListTiles()
	f := &MergeTree{c: c}
	for _, tile := range c.List {
		for k, at := range &tile.Cut {
			if seed%2 == 1 && at >= raster.FirstTick && at != raster.TickNever {
				tile.Cut[k] = at - (at-raster.FirstTick)%raster.Tick(1+seed%50)
			}
		}
	}
	if seed%3 == 2 {
		last := c.Clock.First[len(p.Moves)]
		for range 5 {
			from := raster.FirstTick + raster.Tick(rnd.Intn(int(last)))
			f.Plunges.Add(from, from+100)
		}
		f.Plunges.DistanceOf = func(at raster.Tick, id uint32) (float64, bool) {
			x, y := c.WhereIs(id)
			return math.Hypot(float64(x)-60, float64(y)-50), at%3 > 0
		}
	}
	return s.Grid, f
}

// The merge tree gives the same splits, at the same moments and with the same sizes, as the plain twin.
func TestMergesAreThoseOfThePlainTwin(t *testing.T) {
	all := 0
	for seed := range 24 {
		g, f := random(t, seed)
		want := oneByOne(g, f)
		f.remaining(1 + seed%3)
		f.Rebuild(1+seed%3, nil)
		var got []string
		for _, m := range f.Merges {
			var sizes []int
			for _, kid := range m.Parts {
				sizes = append(sizes, int(f.nodes[kid].size))
			}
			slices.Sort(sizes)
			got = append(got, fmt.Sprint(m.At, sizes))
		}
		if !slices.Equal(got, want) {
			t.Errorf("seed %d: %d meetings, want %d:\n%v\n%v", seed, len(got), len(want), got, want)
		}
		all += len(want)
	}
	if all < 120 {
		t.Errorf("only %d meetings in all", all)
	}
}
