package airflow

import (
	"math"
	"slices"

	"staydown/hold/job"
)

// field is the linear system for the transmission w of the covered part of every air cell,
//
//	div(kappa grad w) = a (w - 1) + (edges) w,
//
// divided by k_through/t: kappa in mm2, a (the breathing share of the area) without unit, so that every coefficient of the finite
// volumes is an area in mm2. w = 0 at the edge of what is exposed, w = 1 in the plenum.
//
// Over a plenum kappa is the square of the band that is lost beside an edge. That choice makes the lost area and the extra
// leak of an edge between wide areas exact for any thickness, and it keeps the identity of the exact three-dimensional problem,
// leak = k_through/t times (exposed area + lost area under the cover). For kerfs and pieces narrower than the thickness it
// overstates leak and loss: on a slit of a third of the thickness by 6 %, on narrower ones by more, never less.
// On a land, where no air comes from below, kappa is k_along t over the same unit: all the thickness carries the flow.
//
// Where cells are coarser than the band, faces and edges carry the factors that make the exact exponential profile a solution
// (exponential fitting, after Allen and Southwell 1955): the mean over the cell is then exact beside straight edges.
type field struct {
	*air
	sheet sheetMM

	in    []bool    // cells in the field
	kappa []float64 // mm2, per cell; fixed
	gain  []float32 // how much more than its lost area leaks, beside deep cuts; fixed

	area, breath []int32 // fine cells under cover; those of them on a plenum
	axial, diag  []int32 // sides and corners towards what is exposed
	area0        []int32 // at the start

	link   []float64 // conductance of each face, mm2
	source []float64 // to the plenum, mm2
	sink   []float64 // to what is exposed, mm2
	w      []float64
}

// blindReach is how far the field follows the layer beyond the zones, in units of t s: sideways flow from further away
// adds less than 1/10 of t s of bared width per length of the zone's rim.
const blindReach = 10

// bandSpread is how far from a deep cut its wider band counts, in bands.
const bandSpread = 3

func newField(a *air, j *job.Job) *field {
	n := a.grid.NX * a.grid.NY
	f := &field{
		air: a, sheet: newSheetMM(j.Layer),
		in: make([]bool, n), kappa: make([]float64, n), gain: make([]float32, n),
		area: make([]int32, n), breath: make([]int32, n), axial: make([]int32, n), diag: make([]int32, n), area0: make([]int32, n),
		link: make([]float64, 2*n), source: make([]float64, n), sink: make([]float64, n), w: make([]float64, n),
	}
	f.tally()
	cellsIn := func(mm float64) int { return int(math.Ceil(mm / a.grid.CellMM)) }
	near := make([]float32, n)
	for i := range a.groups {
		if g := &a.groups[i]; g.ground == land || g.ground == breathing {
			near[g.cell] = 1
		}
	}
	spread(near, a.grid.NX, a.grid.NY, cellsIn(blindReach*f.sheet.reach))
	share := make([]float32, n)
	for i := range share {
		share[i] = float32(float64(a.deepMM[i]) / f.sheet.thickness)
		if a.atRim[i] {
			share[i] = 1
		}
	}
	spread(share, a.grid.NX, a.grid.NY, cellsIn(bandSpread*fullBand*f.sheet.reach))
	coarse := coarseLandMM(j, a.grid.CellMM)
	for i := range f.kappa {
		f.in[i] = near[i] > 0 && f.area0[i] > 0
		if !f.in[i] {
			continue
		}
		phi := float64(f.breath[i]) / float64(f.area0[i])
		reach := f.sheet.reach
		lambda := band(float64(share[i])) * reach
		f.kappa[i] = phi*lambda*lambda + (1-phi)*reach*reach
		if coarse > 0 {
			f.kappa[i] = math.Max(f.kappa[i], phi*coarse*coarse/4)
		}
		f.gain[i] = float32(fringe(float64(share[i])))
		f.w[i] = 1
	}
	for i := range f.kappa {
		f.refresh(i)
	}
	for face := range f.link {
		f.link[face] = f.across(face)
	}
	return f
}

