package airflow

import (
	"fmt"
	"math"
)

const (
	tileSide      = 8 // air cells along a tile, the unit in which the field is solved anew
	mostRounds    = 200
	reachBands    = 3.0 // decay lengths over which a change is expected to be felt
	mostIteration = 20_000
)

// solver keeps the field solved while the exposure grows. It works on the tiles in which the balance is off, and takes in further ones
// as long as the correction is felt there. Everything is done in one fixed order.
type solver struct {
	*field
	tol        float64
	tilesX     int
	tilesY     int
	reachTiles int     // over which a change is expected to be felt
	active     []bool  // tiles
	list       []int32 // active tiles
	position   []int32 // of a cell among the unknowns, or -1

	cells             []int32 // unknowns
	near              [][4]int32
	cond              [][4]float64
	diagonal, inverse []float64
	weight            []float64 // 1 over what a residual is measured by
	x, r, z, d, q     []float64

	moved    func(cell int32) // called for each cell whose w was found anew
	rowDirty []bool           // rows in which w was found anew

	iterations, unknowns int // in all; for tests
}

func newSolver(f *field, tol float64) *solver {
	s := &solver{
		field: f, tol: tol,
		tilesX: (f.grid.NX + tileSide - 1) / tileSide, tilesY: (f.grid.NY + tileSide - 1) / tileSide,
		position: make([]int32, f.grid.NX*f.grid.NY), rowDirty: make([]bool, f.grid.NY),
	}
	s.reachTiles = min(8, 1+int(reachBands*f.sheet.lambda()/f.grid.CellMM/tileSide))
	s.active = make([]bool, s.tilesX*s.tilesY)
	for i := range s.position {
		s.position[i] = -1
	}
	return s
}

// mark takes the tile of the cell and those round it into the active ones.
func (s *solver) mark(cell, round int) {
	tx, ty := cell%s.grid.NX/tileSide, cell/s.grid.NX/tileSide
	for y := max(ty-round, 0); y <= min(ty+round, s.tilesY-1); y++ {
		for x := max(tx-round, 0); x <= min(tx+round, s.tilesX-1); x++ {
			if t := y*s.tilesX + x; !s.active[t] {
				s.active[t] = true
				s.list = append(s.list, int32(t))
			}
		}
	}
}

func (s *solver) off(cell int) bool {
	return s.in[cell] && s.area[cell] > 0 && math.Abs(s.residual(cell)) > s.tol*s.scale(cell)
}

// settle brings every cell's balance below the tolerance, starting from the cells that changed.
func (s *solver) settle(changed []int32) error {
	for _, cell := range changed {
		if s.off(int(cell)) {
			s.mark(int(cell), s.reachTiles)
		}
	}
	for round := 0; len(s.list) > 0; round++ {
		before := len(s.list)
		if err := s.solveActive(); err != nil {
			return err
		}
		for _, t := range s.list[:before] {
			s.checkRing(int(t))
		}
		if len(s.list) == before {
			break
		}
		if round == mostRounds {
			return fmt.Errorf("the pressure field does not settle after %d rounds; choose a coarser air cell", round)
		}
	}
	for _, t := range s.list {
		s.active[t] = false
	}
	s.list = s.list[:0]
	return nil
}

// checkRing marks the tiles beyond the side of an active tile where the correction is still felt.
func (s *solver) checkRing(t int) {
	tx, ty := t%s.tilesX, t/s.tilesX
	x0, y0 := tx*tileSide, ty*tileSide
	x1, y1 := min(x0+tileSide, s.grid.NX), min(y0+tileSide, s.grid.NY)
	look := func(x, y int) {
		if x < 0 || y < 0 || x >= s.grid.NX || y >= s.grid.NY || s.active[y/tileSide*s.tilesX+x/tileSide] {
			return
		}
		if cell := y*s.grid.NX + x; s.off(cell) {
			s.mark(cell, (s.reachTiles+1)/2)
		}
	}
	for x := x0; x < x1; x++ {
		look(x, y0-1)
		look(x, y1)
	}
	for y := y0; y < y1; y++ {
		look(x0-1, y)
		look(x1, y)
	}
}

