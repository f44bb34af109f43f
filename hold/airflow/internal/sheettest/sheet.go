// Package sheettest makes sweeps by hand for the tests of the rooms of airflow, and holds the closed forms they are
// checked against.
package sheettest

import (
	"math"

	"github.com/paulmach/orb"

	"staydown/hold/airflow/internal/gather"
	"staydown/sweep"
)

// Sheet is a sweep made by hand: a rectangle of stock of which cells are cut at given moments.
type Sheet struct {
	Grid  sweep.Grid
	Stock sweep.Stock
	Cut   []sweep.Progress
	Label []int32
	Depth []float32
	// Left is the height left in the end, mm; nil: all of the stock's where it is not cut. Web moments and heights as
	// sweep tells them; nil: no webs.
	Left    []float32
	WebFrom []sweep.Progress
	WebMM   []float32
	Drilled []int   // see gather.Source
	FloorMM float64 // lowest that any cut leaves above web height
	// Owner gives the piece of a label; nil: the label itself
	Owner func(label int32, p sweep.Progress) int32
}

// New lays a blank from (0, 0) to (wide, high) on a grid with the given margin round it.
func New(wide, high, margin, cell float64) *Sheet {
	return NewIn(wide, high, margin, margin, cell)
}

// NewIn is newSheet with margins of their own in X and Y.
func NewIn(wide, high, marginX, marginY, cell float64) *Sheet {
	nx, ny := int((wide+2*marginX)/cell+0.5), int((high+2*marginY)/cell+0.5)
	s := &Sheet{
		Grid:  sweep.Grid{OriginX: -marginX, OriginY: -marginY, CellMM: cell, NX: nx, NY: ny},
		Stock: sweep.Stock{Blanks: []sweep.Blank{{Outline: Box(0, 0, wide, high), TopMM: 6}}},
		Cut:   make([]sweep.Progress, nx*ny),
		Label: make([]int32, nx*ny),
		Depth: make([]float32, nx*ny),
	}
	s.Each(func(i int, x, y float64) {
		if x > 0 && x < wide && y > 0 && y < high {
			s.Cut[i], s.Label[i] = sweep.Never, 1
		}
	})
	return s
}

func Box(x0, y0, x1, y1 float64) orb.Polygon {
	return orb.Polygon{{{x0, y0}, {x1, y0}, {x1, y1}, {x0, y1}, {x0, y0}}}
}

// Each visits all cells with the coordinates of their centers.
func (s *Sheet) Each(do func(i int, x, y float64)) {
	for iy := 0; iy < s.Grid.NY; iy++ {
		for ix := 0; ix < s.Grid.NX; ix++ {
			do(iy*s.Grid.NX+ix, s.Grid.OriginX+(float64(ix)+0.5)*s.Grid.CellMM,
				s.Grid.OriginY+(float64(iy)+0.5)*s.Grid.CellMM)
		}
	}
}

// CutWhere cuts the cells for which the condition holds at the moment at, unless they were cut before.
func (s *Sheet) CutWhere(at sweep.Progress, where func(x, y float64) bool) {
	s.Each(func(i int, x, y float64) {
		if where(x, y) && at < s.Cut[i] {
			s.Cut[i] = at
		}
	})
}

func (s *Sheet) Source() gather.Source {
	return gather.Source{
		Grid: s.Grid, Stock: s.Stock,
		Read: func(from, to, iy int, cut []sweep.Progress, label []int32, depth []float32) {
			row := iy * s.Grid.NX
			for ix := from; ix < to; ix++ {
				if cut != nil {
					cut[ix] = s.Cut[row+ix]
				}
				if label != nil {
					label[ix] = s.Label[row+ix]
				}
				if depth != nil {
					depth[ix] = s.Depth[row+ix]
				}
			}
		},
		Drilled: s.Drilled, FloorMM: s.FloorMM,
		Heights: func(iy int, left []float32, webFrom []sweep.Progress, webMM []float32) {
			for ix := range left {
				i := iy*s.Grid.NX + ix
				left[ix], webFrom[ix], webMM[ix] = 0, s.Cut[i], 0
				switch {
				case s.Cut[i] < sweep.Never:
				case s.Left != nil:
					left[ix] = s.Left[i]
				default:
					left[ix] = float32(s.Stock.Blanks[0].TopMM - s.Stock.BottomMM)
				}
				if s.WebFrom != nil && s.WebMM[i] > 0 {
					webFrom[ix], webMM[ix] = s.WebFrom[i], s.WebMM[i]
				}
			}
		},
		Stretch: func(ix, iy int) (to int, alike bool) {
			at := iy*s.Grid.NX + ix
			for to = ix + 1; to < min(s.Grid.NX, ix+7); to++ {
				if next := at + to - ix; s.Cut[next] != s.Cut[at] || s.Label[next] != s.Label[at] ||
					s.Depth[next] != s.Depth[at] || s.Left != nil {
					break
				}
			}
			return to, true
		},
		PieceAt: func(label int32, p sweep.Progress) int32 {
			if s.Owner == nil {
				return label
			}
			return s.Owner(label, p)
		},
	}
}

// Nest is a sheet with rows of square parts, each cut free by four moves along its outline.
type Nest struct {
	*Sheet
	Parts, Moves int
}

func NewNest(wide, high, cell, pitch, kerf float64) *Nest {
	n := &Nest{Sheet: New(wide, high, 5, cell)}
	across, up := int(wide/pitch), int(high/pitch)
	n.Parts = across * up
	n.Moves = 4 * n.Parts
	n.Each(func(i int, x, y float64) {
		px, py := int(x/pitch), int(y/pitch)
		if n.Label[i] == 0 || px >= across || py >= up {
			return
		}
		part := py*across + px
		dx, dy := x-(float64(px)+0.5)*pitch, y-(float64(py)+0.5)*pitch
		half := pitch/2 - kerf // of the part
		inner := math.Max(math.Abs(dx), math.Abs(dy))
		if inner < half {
			n.Label[i] = int32(part + 2)
			return
		}
		if inner >= half+kerf/2 {
			return
		}
		// counter-clockwise from the lower left corner, a part in four moves
		var side int
		var along float64
		switch {
		case -dy >= math.Abs(dx):
			side, along = 0, dx
		case dx >= math.Abs(dy):
			side, along = 1, dy
		case dy >= math.Abs(dx):
			side, along = 2, -dx
		default:
			side, along = 3, -dy
		}
		n.Cut[i] = sweep.Progress(float64(4*part+side) + math.Min(0.999, math.Max(0, (along+half)/(2*half))))
	})
	n.Owner = func(label int32, p sweep.Progress) int32 {
		if label > 1 && p < sweep.Progress(4*(label-2)+4) {
			return 1
		}
		return label
	}
	return n
}
