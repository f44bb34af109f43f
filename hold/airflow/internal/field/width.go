package field

import (
	"math"
	"slices"

	"staydown/hold/airflow/internal/cells"
)

// spread is half the side, in reaches of the layer, of each of the two squares over which openWidths sums.
const spread = 1.1

// openWidths tells how wide that which lies open in the end is near each cell, mm: twice its area over the length of
// its edges, summed with weights that fall off to all sides of the nearby edge where that is most; 0 where nothing
// is open nearby, or the layer is so thin that it does not matter.
//
// What is open in the end was narrower before, if anything, and its edges lost less: the end is the leaky side.
func (f *Field) openWidths() []float32 {
	width := make([]float32, len(f.area))
	if f.sheet.Reach < f.Grid.CellMM {
		return width
	}
	nx, ny := f.Grid.NX, f.Grid.NY
	covered, edges := f.finally()
	half := 1 + int(math.Ceil(spread*f.sheet.Reach/f.Grid.CellMM))
	var near [3][]float64 // covered area, sides and corners near each cell, in cells of the sweep
	for k, of := range [3]func(cell int) float64{
		func(cell int) float64 { return float64(covered[cell]) },
		func(cell int) float64 { return float64(edges[cell].EastWest + edges[cell].NorthSouth) },
		func(cell int) float64 { return float64(edges[cell].Corner) },
	} {
		near[k] = smoothed(nx, ny, half, of)
	}
	whole := math.Pow(float64(2*half+1), 4) * float64(f.Ratio*f.Ratio)
	for cell := range width {
		if edges[cell] != (cells.Sides{}) {
			open := whole - near[0][cell] // beyond the grid nothing lies
			width[cell] = float32(2 * open / cells.TurnedLength(near[1][cell], near[2][cell]) * f.FineMM)
		}
	}
	dilate(width, nx, ny, 1+int(math.Ceil(2*f.sheet.Reach/f.Grid.CellMM)))
	return width
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

// finally gives what is covered of each cell, and its edges, when all is cut.
func (f *Field) finally() (covered []int32, edges []cells.Sides) {
	covered, edges = slices.Clone(f.area), slices.Clone(f.edges)
	for i := range f.Events {
		e := &f.Events[i]
		if g := &f.Groups[e.Group]; g.Support.OnLayer() {
			covered[g.Cell] += e.Area
			edges[g.Cell].Add(e.Sides, 1)
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
