package airflow

import (
	"math"
	"runtime"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"staydown/hold/job"
	"staydown/sweep"
)

// tally is what one kind of cells covers of an air cell, counted cell by cell.
type tally struct {
	area, sumX, sumY              int32
	eastWest, northSouth, corners int32
}

type tallyKey struct {
	cell, label int32
	support     support
}

// countedCells is a slow, obvious count of what lies on the table before the program starts (at < 0) or after it has
// ended, by air cells of m by m cells, with a groove wherever a coordinate lies in one.
func countedCells(s *sheet, j *job.Job, m int, at sweep.Progress) (map[tallyKey]tally, []int32) {
	nx, ny := s.grid.NX, s.grid.NY
	across, up := (nx+m-1)/m, (ny+m-1)/m
	stock := s.stock.Blanks[0].Outline.Bound()
	middle := func(ix, iy int) (float64, float64) {
		return s.grid.OriginX + (float64(ix)+0.5)*s.grid.CellMM, s.grid.OriginY + (float64(iy)+0.5)*s.grid.CellMM
	}
	inside := func(ix, iy int) bool {
		x, y := middle(ix, iy)
		return x > stock.Min[0] && x < stock.Max[0] && y > stock.Min[1] && y < stock.Max[1]
	}
	covered := func(ix, iy int) bool {
		if ix < 0 || iy < 0 || ix >= nx || iy >= ny {
			return false
		}
		i := iy*nx + ix
		return s.label[i] > 0 && s.cut[i] > at
	}
	below := func(ix, iy int) support {
		x, y := middle(ix, iy)
		switch g := j.Zones[0].Groove; {
		case !inside(ix, iy):
			return noSupport
		case g == nil || blurred(*g, j.Layer),
			math.Abs(x-(math.Floor(x/g.PitchMM)+0.5)*g.PitchMM) <= g.WidthMM/2,
			math.Abs(y-(math.Floor(y/g.PitchMM)+0.5)*g.PitchMM) <= g.WidthMM/2:
			return breathing
		}
		return land
	}
	counts := map[tallyKey]tally{}
	contact := make([]int32, 2*across*up)
	for iy := range ny {
		for ix := range nx {
			if !covered(ix, iy) {
				continue
			}
			cell := iy/m*across + ix/m
			key := tallyKey{int32(cell), s.label[iy*nx+ix], below(ix, iy)}
			c := counts[key]
			c.area, c.sumX, c.sumY = c.area+1, c.sumX+int32(ix%m), c.sumY+int32(iy%m)
			for _, by := range [8][2]int{{1, 0}, {-1, 0}, {0, 1}, {0, -1}, {1, 1}, {1, -1}, {-1, 1}, {-1, -1}} {
				switch {
				case !key.support.onLayer() || covered(ix+by[0], iy+by[1]):
				case by[1] == 0:
					c.eastWest++
				case by[0] == 0:
					c.northSouth++
				default:
					c.corners++
				}
			}
			counts[key] = c
			if ix%m == m-1 && covered(ix+1, iy) && key.support.onLayer() && below(ix+1, iy).onLayer() {
				contact[2*cell]++
			}
			if iy%m == m-1 && covered(ix, iy+1) && key.support.onLayer() && below(ix, iy+1).onLayer() {
				contact[2*cell+1]++
			}
		}
	}
	return counts, contact
}

// What is gathered by runs of cells and in stripes is what a count cell by cell gives, before the program and after it.
func TestGatheredAsCountedCellByCell(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		const wide, high = 24, 18
		s := randomSheet(t, wide, high)
		for k := rapid.IntRange(0, 3).Draw(t, "labels"); k > 0; k-- {
			x := rapid.Float64Range(0, wide).Draw(t, "from")
			s.each(func(i int, cx, _ float64) {
				if s.label[i] > 0 && cx > x {
					s.label[i] = int32(k + 1)
				}
			})
		}
		j := randomTable(t, wide, high)
		j.Layer.Edge = job.OpenEdge
		m := rapid.IntRange(1, 7).Draw(t, "m")
		a, err := gather(s.source(), j, newRegion(s.grid, s.stock, j, 1), m)
		if err != nil {
			t.Fatal(err)
		}
		compare := func(when string, at sweep.Progress) {
			want, contact := countedCells(s, j, m, at)
			for i := range a.groups {
				g := &a.groups[i]
				key := tallyKey{g.cell, g.label, g.support}
				got := tally{g.area, g.sumX, g.sumY, g.eastWest, g.northSouth, g.corner}
				if got != want[key] {
					t.Fatalf("%s, %+v: gathered %+v, counted %+v", when, key, got, want[key])
				}
				delete(want, key)
			}
			if len(want) > 0 {
				t.Fatalf("%s: not gathered: %v", when, want)
			}
			for face, n := range contact {
				if int32(a.faceWidth[face]) != n {
					t.Fatalf("%s, face %d: gathered %d, counted %d", when, face, a.faceWidth[face], n)
				}
			}
		}
		compare("before", start)
		for i := range a.events {
			a.groups[a.events[i].group].apply(&a.events[i])
		}
		for _, p := range a.closures {
			a.faceWidth[p.face] -= uint16(p.n)
		}
		compare("after", sweep.Never/2)
	})
}

func TestSameBitsOnAnyNumberOfProcessors(t *testing.T) {
	n := newNest(64, 32, 0.5, 30, 4)
	run := func(processors int) ([]Leak, []Patch) {
		defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(processors))
		m := mustModel(t, n.sheet, Options{}, func(j *testJob) { j.Layer.ThicknessMM = 6 })
		var leaks []Leak
		var patches []Patch
		for p := 0; p <= n.moves; p++ {
			leaks = append(leaks, advance(t, m, sweep.Progress(p)))
			patches = append(patches, m.Patches(int32(1+p%n.parts))...)
		}
		return leaks, patches
	}
	leaks, patches := run(1)
	l, p := run(5)
	if !slices.Equal(l, leaks) || !slices.Equal(p, patches) {
		t.Error("five processors: not the same as on one")
	}
}
