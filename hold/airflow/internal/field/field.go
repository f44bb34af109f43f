// Package field solves the transmission w of squared pressure under the cover, and keeps it solved while more is cut.
//
//	      link            link       finite volumes: links between neighbors, source to the plenum below,
//	  o -------- o ---------- o      sink and drain to what is exposed.
//	  |          |
//	  | source   | sink              tiles of 8 x 8 cells: only those whose balance is off are solved anew, with
//	plenum      air                  those round them as long as the correction is felt there.
//
// The error of w stays below the solver's tolerance (discrete maximum principle). It does not know pumps, pressures in
// Pa, or which piece a cell belongs to.
package field

import (
	"maps"
	"math"
	"slices"

	"staydown/hold/airflow/internal/cells"
	"staydown/hold/airflow/internal/layer"
)

// Field is the linear system for the transmission w of the covered part of every air cell,
//
//	div(kappa grad w) = a (w - 1) + b w + (edges) w,
//
// divided by k_through/t: kappa in mm2, a (the breathing share of the area) without unit, b (of work that breathes: its
// permeability over its height in the same measure) without unit, so that every coefficient of the finite volumes is an
// area in mm2. w = 0 in the air, at the edge of what is exposed and above the work, w = 1 in the plenum.
//
// Over a plenum kappa/a is the square of the width that is lost beside an edge. That choice makes the lost area and the
// extra leak of an edge between wide areas exact for any thickness, and of kerfs narrower than it too (narrow); and it
// keeps the identity of the exact three-dimensional problem, leak = k_through/t times (exposed area + lost area under
// the cover). For pieces narrower than the thickness it overstates the loss. a is less than 1 over grooves that are not
// told apart (layer.Sheet.Share). On a land, where no air comes from below, kappa is k_along t over the same unit: all
// the thickness carries the flow.
//
// Where cells are coarser than that width, faces and edges carry the factors that make the exact exponential profile a
// solution (exponential fitting, after Allen and Southwell 1955): the mean over the cell is then exact beside straight
// edges.
type Field struct {
	*cells.Air
	sheet *layer.Sheet
	work  layer.Porosity

	in    []bool    // cells in the field
	kappa []float64 // mm2, per cell; fixed

	area, breath []int32       // fine cells under cover; those of them on a plenum
	seep         []float64     // of work that breathes: covered area over its height, mm; nil for tight work
	edges        []cells.Sides // towards what is exposed
	area0        []int32       // at the start

	link   []float64 // conductance of each face, mm2
	source []float64 // to the plenum, mm2
	sink   []float64 // to what is exposed and through the work, mm2
	drain  []float64 // flow to what is exposed at w = 0, mm2; at most source
	w      []float64

	ZonesApart bool      // zones have ducts of their own
	coarse     bool      // see grooveedge.go
	mixed      [][]int32 // by row: cells with edges towards other ways than kerfs

	// The conductance per width of the face looked at last: faces of whole cells beside each other are mostly alike.
	lastFace struct {
		of          [4]float64 // near, far, kappa and share, see across
		conductance float64
	}
}

// blindReach is how far the field follows the layer beyond the zones, in units of t s: sideways flow from further away
// adds less than 1/10 of t s of bared width per length of the zone's rim.
const blindReach = 10

// cutReach is how far from a deep cut its greater loss counts, in widths of that loss.
const cutReach = 3

// New sums the cells as they lie at the start over a layer, with the work on it (nil for tight work); coarseMM is
// the width of the widest land that the air cells cannot tell from its grooves.
func New(a *cells.Air, sheet *layer.Sheet, work *layer.Porosity, coarseMM float64) *Field {
	n := a.Grid.NX * a.Grid.NY
	f := &Field{
		Air: a, sheet: sheet,
		in: make([]bool, n), kappa: make([]float64, n),
		area: make([]int32, n), breath: make([]int32, n), edges: make([]cells.Sides, n), area0: make([]int32, n),
		link: make([]float64, 2*n), source: make([]float64, n), sink: make([]float64, n), drain: make([]float64, n),
		w: make([]float64, n),
	}
	f.mixed = make([][]int32, a.Grid.NY)
	for _, cell := range slices.Sorted(maps.Keys(a.EdgeWays)) {
		f.mixed[int(cell)/a.Grid.NX] = append(f.mixed[int(cell)/a.Grid.NX], cell)
	}
	if work != nil {
		f.seep = make([]float64, n)
		f.work = *work
	}
	f.tally()
	f.coarse = coarseMM == 0 && sheet.ToldApart() && a.Grid.CellMM >= f.beyondEdgeMM()
	f.conduct(coarseMM)
	for i := range f.kappa {
		f.refresh(i)
	}
	for face := range f.link {
		f.link[face] = f.across(face)
	}
	return f
}

