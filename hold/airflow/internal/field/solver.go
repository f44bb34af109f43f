package field

import (
	"fmt"
	"math"
	"slices"
)

const (
	tileSide   = 8 // air cells along a tile, the unit in which the field is solved anew
	mostRounds = 200
	// mostDoublings bounds how far a round reaches out. It doubles from round to round: what is still felt beyond the
	// first few decay lengths is felt far beyond, and a round costs as much as all before it.
	mostDoublings = 6
	reachBands    = 3.0 // decay lengths over which a change is expected to be felt
)

// Solver keeps the field solved while the exposure grows. It works on the tiles in which the balance is off, and takes
// in further ones as long as the correction is felt there. Everything is done in one fixed order.
type Solver struct {
	*Field
	tol        float64
	tilesX     int
	tilesY     int
	ReachTiles int     // over which a change is expected to be felt
	active     []bool  // tiles
	list       []int32 // active tiles
	unknown    pcg

	moved    func(cell int32) // called for each cell whose w was found anew
	rowDirty []bool           // rows in which w was found anew
	flows    []Flows

	iterations, unknowns int // in all; for tests
}

// NewSolver keeps the error of w below tol.
func NewSolver(f *Field, tol float64, moved func(cell int32)) *Solver {
	s := &Solver{
		Field: f, tol: tol, moved: moved,
		tilesX: (f.Grid.NX + tileSide - 1) / tileSide, tilesY: (f.Grid.NY + tileSide - 1) / tileSide,
		rowDirty: make([]bool, f.Grid.NY), flows: make([]Flows, f.Grid.NY),
	}
	s.unknown.position = make([]int32, f.Grid.NX*f.Grid.NY)
	s.ReachTiles = min(8, 1+int(reachBands*f.sheet.Lambda()/f.Grid.CellMM/tileSide))
	s.active = make([]bool, s.tilesX*s.tilesY)
	for i := range s.unknown.position {
		s.unknown.position[i] = -1
	}
	return s
}

// mark takes the tile of the cell and those round it into the active ones.
func (s *Solver) mark(cell, round int) {
	tx, ty := cell%s.Grid.NX/tileSide, cell/s.Grid.NX/tileSide
	for y := max(ty-round, 0); y <= min(ty+round, s.tilesY-1); y++ {
		for x := max(tx-round, 0); x <= min(tx+round, s.tilesX-1); x++ {
			if t := y*s.tilesX + x; !s.active[t] {
				s.active[t] = true
				s.list = append(s.list, int32(t))
			}
		}
	}
}

func (s *Solver) off(cell int) bool {
	return s.in[cell] && s.area[cell] > 0 && math.Abs(s.residual(cell)) > s.tol*s.scale(cell)
}

// Solve finds the field where the given cells have changed, and what it lets through there.
func (s *Solver) Solve(changed []int32) error { return s.solveAt(s.update(changed)) }

// solveAt finds the field where the balance of the given cells may be off.
func (s *Solver) solveAt(changed []int32) error {
	if err := s.balance(changed); err != nil {
		return err
	}
	for _, cell := range changed {
		s.rowDirty[int(cell)/s.Grid.NX] = true
	}
	for row, dirty := range s.rowDirty {
		if dirty {
			s.flows[row] = s.flowsOf(row)
			s.rowDirty[row] = false
		}
	}
	return nil
}

// SolveAll finds the field at the start.
func (s *Solver) SolveAll() error { return s.solveAt(s.cells()) }

// FlowsUnderCover sums the flows of all rows.
func (s *Solver) FlowsUnderCover() Flows {
	var sum Flows
	for row := range s.flows {
		sum.add(&s.flows[row])
	}
	return sum
}

// balance brings every cell's balance below the tolerance, starting from the cells that changed.
func (s *Solver) balance(changed []int32) error {
	for _, cell := range changed {
		if s.off(int(cell)) {
			s.mark(int(cell), s.ReachTiles)
		}
	}
	for round := 0; len(s.list) > 0; round++ {
		before := len(s.list)
		if err := s.solveActive(); err != nil {
			return err
		}
		for _, t := range s.list[:before] {
			s.checkRing(int(t), (s.ReachTiles+1)/2<<min(round, mostDoublings))
		}
		if len(s.list) == before {
			break
		}
		if round == mostRounds {
			return fmt.Errorf("the pressure field does not converge after %d rounds; choose a coarser air cell", round)
		}
	}
	for _, t := range s.list {
		s.active[t] = false
	}
	s.list = s.list[:0]
	return nil
}

// checkRing marks the tiles beyond the side of an active tile where the correction is still felt, and those so far
// round them.
func (s *Solver) checkRing(t, further int) {
	tx, ty := t%s.tilesX, t/s.tilesX
	x0, y0 := tx*tileSide, ty*tileSide
	x1, y1 := min(x0+tileSide, s.Grid.NX), min(y0+tileSide, s.Grid.NY)
	look := func(x, y int) {
		if x < 0 || y < 0 || x >= s.Grid.NX || y >= s.Grid.NY || s.active[y/tileSide*s.tilesX+x/tileSide] {
			return
		}
		if cell := y*s.Grid.NX + x; s.off(cell) {
			s.mark(cell, further)
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

// solveActive solves the unknowns of the active tiles with the others held.
func (s *Solver) solveActive() error {
	s.number()
	s.unknown.assemble(s.Field)
	iterations, err := s.unknown.solve(s.tol / 4)
	s.iterations += iterations
	s.unknowns += iterations * len(s.unknown.cells)
	for k, cell := range s.unknown.cells {
		s.w[cell] += s.unknown.change(k)
		s.rowDirty[int(cell)/s.Grid.NX] = true
		s.moved(cell)
		s.unknown.position[cell] = -1
	}
	return err
}

// number lists the unknowns in order of their cells, row by row.
func (s *Solver) number() {
	slices.Sort(s.list)
	s.unknown.cells = s.unknown.cells[:0]
	for from := 0; from < len(s.list); {
		ty := int(s.list[from]) / s.tilesX
		to := from
		for to < len(s.list) && int(s.list[to])/s.tilesX == ty {
			to++
		}
		for y := ty * tileSide; y < min((ty+1)*tileSide, s.Grid.NY); y++ {
			for _, t := range s.list[from:to] {
				tx := int(t) % s.tilesX
				for x := tx * tileSide; x < min((tx+1)*tileSide, s.Grid.NX); x++ {
					if cell := y*s.Grid.NX + x; s.in[cell] && s.area[cell] > 0 {
						s.unknown.position[cell] = int32(len(s.unknown.cells))
						s.unknown.cells = append(s.unknown.cells, int32(cell))
					}
				}
			}
		}
		from = to
	}
}
