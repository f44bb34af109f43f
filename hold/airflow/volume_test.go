package airflow

import (
	"math"
	"testing"

	"staydown/hold/airflow/internal/sheettest"
)

// volume is a slow, obvious reference: layer and work in three dimensions, by finite volumes. w is 1 in the plenum
// below and 0 in the air; nothing passes the sides of the box.
type volume struct {
	dx, dy, dz []float64                                     // sides of the cells, mm
	k          func(ix, iy, iz int) (along, through float64) // permeabilities; 0, 0: air
	plenum     func(ix, iy int) bool                         // below the lowest cells
	open       func(ix, iy int) bool                         // air above the highest cells

	w, diagonal, inflow []float64
	links               []volumeLink
}

// volumeLink is a face between two cells.
type volumeLink struct {
	a, b        int
	conductance float64
}

// even is n cells of the same side.
func even(n int, mm float64) []float64 {
	all := make([]float64, n)
	for i := range all {
		all[i] = mm
	}
	return all
}

func (v *volume) cell(ix, iy, iz int) int { return (iz*len(v.dy)+iy)*len(v.dx) + ix }

// each visits all cells.
func (v *volume) each(do func(ix, iy, iz int)) {
	for iz := range v.dz {
		for iy := range v.dy {
			for ix := range v.dx {
				do(ix, iy, iz)
			}
		}
	}
}

// toward joins a cell to a value of w half a cell away.
func (v *volume) toward(cell int, conductance, w float64) {
	v.diagonal[cell] += conductance
	v.inflow[cell] += conductance * w
}

// join adds the face between cells a and b of permeabilities ka and kb and depths da and db.
func (v *volume) join(a, b int, ka, kb, da, db, area float64) {
	switch {
	case ka == 0 && kb == 0:
	case ka == 0:
		v.toward(b, kb*area/(db/2), 0)
	case kb == 0:
		v.toward(a, ka*area/(da/2), 0)
	default:
		g := area / (da/2/ka + db/2/kb)
		v.diagonal[a] += g
		v.diagonal[b] += g
		v.links = append(v.links, volumeLink{a, b, g})
	}
}

// assemble makes the balances.
func (v *volume) assemble() {
	n := len(v.dx) * len(v.dy) * len(v.dz)
	v.w, v.diagonal, v.inflow, v.links = make([]float64, n), make([]float64, n), make([]float64, n), nil
	v.each(func(ix, iy, iz int) {
		c := v.cell(ix, iy, iz)
		along, through := v.k(ix, iy, iz)
		if ix+1 < len(v.dx) {
			other, _ := v.k(ix+1, iy, iz)
			v.join(c, v.cell(ix+1, iy, iz), along, other, v.dx[ix], v.dx[ix+1], v.dy[iy]*v.dz[iz])
		}
		if iy+1 < len(v.dy) {
			other, _ := v.k(ix, iy+1, iz)
			v.join(c, v.cell(ix, iy+1, iz), along, other, v.dy[iy], v.dy[iy+1], v.dx[ix]*v.dz[iz])
		}
		area := v.dx[ix] * v.dy[iy]
		if iz+1 < len(v.dz) {
			_, other := v.k(ix, iy, iz+1)
			v.join(c, v.cell(ix, iy, iz+1), through, other, v.dz[iz], v.dz[iz+1], area)
		} else if v.open(ix, iy) {
			v.toward(c, through*area/(v.dz[iz]/2), 0)
		}
		if iz == 0 && v.plenum(ix, iy) {
			v.toward(c, through*area/(v.dz[iz]/2), 1)
		}
	})
}

