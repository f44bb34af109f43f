package field

import (
	"math"

	"staydown/hold/airflow/internal/cells"
)

// spread is half the side, in reaches of the layer, of each of the two squares over which openWidths sums.
const spread = 1.1

// openWidths tells how wide that which lies open in the end is near each cell of an extent, mm: twice its area over the
// length of its edges, summed with weights that fall off to all sides of the nearby edge where that is most; 0 where
// nothing is open nearby, or the layer is so thin that it does not matter.
//
// What is open in the end was narrower before, if anything, and its edges lost less: the end is the leaky side.
func (f *Field) openWidths(e cells.Extent) []float32 {
	nx, ny := e.Size()
	width := make([]float32, nx*ny)
	half, reach := f.widthReach()
	if half == 0 {
		return width
	}
	covered, edges := f.finally(e)
	var near [3][]float64 // covered area, sides and corners near each cell, in cells of the sweep
	for k, of := range [3]func(cell int) float64{
		func(cell int) float64 { return float64(covered[cell]) },
		func(cell int) float64 { return float64(edges[cell].EastWest + edges[cell].NorthSouth) },
		func(cell int) float64 { return float64(edges[cell].Corner) },
	} {
		near[k] = smoothed(nx, ny, half, of)
	}
	whole := math.Pow(float64(2*half+1), 4) * float64(f.Ratio*f.Ratio)
	for k := range width {
		if edges[k] != (cells.Sides{}) {
			open := whole - near[0][k] // beyond the grid nothing lies
			width[k] = float32(2 * open / cells.TurnedLength(near[1][k], near[2][k]) * f.FineMM)
		}
	}
	dilate(width, nx, ny, reach)
	return width
}

// widthReach is half a side of the squares over which openWidths sums, and how far the width of what is open counts
// from its edge, in cells; 0 where the layer is so thin that neither matters.
func (f *Field) widthReach() (half, reach int) {
	if f.sheet.Reach < f.Grid.CellMM {
		return 0, 0
	}
	return 1 + int(math.Ceil(spread*f.sheet.Reach/f.Grid.CellMM)), 1 + int(math.Ceil(2*f.sheet.Reach/f.Grid.CellMM))
}

// smoothed sums a value over the squares about the cells of the square about each cell: what lies at the rim of the
// reach weighs next to nothing, so that the edges of a cut on both sides of that rim hardly count apart.
func smoothed(nx, ny, half int, of func(cell int) float64) []float64 {
	first := newSums(nx, ny)
	for cell := range nx * ny {
		first.add(cell, of(cell))
	}
	second := newSums(nx, ny)
	for cell := range nx * ny {
		second.add(cell, first.near(cell, half))
	}
	out := make([]float64, nx*ny)
	for cell := range out {
		out[cell] = second.near(cell, half)
	}
	return out
}

// finally gives what is covered of each cell of an extent, and its edges, when all is cut.
func (f *Field) finally(e cells.Extent) (covered []int32, edges []cells.Sides) {
	nx, ny := e.Size()
	covered, edges = make([]int32, nx*ny), make([]cells.Sides, nx*ny)
	for k := range covered {
		i := e.Cell(k, f.Grid.NX)
		covered[k], edges[k] = f.area[i], f.edges[i]
	}
	for i := range f.Events {
		event := &f.Events[i]
		if g := &f.Groups[event.Group]; g.Support.OnLayer() {
			if k := e.Index(int(g.Cell), f.Grid.NX); k >= 0 {
				covered[k] += event.Area
				edges[k].Add(event.Sides, 1)
			}
		}
	}
	return covered, edges
}

// sums are those of a value over all rectangles from the lowest cell of a grid.
type sums struct {
	nx, ny int
	of     []float64 // one more in each row and column
	row    float64   // of the row so far
}

func newSums(nx, ny int) *sums { return &sums{nx: nx, ny: ny, of: make([]float64, (nx+1)*(ny+1))} }

// add takes the value of the next cell; they come in order.
func (s *sums) add(cell int, value float64) {
	x, y := cell%s.nx, cell/s.nx
	if x == 0 {
		s.row = 0
	}
	s.row += value
	at := (y+1)*(s.nx+1) + x + 1
	s.of[at] = s.of[at-s.nx-1] + s.row
}

// near sums the square of half a side round a cell.
func (s *sums) near(cell, half int) float64 {
	x, y, w := cell%s.nx, cell/s.nx, s.nx+1
	x0, y0, x1, y1 := max(0, x-half), max(0, y-half), min(s.nx, x+half+1), min(s.ny, y+half+1)
	return s.of[y1*w+x1] - s.of[y0*w+x1] - s.of[y1*w+x0] + s.of[y0*w+x0]
}
