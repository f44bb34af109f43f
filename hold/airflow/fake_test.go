package airflow

import (
	"testing"

	"github.com/paulmach/orb"

	"staydown/hold/job"
	"staydown/sweep"
)

// sheet is a sweep made by hand: a rectangle of stock of which cells are cut at given moments.
type sheet struct {
	grid  sweep.Grid
	stock sweep.Stock
	cut   []sweep.Progress
	label []int32
	depth []float32
	// left is the height left in the end, mm; nil: all of the stock's where it is not cut. Web moments and heights as
	// sweep tells them; nil: no webs.
	left    []float32
	webFrom []sweep.Progress
	webMM   []float32
	drilled []int   // see source
	floorMM float64 // lowest that any cut leaves above web height
	// owner gives the piece of a label; nil: the label itself
	owner func(label int32, p sweep.Progress) int32
}

// newSheet lays a blank from (0, 0) to (wide, high) on a grid with the given margin round it.
func newSheet(wide, high, margin, cell float64) *sheet {
	return newSheetIn(wide, high, margin, margin, cell)
}

// newSheetIn is newSheet with margins of their own in X and Y.
func newSheetIn(wide, high, marginX, marginY, cell float64) *sheet {
	nx, ny := int((wide+2*marginX)/cell+0.5), int((high+2*marginY)/cell+0.5)
	s := &sheet{
		grid:  sweep.Grid{OriginX: -marginX, OriginY: -marginY, CellMM: cell, NX: nx, NY: ny},
		stock: sweep.Stock{Blanks: []sweep.Blank{{Outline: box(0, 0, wide, high), TopMM: 6}}},
		cut:   make([]sweep.Progress, nx*ny),
		label: make([]int32, nx*ny),
		depth: make([]float32, nx*ny),
	}
	s.each(func(i int, x, y float64) {
		if x > 0 && x < wide && y > 0 && y < high {
			s.cut[i], s.label[i] = sweep.Never, 1
		}
	})
	return s
}

func box(x0, y0, x1, y1 float64) orb.Polygon {
	return orb.Polygon{{{x0, y0}, {x1, y0}, {x1, y1}, {x0, y1}, {x0, y0}}}
}

// each visits all cells with the coordinates of their centres.
func (s *sheet) each(do func(i int, x, y float64)) {
	for iy := 0; iy < s.grid.NY; iy++ {
		for ix := 0; ix < s.grid.NX; ix++ {
			do(iy*s.grid.NX+ix, s.grid.OriginX+(float64(ix)+0.5)*s.grid.CellMM,
				s.grid.OriginY+(float64(iy)+0.5)*s.grid.CellMM)
		}
	}
}

// cutWhere cuts the cells for which the condition holds at the moment at, unless they were cut before.
func (s *sheet) cutWhere(at sweep.Progress, where func(x, y float64) bool) {
	s.each(func(i int, x, y float64) {
		if where(x, y) && at < s.cut[i] {
			s.cut[i] = at
		}
	})
}

func (s *sheet) source() source {
	return source{
		grid: s.grid, stock: s.stock,
		read: func(iy int, cut []sweep.Progress, label []int32, depth []float32) {
			copy(cut, s.cut[iy*s.grid.NX:])
			copy(label, s.label[iy*s.grid.NX:])
			copy(depth, s.depth[iy*s.grid.NX:])
		},
		drilled: s.drilled, floorMM: s.floorMM,
		heights: func(iy int, left []float32, webFrom []sweep.Progress, webMM []float32) {
			for ix := range left {
				i := iy*s.grid.NX + ix
				left[ix], webFrom[ix], webMM[ix] = 0, s.cut[i], 0
				switch {
				case s.cut[i] < sweep.Never:
				case s.left != nil:
					left[ix] = s.left[i]
				default:
					left[ix] = float32(s.stock.Blanks[0].TopMM - s.stock.BottomMM)
				}
				if s.webFrom != nil && s.webMM[i] > 0 {
					webFrom[ix], webMM[ix] = s.webFrom[i], s.webMM[i]
				}
			}
		},
		stretch: func(ix, iy int) (to int, alike bool) {
			at := iy*s.grid.NX + ix
			for to = ix + 1; to < min(s.grid.NX, ix+7); to++ {
				if next := at + to - ix; s.cut[next] != s.cut[at] || s.label[next] != s.label[at] ||
					s.depth[next] != s.depth[at] || s.left != nil {
					break
				}
			}
			return to, true
		},
		pieceAt: func(label int32, p sweep.Progress) int32 {
			if s.owner == nil {
				return label
			}
			return s.owner(label, p)
		},
	}
}

// openTable is one breathing zone under all of the stock and a layer of the given thickness and permeability,
// isotropic.
func openTable(wide, high, thickness, k float64) *job.Job {
	return &job.Job{
		AmbientPa: 101325,
		Layer:     &job.Layer{ThicknessMM: thickness, ThroughM2: k, AlongM2: k},
		Zones:     []job.Zone{{Name: "A", Area: box(0, 0, wide, high), Open: true}},
		Pump:      job.Pump{FlowM3h: 100, UltimatePa: 2000},
	}
}

// testJob lets a test change the job of openTable.
type testJob struct{ *job.Job }

func advance(t testing.TB, m *Model, p sweep.Progress) Leak {
	t.Helper()
	leak, err := m.Advance(p)
	if err != nil {
		t.Fatal(err)
	}
	return leak
}
