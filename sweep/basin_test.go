package sweep

import (
	"fmt"
	"math/rand"
	"slices"
	"testing"
)

// oneByOne puts the cells of a record that are cut back one by one and tells where grown sets come together: the tick and the sizes.
// It is the plain way to the same meetings, and slow.
func oneByOne(r *Record) (meets []string) {
	c, g := &r.cells, r.Grid
	up, size := make([]int, g.NX*g.NY), make([]int, g.NX*g.NY)
	find := func(i int) int {
		for up[i] != i {
			up[i] = up[up[i]]
			i = up[i]
		}
		return i
	}
	type event struct {
		at order
		n  int
	}
	var events []event
	f := &forest{c: c, level: cutLevel}
	for n := range up {
		up[n] = -1
		x, y := n%g.NX, n/g.NX
		if at := c.cutTick(x, y); at >= firstTick {
			events = append(events, event{f.orderOf((y>>tileBits)*c.tx+x>>tileBits, (y&tileMask)<<tileBits|x&tileMask), n})
		}
	}
	slices.SortFunc(events, func(a, b event) int {
		if a.at > b.at || a.at == b.at && a.n < b.n {
			return -1
		}
		return 1
	})
	for _, e := range events {
		up[e.n], size[e.n] = e.n, 1
		var roots, grown []int
		for dir, step := range [4]int{1, g.NX, -1, -g.NX} {
			if dir == 0 && e.n%g.NX == g.NX-1 || dir == 2 && e.n%g.NX == 0 || e.n+step < 0 || e.n+step >= len(up) || up[e.n+step] < 0 {
				continue
			}
			if root := find(e.n + step); !slices.Contains(roots, root) {
				roots = append(roots, root)
				if size[root] >= crumbCells {
					grown = append(grown, size[root])
				}
			}
		}
		if len(grown) > 1 && e.at < orderNever {
			slices.Sort(grown)
			meets = append(meets, fmt.Sprint(e.at.tick(), grown))
		}
		for _, root := range roots {
			up[root] = e.n
			size[e.n] += size[root]
		}
	}
	return meets
}

// Basins and their passes give the same splits, at the same moments and with the same sizes, as cells that are put back one by one.
func TestBasinsMeetAsCellsDo(t *testing.T) {
	all := 0
	for seed := range 40 {
		rnd := rand.New(rand.NewSource(int64(seed)))
		p := program(1)
		for range 2 + rnd.Intn(5) {
			p.enter(rnd.Float64()*60, rnd.Float64()*50, -6.2)
			for range 2 + rnd.Intn(9) {
				p.line(rnd.Float64()*60, rnd.Float64()*50, -6.2)
			}
			p.up()
		}
		r := sweep(t, p, flat(3), plate(60, 50, 6), 0.5)
		want := oneByOne(r)
		f := &forest{c: &r.cells, level: cutLevel}
		for i, tile := range r.cells.tiles {
			if tile != nil {
				f.tileOf = append(f.tileOf, int32(i))
			}
		}
		f.remaining(1 + seed%3)
		f.putBack(1+seed%3, nil)
		var got []string
		for _, m := range f.meets {
			var sizes []int
			for _, kid := range m.kids {
				sizes = append(sizes, int(f.nodes[kid].size))
			}
			slices.Sort(sizes)
			got = append(got, fmt.Sprint(m.at, sizes))
		}
		if !slices.Equal(got, want) {
			t.Errorf("seed %d: %d meetings, want %d:\n%v\n%v", seed, len(got), len(want), got, want)
		}
		all += len(want)
	}
	if all < 200 {
		t.Errorf("only %d meetings in all", all)
	}
}
