package field

import (
	"fmt"
	"math"
)

const (
	mostIteration = 20_000

	// fillShare is how much of the fill that the incomplete factorisation drops is taken off the diagonal instead. All
	// of it gives the best order of convergence, a little less is safe for every mesh (Gustafsson 1978; the figure is
	// common practice).
	fillShare = 0.98
	// leastPivot, over the diagonal, is what a pivot may fall to in a block that is cut off from plenum and air.
	leastPivot = 1e-8
)

// pcg solves the balance of some cells with all others held, by conjugate gradients (Hestenes and Stiefel 1952)
// preconditioned with the modified incomplete Cholesky factorisation on the pattern of the matrix (Gustafsson 1978).
// The number of iterations grows with the square root of the decay length in cells.
//
// The system is scaled so that all pivots are 1. With A = L + D + L^T the factor is I + L, and one product with
// (I+L)^-1 A (I+L^T)^-1 takes two substitutions and no product with A (Eisenstat 1981). Unknowns are in order of their
// cells, row by row; the one before is the western neighbor if there is a link.
type pcg struct {
	cells    []int32 // of the grid, one per unknown
	position []int32 // of a cell of the grid among the unknowns, or -1

	south, north []int32   // unknowns there; any if there is no link
	toWest       []float64 // -L towards the unknown before; one more entry, 0, for the end
	toSouth      []float64 // -L towards south
	toNorth      []float64 // the same of the northern neighbor
	diagonal     []float64 // D - 2
	root         []float64 // of the pivots before scaling
	weight       []float64 // from the scaled residual to what tol bounds

	residual, direction []float64 // of the preconditioned system
	back, forth         []float64 // substituted
	x                   []float64 // scaled
}

// change is what solve adds to the w of unknown k.
func (s *pcg) change(k int) float64 { return s.x[k] / s.root[k] }

// assemble takes the matrix of the unknowns and its factor from the field.
func (s *pcg) assemble(f *Field) {
	s.resize(len(s.cells))
	s.link(f)
	s.factorise()
	s.scale(f)
}

// resize makes room for n unknowns.
func (s *pcg) resize(n int) {
	all := [...]*[]float64{&s.toSouth, &s.toNorth, &s.diagonal, &s.root, &s.weight, &s.residual, &s.direction, &s.back,
		&s.forth, &s.x}
	if cap(s.south) < n {
		s.south, s.north = make([]int32, n), make([]int32, n)
		for _, v := range all {
			*v = make([]float64, n)
		}
		s.toWest = make([]float64, n+1)
	}
	s.south, s.north = s.south[:n], s.north[:n]
	for _, v := range all {
		*v = (*v)[:n]
	}
	s.toWest = s.toWest[:n+1]
	s.toWest[n] = 0
}

// link takes the matrix from the field.
func (s *pcg) link(f *Field) {
	nx := f.Grid.NX
	for k, c := range s.cells {
		cell := int(c)
		ix, iy := cell%nx, cell/nx
		diagonal := f.source[cell] + f.sink[cell]
		s.south[k], s.north[k] = 0, 0
		s.toWest[k], s.toSouth[k], s.toNorth[k] = 0, 0, 0
		if ix > 0 {
			link := f.link[2*(cell-1)]
			diagonal += link
			if s.position[cell-1] >= 0 {
				s.toWest[k] = link
			}
		}
		if ix+1 < nx {
			diagonal += f.link[2*cell]
		}
		if iy > 0 {
			link := f.link[2*(cell-nx)+1]
			diagonal += link
			if south := s.position[cell-nx]; south >= 0 {
				s.toSouth[k], s.south[k] = link, south
				s.toNorth[south], s.north[south] = link, int32(k)
			}
		}
		if iy+1 < f.Grid.NY {
			diagonal += f.link[2*cell+1]
		}
		if diagonal == 0 {
			diagonal = 1 // cut off from everything: keeps what it has
		}
		s.diagonal[k] = diagonal
	}
}