// conduct finds which cells are in the field, and kappa of each.
func (f *Field) conduct(coarseMM float64) {
	near, all := f.nearZones(), cells.Extent{X1: f.Grid.NX, Y1: f.Grid.NY}
	cutShare, width := f.cutShares(all), f.openWidths(all)
	for i := range f.kappa {
		if f.in[i] = near[i] > 0 && f.area0[i] > 0; f.in[i] {
			f.kappa[i], f.w[i] = f.kappaOf(i, cutShare[i], width[i], coarseMM), 1
		}
	}
}

// kappaOf is kappa of a cell in the field: cutShare is the deepest cut nearby as a share of the layer's thickness,
// width that of what lies open nearby in the end.
func (f *Field) kappaOf(i int, cutShare, width float32, coarseMM float64) float64 {
	phi := float64(f.breath[i]) / float64(f.area0[i])
	zone := f.zoneOf(i)
	narrower := layer.SurfaceLossWidth * (1 - f.sheet.Narrow(float64(width), zone))
	lambda := (layer.EdgeLossWidth(float64(cutShare)) - narrower) * f.sheet.ReachIn(zone)
	kappa := phi*lambda*lambda*f.sheet.Share(zone) + (1-phi)*f.sheet.Reach*f.sheet.Reach
	if f.seep != nil {
		kappa += f.work.Sideways(f.seep[i]/(float64(f.area0[i])*f.FineMM*f.FineMM), kappa)
	}
	if coarseMM > 0 {
		kappa = math.Max(kappa, phi*coarseMM*coarseMM/4)
	}
	return kappa
}

// nearZones is 1 for the cells to which the field follows the layer beyond the zones, else 0.
func (f *Field) nearZones() []float32 {
	near := make([]float32, len(f.kappa))
	for i := range f.Groups {
		if g := &f.Groups[i]; g.Support == cells.Land || g.Support == cells.Breathing {
			near[g.Cell] = 1
		}
	}
	dilate(near, f.Grid.NX, f.Grid.NY, int(math.Ceil(blindReach*f.sheet.Reach/f.Grid.CellMM)))
	return near
}

// cutShares is the deepest cut near each cell of an extent, as a share of the layer's thickness.
func (f *Field) cutShares(e cells.Extent) []float32 {
	nx, ny := e.Size()
	share := make([]float32, nx*ny)
	for k := range share {
		i := e.Cell(k, f.Grid.NX)
		share[k] = float32(float64(f.DeepMM[i]) / f.sheet.Thickness)
		if f.AtRim[i] {
			share[k] = 1
		}
	}
	dilate(share, nx, ny, f.cutReachCells())
	return share
}

// cutReachCells is how many cells from a deep cut its greater loss counts.
func (f *Field) cutReachCells() int {
	return int(math.Round(cutReach * layer.FullLossWidth * f.sheet.Reach / f.Grid.CellMM))
}

// cells lists the cells of the field.
func (f *Field) cells() []int32 {
	var all []int32
	for i, in := range f.in {
		if in {
			all = append(all, int32(i))
		}
	}
	return all
}