// coarseLandMM is the width of the widest land that the air cells cannot tell from its grooves, 0 if there is none. A cut may
// then lie anywhere on a land, and the field is made to reach half of it.
func coarseLandMM(j *job.Job, cellMM float64) float64 {
	widest := 0.0
	for _, zone := range j.Zones {
		g := zone.Groove
		if g == nil || !zone.Open || zone.Seal != job.LayerSeal {
			continue
		}
		if land := g.PitchMM - g.WidthMM; land > 0 && cellMM > math.Min(g.WidthMM, land) {
			widest = math.Max(widest, land)
		}
	}
	return widest
}

// cells lists the cells of the field.
func (f *field) cells() []int32 {
	var all []int32
	for i, in := range f.in {
		if in {
			all = append(all, int32(i))
		}
	}
	return all
}

// update computes the coefficients of changed cells and of their faces anew and gives all cells whose balance may have changed,
// in rising order.
func (f *field) update(changed []int32) []int32 {
	slices.Sort(changed)
	changed = slices.Compact(changed)
	var felt []int32
	nx, n := f.grid.NX, f.grid.NX*f.grid.NY
	for _, c := range changed {
		f.refresh(int(c))
	}
	for _, c := range changed {
		cell := int(c)
		felt = append(felt, c)
		for _, other := range [4]int{cell - 1, cell + 1, cell - nx, cell + nx} {
			if other < 0 || other >= n {
				continue
			}
			felt = append(felt, int32(other))
			face := 2 * min(cell, other)
			if other == cell-nx || other == cell+nx {
				face++
			}
			f.link[face] = f.across(face)
		}
	}
	slices.Sort(felt)
	return slices.Compact(felt)
}

// lostRow is the bared area that would let in what reaches the plenum under the cover of one row of cells, mm2.
func (f *field) lostRow(row int) float64 {
	sum := 0.0
	for cell := row * f.grid.NX; cell < (row+1)*f.grid.NX; cell++ {
		if f.source[cell] > 0 {
			sum += float64(f.gain[cell]) * f.source[cell] * (1 - f.w[cell])
		}
	}
	return sum
}

// perimeterMM is the length of edges from counts of sides and corners on a square grid, after the Cauchy-Crofton formula with
// four directions. It is scaled to be exact along the axes and the diagonals; in between it is up to 8.2 % too long, never too short.
func perimeterMM(axial, diagonal int32, fineMM float64) float64 {
	return fineMM * (float64(axial) + float64(diagonal)/math.Sqrt2) / (1 + math.Sqrt2)
}

// edge is the conductance from the mean of an area to its perimeter, mm2, for a profile that starts at 0 on the perimeter and
// goes towards 1 with the decay length sqrt(kappa/a): P (kappa/lambda)/(1 - (1-exp(-y))/y), y = A/(P lambda).
// For y -> 0 it is 2 kappa P^2/A, half a cell of plain conduction.
func edge(areaMM2, perimeterMM, kappa, a float64) float64 {
	if perimeterMM <= 0 || areaMM2 <= 0 {
		return 0
	}
	depth := areaMM2 / perimeterMM
	rate := math.Sqrt(a / kappa)
	y := depth * rate
	if y < 1e-3 {
		return 2 * kappa * perimeterMM / depth * (1 + y/3)
	}
	return perimeterMM * kappa * rate / meanRise(y)
}

// meanRise is the mean of 1 - exp(-x) over 0 < x < y.
func meanRise(y float64) float64 { return 1 + math.Expm1(-y)/y }