// solve finds w by conjugate gradients on the balances divided by their diagonal.
func (v *volume) solve() {
	v.assemble()
	residual, direction, product := make([]float64, len(v.w)), make([]float64, len(v.w)), make([]float64, len(v.w))
	size := 0.0
	for c, in := range v.inflow {
		if v.diagonal[c] == 0 {
			v.diagonal[c] = 1 // air
		}
		residual[c], direction[c] = in, in/v.diagonal[c]
		size += in * direction[c]
	}
	for first := size; size > 1e-16*first; {
		for c, d := range direction {
			product[c] = v.diagonal[c] * d
		}
		for _, l := range v.links {
			product[l.a] -= l.conductance * direction[l.b]
			product[l.b] -= l.conductance * direction[l.a]
		}
		sum := 0.0
		for c, d := range direction {
			sum += d * product[c]
		}
		alpha, before := size/sum, size
		size = 0
		for c, d := range direction {
			v.w[c] += alpha * d
			residual[c] -= alpha * product[c]
			size += residual[c] * residual[c] / v.diagonal[c]
		}
		for c := range direction {
			direction[c] = residual[c]/v.diagonal[c] + size/before*direction[c]
		}
	}
}

// leak is the flow into the plenum, permeability times mm.
func (v *volume) leak() float64 {
	sum := 0.0
	for iy := range v.dy {
		for ix := range v.dx {
			if v.plenum(ix, iy) {
				_, through := v.k(ix, iy, 0)
				sum += through * v.dx[ix] * v.dy[iy] / (v.dz[0] / 2) * (1 - v.w[v.cell(ix, iy, 0)])
			}
		}
	}
	return sum
}

// above is w on the upper face of the cells of layer iz: between two cells from the flow through their common face,
// below a cover that of the cell.
func (v *volume) above(ix, iy, iz int) float64 {
	w := v.w[v.cell(ix, iy, iz)]
	if iz+1 == len(v.dz) {
		return w
	}
	_, lower := v.k(ix, iy, iz)
	_, upper := v.k(ix, iy, iz+1)
	lower, upper = lower/v.dz[iz], upper/v.dz[iz+1]
	return (lower*w + upper*v.w[v.cell(ix, iy, iz+1)]) / (lower + upper)
}

// twice solves with cells of n and 2n to the given length and extrapolates what it finds, whose error halves with the
// cell beside edges.
func twice(n int, find func(n int) (lost, leak float64)) (lost, leak float64) {
	lost1, leak1 := find(n)
	lost2, leak2 := find(2 * n)
	return 2*lost2 - lost1, 2*leak2 - leak1
}

// The reference itself against closed forms: two sheets in series, and the leak of a strip of width W bared on a sheet
// of thickness t over a plenum, 2 K(k)/K(k') with k = tanh(pi W/(4 t)) (a stripline's capacitance, conformal mapping).
func TestVolumeAgainstClosedForms(t *testing.T) {
	everywhere := func(int, int) bool { return true }
	series := volume{dx: even(3, 2), dy: even(2, 5), dz: append(even(4, 3), even(5, 1)...), plenum: everywhere,
		open: everywhere,
		k: func(_, _, iz int) (float64, float64) {
			if iz < 4 {
				return 1, 2
			}
			return 9, 0.5
		}}
	series.solve()
	sheettest.CloseTo(t, "two sheets", series.leak(), 60/(12/2.0+5/0.5), 1e-9)
	sheettest.CloseTo(t, "between them", series.above(0, 0, 3), 10.0/16, 1e-9)
	for _, width := range []float64{0.25, 0.5, 1, 2} {
		_, leak := twice(16, func(n int) (float64, float64) {
			v := volume{dx: even(5*n, 1/float64(n)), dy: even(1, 1), dz: even(n, 1/float64(n)), plenum: everywhere,
				open: func(ix, _ int) bool { return (float64(ix)+0.5)/float64(n) < width/2 },
				k:    func(int, int, int) (float64, float64) { return 1, 1 }}
			v.solve()
			return 0, 2 * v.leak()
		})
		sheettest.CloseTo(t, "bared strip", leak, stripline(width), 4e-3)
	}
}

// stripline is 2 K(k)/K(k'), k = tanh(pi w/4), by means of arithmetic and geometric means: K(k) = pi/(2 agm(1, k')).
func stripline(w float64) float64 {
	agm := func(a, b float64) float64 {
		for math.Abs(a-b) > 1e-14*a {
			a, b = (a+b)/2, math.Sqrt(a*b)
		}
		return a
	}
	return 2 * agm(1, math.Tanh(math.Pi*w/4)) / agm(1, 1/math.Cosh(math.Pi*w/4))
}