// update computes the coefficients of changed cells and of their faces anew and gives all cells whose balance may have
// changed, in rising order.
func (f *Field) update(changed []int32) []int32 {
	slices.Sort(changed)
	changed = slices.Compact(changed)
	var felt []int32
	nx, n := f.Grid.NX, f.Grid.NX*f.Grid.NY
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

// edge gives the flow from an area to its perimeter, sink w + drain for the mean w of the area, both in mm2.
//
// It is exact for every profile 1 - A exp(-x) - B exp(x), x in decay lengths sqrt(kappa/a), that is 0 on the perimeter:
// over the depth y the flow per length is a lambda ((y/(cosh y - 1)) w + (sinh y - y)/(cosh y - 1)). Half cells of
// plain conduction, 2 kappa/depth, are its limit for y -> 0; a strip bared on both sides, whose depth is half its
// width, gets the mean of the closed form, 1 - tanh(y)/y. The drain is never more than the area's share of the plenum,
// so that w >= 0.
func edge(perimeterMM, depth, kappa, a float64) (sink, drain float64) {
	if perimeterMM <= 0 || depth <= 0 {
		return 0, 0
	}
	rate := math.Sqrt(a / kappa)
	y := depth * rate
	switch {
	case y < 1e-2:
		return 2 * kappa * perimeterMM / depth * (1 - y*y/12), perimeterMM * a * depth / 3 * (1 - y*y/30)
	case y > 40:
		return 0, perimeterMM * kappa * rate
	}
	wide := math.Cosh(y) - 1
	return perimeterMM * kappa * rate * y / wide, perimeterMM * kappa * rate * (math.Sinh(y) - y) / wide
}

// meanRise is the mean of 1 - exp(-x) over 0 < x < y.
func meanRise(y float64) float64 { return 1 + math.Expm1(-y)/y }

// across is the conductance of a face between two cells under the stock, mm2.
func (f *Field) across(face int) float64 {
	i, j := face/2, face/2+1
	if face%2 == 1 {
		j = i + f.Grid.NX
	}
	if f.FaceWidth[face] == 0 || f.area[i] <= 0 || f.area[j] <= 0 || !f.in[i] || !f.in[j] {
		return 0
	}
	width := float64(f.FaceWidth[face]) * f.FineMM
	fine := f.FineMM * f.FineMM
	li := math.Min(f.Grid.CellMM, float64(f.area[i])*fine/width)
	lj := math.Min(f.Grid.CellMM, float64(f.area[j])*fine/width)
	switch {
	case !f.atGrooveEdge(i, j):
	case f.breath[i] > 0:
		return width * f.landLink(i, j, li, lj)
	default:
		return width * f.landLink(j, i, lj, li)
	}
	kappa := (li + lj) / (li/f.kappa[i] + lj/f.kappa[j])
	share := (f.share(i) + f.share(j)) / 2
	if k := [4]float64{math.Min(li, lj), math.Max(li, lj), kappa, share}; k != f.lastFace.of {
		f.lastFace.of, f.lastFace.conductance = k, fitted(k[0], k[1], kappa, math.Sqrt(share/kappa))
	}
	return width * f.lastFace.conductance
}

// fitted is the conductance per width between the means of two neighbors of the given depths for which 1 - exp(-rate
// x), counted from the outer side of the shallower one, is a solution. For equal depths d it is kappa/d (z/sinh z)^2, z
// = rate d/2, and so holds for rising and falling profiles alike; a shallower cell is one that an edge cuts through.
func fitted(near, far, kappa, rate float64) float64 {
	y := rate * near
	if y+rate*far < 1e-3 {
		return 2 * kappa / (near + far)
	}
	fall := math.Exp(-y)
	return kappa * rate * fall / (meanRise(rate*far)*fall - (fall - 1 + meanRise(y)))
}

// refresh computes the cell's own conductances anew.
func (f *Field) refresh(cell int) {
	f.source[cell], f.sink[cell], f.drain[cell] = 0, 0, 0
	n := f.area[cell]
	if n <= 0 || !f.in[cell] {
		f.w[cell] = 0
		return
	}
	fine := f.FineMM * f.FineMM
	area := float64(n) * fine
	breath := float64(f.breath[cell]) * fine * f.sheet.Share(f.zoneOf(cell))
	f.source[cell] = breath
	if rim := float64(f.Rim[cell]) * f.FineMM * float64(n) / float64(f.area0[cell]); rim > 0 && f.breath[cell] < n {
		land := math.Max(area-breath, fine) / rim
		if f.coarse {
			f.source[cell] = 0 // all of it comes past the edge
		}
		f.source[cell] += rim * f.landSource(cell, land)
	}
	through := f.throughWork(cell)
	edges := f.edges[cell]
	length := edges.Length() * f.FineMM
	sink, drain := edge(length, area/length*edges.Straightness(), f.kappa[cell], (breath+through)/area)
	f.sink[cell], f.drain[cell] = sink+through, drain*f.inner(cell)
}

// zoneOf is the index of the zone that a cell reaches into, -1 for none.
func (f *Field) zoneOf(cell int) int { return int(f.Zone[cell]) - 1 }

// Cover is what lies on the layer in one air cell.
type Cover struct {
	Area, Breath int32   // cells of the sweep; those of them on a plenum
	Seep         float64 // of work that breathes: covered area over its height, mm
}

// Transmission is the mean w under the cover of a cell.
func (f *Field) Transmission(cell int) float64 { return f.w[cell] }

// Decay is what w tends to far behind an edge of the cover of a cell, and how fast: the reciprocal of the decay length.
func (f *Field) Decay(cell int, c Cover) (inner, perMM float64) {
	share, inner := float64(c.Breath)/float64(c.Area)*f.sheet.Share(f.zoneOf(cell)), 1.0
	if f.seep != nil {
		// Faced on top nothing comes through: on a land alone, share is 0 as well.
		if through := f.work.ThroughMM * max(0, c.Seep) / (float64(c.Area) * f.FineMM * f.FineMM); through > 0 {
			share, inner = share+through, share/(share+through)
		}
	}
	return inner, math.Sqrt(share / f.kappa[cell])
}

// throughWork is the conductance of the work on a cell, mm2.
func (f *Field) throughWork(cell int) float64 {
	if f.seep == nil {
		return 0
	}
	return f.work.ThroughMM * math.Max(0, f.seep[cell])
}

// share is a + b of a cell, see field.
func (f *Field) share(cell int) float64 {
	area := float64(f.area[cell])
	share := float64(f.breath[cell]) / area * f.sheet.Share(f.zoneOf(cell))
	if f.seep != nil {
		share += f.throughWork(cell) / (area * f.FineMM * f.FineMM)
	}
	return share
}

// inner is the transmission far from every edge: that of layer and work in series.
func (f *Field) inner(cell int) float64 {
	through := f.throughWork(cell)
	if through == 0 {
		return 1
	}
	breath := float64(f.breath[cell]) * f.FineMM * f.FineMM * f.sheet.Share(f.zoneOf(cell))
	return breath / (breath + through)
}

// tally sums the groups of every cell as they lie at the start.
func (f *Field) tally() {
	for i := range f.Groups {
		g := &f.Groups[i]
		f.count(g, &cells.Event{Area: g.Area, Sides: g.Sides, Seep: g.Seep})
	}
	copy(f.area0, f.area)
}

// Expose counts what an event changes in its cell; way tells how air gets in there. It tells whether that is a cell of
// the layer.
func (f *Field) Expose(g *cells.Group, e *cells.Event, way cells.Way) bool {
	if !g.Support.OnLayer() {
		return false
	}
	if length := e.Sides.Length(); way == cells.Holes && length > 0 {
		if row := int(g.Cell) / f.Grid.NX; f.EdgeWays[g.Cell] == nil {
			f.mixed[row] = append(f.mixed[row], g.Cell)
		}
		f.EdgeWays.Add(g.Cell, cells.Holes, length)
	}
	f.count(g, e)
	return true
}

// Close narrows a face, and gives one of the two cells beside it.
func (f *Field) Close(c cells.Closure) (cell int32) {
	f.FaceWidth[c.Face] -= uint16(c.N)
	return c.Face / 2
}

func (f *Field) count(g *cells.Group, e *cells.Event) {
	if !g.Support.OnLayer() {
		return
	}
	f.area[g.Cell] += e.Area
	if f.seep != nil {
		f.seep[g.Cell] += float64(e.Seep)
	}
	if g.Support == cells.Breathing {
		f.breath[g.Cell] += e.Area
	}
	f.edges[g.Cell].Add(e.Sides, 1)
}

// residual is what is missing in the cell's balance, mm2.
func (f *Field) residual(cell int) float64 {
	sum := f.source[cell] - f.drain[cell] - (f.source[cell]+f.sink[cell])*f.w[cell]
	ix, iy := cell%f.Grid.NX, cell/f.Grid.NX
	if ix > 0 {
		sum += f.link[2*(cell-1)] * (f.w[cell-1] - f.w[cell])
	}
	if ix+1 < f.Grid.NX {
		sum += f.link[2*cell] * (f.w[cell+1] - f.w[cell])
	}
	if iy > 0 {
		sum += f.link[2*(cell-f.Grid.NX)+1] * (f.w[cell-f.Grid.NX] - f.w[cell])
	}
	if iy+1 < f.Grid.NY {
		sum += f.link[2*cell+1] * (f.w[cell+f.Grid.NX] - f.w[cell])
	}
	return sum
}

// scale is what a residual is measured by: with |residual| <= tol scale everywhere the error of w is at most tol,
// because the matrix is an M-matrix whose row sums are source + sink (discrete maximum principle). Where both are
// small, on lands, a hundredth of the area stands in for them; the bound then is tol L^2/(800 kappa) on a land of width
// L, or less.
func (f *Field) scale(cell int) float64 {
	return math.Max(f.source[cell]+f.sink[cell], 0.01*float64(f.area[cell])*f.FineMM*f.FineMM)
}