// factorise finds the pivots of the incomplete factor; they stand in back until the scaling.
func (s *pcg) factorise() {
	pivot := s.back
	for k := range s.cells {
		p := s.diagonal[k]
		if link := s.toWest[k]; link > 0 {
			p -= link * (link + fillShare*s.toNorth[k-1]) / pivot[k-1]
		}
		if link := s.toSouth[k]; link > 0 {
			south := s.south[k]
			p -= link * (link + fillShare*s.toWest[south+1]) / pivot[south]
		}
		if p < leastPivot*s.diagonal[k] {
			p = s.diagonal[k]
		}
		pivot[k] = p
		s.root[k] = math.Sqrt(p)
	}
}

// scale makes all pivots 1, and takes the residuals.
func (s *pcg) scale(f *Field) {
	pivot := s.back
	for k, c := range s.cells {
		root := s.root[k]
		s.diagonal[k] = s.diagonal[k]/pivot[k] - 2
		if k > 0 {
			s.toWest[k] /= root * s.root[k-1]
		}
		s.toSouth[k] /= root * s.root[s.south[k]]
		s.toNorth[k] /= root * s.root[s.north[k]]
		s.weight[k] = root / f.scale(int(c))
		s.residual[k] = f.residual(int(c)) / root
	}
}

// solve finds x until every cell's residual is below target times its scale, and tells in how many iterations.
func (s *pcg) solve(target float64) (iterations int, err error) {
	worst, rho := s.start()
	for beta := 0.0; worst > target; iterations++ {
		if iterations == mostIteration {
			return iterations, fmt.Errorf("the pressure field of %d cells does not converge; choose a coarser air cell",
				len(s.cells))
		}
		s.substituteBack(beta)
		alpha := rho / s.substituteForth()
		before := rho
		worst, rho = s.step(alpha)
		beta = rho / before
	}
	return iterations, nil
}

// start clears x and substitutes the residual forth. It gives the worst residual as tol measures it, and the square of
// the substituted one.
func (s *pcg) start() (worst, square float64) {
	last := 0.0
	for k, r := range s.residual {
		s.x[k], s.direction[k] = 0, 0
		worst = math.Max(worst, math.Abs(r)*s.weight[k])
		last = r + s.toSouth[k]*s.residual[s.south[k]] + s.toWest[k]*last
		s.residual[k] = last
		square += last * last
	}
	return worst, square
}

// substituteBack takes the next direction d = r + beta d and sets back to (I+L^T)^-1 d.
func (s *pcg) substituteBack(beta float64) {
	n := len(s.residual)
	residual, direction, back := s.residual[:n], s.direction[:n], s.back[:n]
	north, toNorth, toEast := s.north[:n], s.toNorth[:n], s.toWest[1:n+1]
	last := 0.0
	for k := n - 1; k >= 0; k-- {
		d := residual[k] + beta*direction[k]
		direction[k] = d
		last = d + toNorth[k]*back[north[k]] + toEast[k]*last
		back[k] = last
	}
}

// substituteForth sets forth to (I+L)^-1 (d + (D-2) back) and gives the product of d with the matrix times d.
func (s *pcg) substituteForth() float64 {
	n := len(s.residual)
	direction, back, forth := s.direction[:n], s.back[:n], s.forth[:n]
	south, toSouth, toWest, diagonal := s.south[:n], s.toSouth[:n], s.toWest[:n], s.diagonal[:n]
	last, product := 0.0, 0.0
	for k := range direction {
		d, b := direction[k], back[k]
		last = d + diagonal[k]*b + toSouth[k]*forth[south[k]] + toWest[k]*last
		forth[k] = last
		product += d * (b + last)
	}
	return product
}

// step goes alpha along the direction. It gives the worst residual of the balance itself, as tol measures it, and the
// square of the preconditioned one.
func (s *pcg) step(alpha float64) (worst, square float64) {
	n := len(s.residual)
	residual, back, forth, x := s.residual[:n], s.back[:n], s.forth[:n], s.x[:n]
	south, toSouth, toWest, weight := s.south[:n], s.toSouth[:n], s.toWest[:n], s.weight[:n]
	last := 0.0
	for k := range residual {
		b := back[k]
		x[k] += alpha * b
		r := residual[k] - alpha*(b+forth[k])
		off := math.Abs(r-toSouth[k]*residual[south[k]]-toWest[k]*last) * weight[k]
		if off > worst {
			worst = off
		}
		residual[k] = r
		last = r
		square += r * r
	}
	return worst, square
}
