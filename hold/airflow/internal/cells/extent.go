package cells

// Extent is a rectangle of air cells, from the lowest up to, but without, the highest. Its cells are counted row by
// row.
type Extent struct{ X0, Y0, X1, Y1 int }

// Size is how many cells it is wide and high.
func (e Extent) Size() (nx, ny int) { return e.X1 - e.X0, e.Y1 - e.Y0 }

// Cell is the number in a grid of so many columns of a cell of the extent.
func (e Extent) Cell(k, columns int) int {
	nx := e.X1 - e.X0
	return (e.Y0+k/nx)*columns + e.X0 + k%nx
}

// Index is the number in the extent of a cell of the grid, -1 for one outside.
func (e Extent) Index(cell, columns int) int {
	x, y := cell%columns, cell/columns
	if x < e.X0 || x >= e.X1 || y < e.Y0 || y >= e.Y1 {
		return -1
	}
	return (y-e.Y0)*(e.X1-e.X0) + x - e.X0
}

// Grown is the extent with so many cells more on each side, as far as a grid has them.
func (e Extent) Grown(by, columns, rows int) Extent {
	return Extent{max(0, e.X0-by), max(0, e.Y0-by), min(columns, e.X1+by), min(rows, e.Y1+by)}
}
