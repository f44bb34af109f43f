package gather_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"staydown/hold/airflow/internal/cells"
	"staydown/hold/airflow/internal/gather"
	"staydown/hold/airflow/internal/layer"
	"staydown/hold/airflow/internal/sheettest"
	"staydown/hold/airflow/internal/zones"
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
	support     cells.Support
}

// countedCells is a slow, obvious count of what lies on the table before the program starts (at < 0) or after it has
// ended, by air cells of m by m cells, with a groove wherever a coordinate lies in one.
func countedCells(s *sheettest.Sheet, j *job.Job, m int, at sweep.Progress) (map[tallyKey]tally, []int32) {
	nx, ny := s.Grid.NX, s.Grid.NY
	across, up := (nx+m-1)/m, (ny+m-1)/m
	stock := s.Stock.Blanks[0].Outline.Bound()
	middle := func(ix, iy int) (float64, float64) {
		return s.Grid.OriginX + (float64(ix)+0.5)*s.Grid.CellMM, s.Grid.OriginY + (float64(iy)+0.5)*s.Grid.CellMM
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
		return s.Label[i] > 0 && s.Cut[i] > at
	}
	below := func(ix, iy int) cells.Support {
		x, y := middle(ix, iy)
		switch g := j.Zones[0].Groove; {
		case !inside(ix, iy):
			return cells.NoSupport
		case g == nil || layer.Blurred(*g, j.Layer),
			math.Abs(x-(math.Floor(x/g.PitchMM)+0.5)*g.PitchMM) <= g.WidthMM/2,
			math.Abs(y-(math.Floor(y/g.PitchMM)+0.5)*g.PitchMM) <= g.WidthMM/2:
			return cells.Breathing
		}
		return cells.Land
	}
	counts := map[tallyKey]tally{}
	contact := make([]int32, 2*across*up)
	for iy := range ny {
		for ix := range nx {
			if !covered(ix, iy) {
				continue
			}
			cell := iy/m*across + ix/m
			key := tallyKey{int32(cell), s.Label[iy*nx+ix], below(ix, iy)}
			c := counts[key]
			c.area, c.sumX, c.sumY = c.area+1, c.sumX+int32(ix%m), c.sumY+int32(iy%m)
			for _, by := range [8][2]int{{1, 0}, {-1, 0}, {0, 1}, {0, -1}, {1, 1}, {1, -1}, {-1, 1}, {-1, -1}} {
				switch {
				case !key.support.OnLayer() || covered(ix+by[0], iy+by[1]):
				case by[1] == 0:
					c.eastWest++
				case by[0] == 0:
					c.northSouth++
				default:
					c.corners++
				}
			}
			counts[key] = c
			if ix%m == m-1 && covered(ix+1, iy) && key.support.OnLayer() && below(ix+1, iy).OnLayer() {
				contact[2*cell]++
			}
			if iy%m == m-1 && covered(ix, iy+1) && key.support.OnLayer() && below(ix, iy+1).OnLayer() {
				contact[2*cell+1]++
			}
		}
	}
	return counts, contact
}

// What is gathered by runs of cells and in bands is what a count cell by cell gives, before the program and after it.
func TestGatheredAsCountedCellByCell(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		const wide, high = 24, 18
		s := sheettest.Random(t, wide, high)
		for k := rapid.IntRange(0, 3).Draw(t, "labels"); k > 0; k-- {
			x := rapid.Float64Range(0, wide).Draw(t, "from")
			s.Each(func(i int, cx, _ float64) {
				if s.Label[i] > 0 && cx > x {
					s.Label[i] = int32(k + 1)
				}
			})
		}
		j := sheettest.RandomTable(t, wide, high)
		j.Layer.Edge = job.OpenEdge
		m := rapid.IntRange(1, 7).Draw(t, "m")
		a, err := gather.Cells(s.Source(), j, zones.New(s.Grid, s.Stock, j, 1), m)
		if err != nil {
			t.Fatal(err)
		}
		compare := func(when string, at sweep.Progress) {
			want, contact := countedCells(s, j, m, at)
			for i := range a.Groups {
				g := &a.Groups[i]
				key := tallyKey{g.Cell, g.Label, g.Support}
				got := tally{g.Area, g.SumX, g.SumY, g.EastWest, g.NorthSouth, g.Corner}
				if got != want[key] {
					t.Fatalf("%s, %+v: gathered %+v, counted %+v", when, key, got, want[key])
				}
				delete(want, key)
			}
			if len(want) > 0 {
				t.Fatalf("%s: not gathered: %v", when, want)
			}
			for face, n := range contact {
				if int32(a.FaceWidth[face]) != n {
					t.Fatalf("%s, face %d: gathered %d, counted %d", when, face, a.FaceWidth[face], n)
				}
			}
		}
		compare("before", cells.Start)
		for i := range a.Events {
			a.Groups[a.Events[i].Group].Apply(&a.Events[i])
		}
		for _, p := range a.Closures {
			a.FaceWidth[p.Face] -= uint16(p.N)
		}
		compare("after", sweep.Never/2)
	})
}