// solveActive solves the unknowns of the active tiles with the others held, by conjugate gradients (Hestenes and Stiefel 1952)
// preconditioned with the diagonal form of the incomplete Cholesky factorisation (Meijerink and van der Vorst 1977).
func (s *solver) solveActive() error {
	s.assemble()
	n := len(s.cells)
	defer func() {
		for _, cell := range s.cells {
			s.position[cell] = -1
		}
	}()
	worst := 0.0
	for k := 0; k < n; k++ {
		s.r[k] = s.residual(int(s.cells[k]))
		s.x[k] = 0
		s.weight[k] = 1 / s.scale(int(s.cells[k]))
		if off := math.Abs(s.r[k]) * s.weight[k]; off > worst {
			worst = off
		}
	}
	target := s.tol / 4
	var rho float64
	for iteration := 0; worst > target; iteration++ {
		if iteration == mostIteration {
			return fmt.Errorf("the pressure field of %d cells does not converge; choose a coarser air cell", n)
		}
		s.precondition()
		next := dot(s.r[:n], s.z[:n])
		beta := 0.0
		if iteration > 0 {
			beta = next / rho
		}
		rho = next
		for k := 0; k < n; k++ {
			s.d[k] = s.z[k] + beta*s.d[k]
		}
		s.multiply()
		alpha := rho / dot(s.d[:n], s.q[:n])
		worst = 0
		for k := 0; k < n; k++ {
			s.x[k] += alpha * s.d[k]
			s.r[k] -= alpha * s.q[k]
			if off := math.Abs(s.r[k]) * s.weight[k]; off > worst {
				worst = off
			}
		}
		s.iterations++
		s.unknowns += n
	}
	for k, cell := range s.cells {
		s.w[cell] += s.x[k]
		s.rowDirty[int(cell)/s.grid.NX] = true
		s.moved(cell)
	}
	return nil
}

// assemble lists the unknowns tile by tile with their neighbours among them and factors the preconditioner.
func (s *solver) assemble() {
	s.cells = s.cells[:0]
	for _, t := range s.list {
		tx, ty := int(t)%s.tilesX, int(t)/s.tilesX
		for y := ty * tileSide; y < min((ty+1)*tileSide, s.grid.NY); y++ {
			for x := tx * tileSide; x < min((tx+1)*tileSide, s.grid.NX); x++ {
				cell := y*s.grid.NX + x
				if s.in[cell] && s.area[cell] > 0 {
					s.position[cell] = int32(len(s.cells))
					s.cells = append(s.cells, int32(cell))
				}
			}
		}
	}
	n := len(s.cells)
	if cap(s.near) < n {
		s.near, s.cond = make([][4]int32, n), make([][4]float64, n)
		s.diagonal, s.inverse, s.weight = make([]float64, n), make([]float64, n), make([]float64, n)
		s.x, s.r, s.z, s.d, s.q = make([]float64, n), make([]float64, n), make([]float64, n), make([]float64, n), make([]float64, n)
	}
	s.near, s.cond = s.near[:n], s.cond[:n]
	s.diagonal, s.inverse, s.weight = s.diagonal[:n], s.inverse[:n], s.weight[:n]
	s.x, s.r, s.z, s.d, s.q = s.x[:n], s.r[:n], s.z[:n], s.d[:n], s.q[:n]
	for k, c := range s.cells {
		cell := int(c)
		ix, iy := cell%s.grid.NX, cell/s.grid.NX
		near, cond := [4]int32{-1, -1, -1, -1}, [4]float64{}
		sum := s.source[cell] + s.sink[cell]
		beside := func(side, other, face int) {
			cond[side] = s.link[face]
			sum += cond[side]
			near[side] = s.position[other]
			if near[side] < 0 {
				cond[side] = 0
			}
		}
		if ix > 0 {
			beside(0, cell-1, 2*(cell-1))
		}
		if ix+1 < s.grid.NX {
			beside(1, cell+1, 2*cell)
		}
		if iy > 0 {
			beside(2, cell-s.grid.NX, 2*(cell-s.grid.NX)+1)
		}
		if iy+1 < s.grid.NY {
			beside(3, cell+s.grid.NX, 2*cell+1)
		}
		if sum == 0 {
			sum = 1 // cut off from everything: keeps what it has
		}
		s.near[k], s.cond[k], s.diagonal[k] = near, cond, sum
		pivot := sum
		for side, other := range near {
			if other >= 0 && int(other) < k {
				pivot -= cond[side] * cond[side] * s.inverse[other]
			}
		}
		s.inverse[k] = 1 / pivot
	}
}

// precondition solves (D + L) D^-1 (D + L^T) z = r.
func (s *solver) precondition() {
	n := len(s.cells)
	for k := 0; k < n; k++ {
		sum := s.r[k]
		for side, other := range s.near[k] {
			if other >= 0 && int(other) < k {
				sum += s.cond[k][side] * s.z[other]
			}
		}
		s.z[k] = sum * s.inverse[k]
	}
	for k := n - 1; k >= 0; k-- {
		sum := 0.0
		for side, other := range s.near[k] {
			if int(other) > k {
				sum += s.cond[k][side] * s.z[other]
			}
		}
		s.z[k] += sum * s.inverse[k]
	}
}

// multiply sets q to the matrix times d.
func (s *solver) multiply() {
	for k := range s.cells {
		sum := s.diagonal[k] * s.d[k]
		for side, other := range s.near[k] {
			if other >= 0 {
				sum -= s.cond[k][side] * s.d[other]
			}
		}
		s.q[k] = sum
	}
}

func dot(a, b []float64) float64 {
	sum := 0.0
	for i, v := range a {
		sum += v * b[i]
	}
	return sum
}