// across is the conductance of a face between two cells under the stock, mm2.
func (f *field) across(face int) float64 {
	i, j := face/2, face/2+1
	if face%2 == 1 {
		j = i + f.grid.NX
	}
	if f.contact[face] == 0 || f.area[i] <= 0 || f.area[j] <= 0 || !f.in[i] || !f.in[j] {
		return 0
	}
	width := float64(f.contact[face]) * f.fineMM
	fine := f.fineMM * f.fineMM
	li := math.Min(f.grid.CellMM, float64(f.area[i])*fine/width)
	lj := math.Min(f.grid.CellMM, float64(f.area[j])*fine/width)
	kappa := (li + lj) / (li/f.kappa[i] + lj/f.kappa[j])
	share := (float64(f.breath[i])/float64(f.area[i]) + float64(f.breath[j])/float64(f.area[j])) / 2
	return width * fitted(math.Min(li, lj), math.Max(li, lj), kappa, math.Sqrt(share/kappa))
}

// fitted is the conductance per width between the means of two neighbours of the given depths for which 1 - exp(-rate x), counted from
// the outer side of the shallower one, is a solution. For equal depths d it is kappa/d (z/sinh z)^2, z = rate d/2, and so
// holds for rising and falling profiles alike; a shallower cell is one that an edge cuts through.
func fitted(near, far, kappa, rate float64) float64 {
	y := rate * near
	if y+rate*far < 1e-3 {
		return 2 * kappa / (near + far)
	}
	fall := math.Exp(-y)
	return kappa * rate * fall / (meanRise(rate*far)*fall - (fall - 1 + meanRise(y)))
}

// refresh computes the cell's own conductances anew.
func (f *field) refresh(cell int) {
	f.source[cell], f.sink[cell] = 0, 0
	n := f.area[cell]
	if n <= 0 || !f.in[cell] {
		f.w[cell] = 0
		return
	}
	fine := f.fineMM * f.fineMM
	area := float64(n) * fine
	breath := float64(f.breath[cell]) * fine
	f.source[cell] = breath
	if rim := float64(f.rim[cell]) * f.fineMM * float64(n) / float64(f.area0[cell]); rim > 0 {
		land := math.Max(area-breath, fine) / rim
		f.source[cell] += rim / (1/(grooveLink*f.sheet.reach) + land/(2*f.sheet.reach*f.sheet.reach))
	}
	f.sink[cell] = edge(area, perimeterMM(f.axial[cell], f.diag[cell], f.fineMM), f.kappa[cell], breath/area)
}

// tally sums the groups of every cell.
func (f *field) tally() {
	for i := range f.groups {
		f.countGroup(&f.groups[i], 1)
	}
	copy(f.area0, f.area)
}

func (f *field) countGroup(g *group, sign int32) {
	if !g.ground.onLayer() {
		return
	}
	f.area[g.cell] += sign * g.area
	if g.ground == breathing {
		f.breath[g.cell] += sign * g.area
	}
	f.axial[g.cell] += sign * g.axial
	f.diag[g.cell] += sign * g.diagonal
}

// residual is what is missing in the cell's balance, mm2.
func (f *field) residual(cell int) float64 {
	sum := f.source[cell] - (f.source[cell]+f.sink[cell])*f.w[cell]
	ix, iy := cell%f.grid.NX, cell/f.grid.NX
	if ix > 0 {
		sum += f.link[2*(cell-1)] * (f.w[cell-1] - f.w[cell])
	}
	if ix+1 < f.grid.NX {
		sum += f.link[2*cell] * (f.w[cell+1] - f.w[cell])
	}
	if iy > 0 {
		sum += f.link[2*(cell-f.grid.NX)+1] * (f.w[cell-f.grid.NX] - f.w[cell])
	}
	if iy+1 < f.grid.NY {
		sum += f.link[2*cell+1] * (f.w[cell+f.grid.NX] - f.w[cell])
	}
	return sum
}

// scale is what a residual is measured by: with |residual| <= tol scale everywhere the error of w is at most tol, because the
// matrix is an M-matrix whose row sums are source + sink (discrete maximum principle). Where both are small, on lands, a
// hundredth of the area stands in for them; the bound then is tol L^2/(800 kappa) on a land of width L, or less.
func (f *field) scale(cell int) float64 {
	return math.Max(f.source[cell]+f.sink[cell], 0.01*float64(f.area[cell])*f.fineMM*f.fineMM)
}
