package airflow

import (
	"math"
	"sort"

	"github.com/paulmach/orb"
	"github.com/paulmach/orb/clip"
	"github.com/paulmach/orb/planar"

	"staydown/hold/job"
	"staydown/sweep"
)

// ground tells what lies below a cell of the sweep.
type ground uint8

const (
	noGround  ground = iota // neither layer nor open gasketed zone: no vacuum, no leak
	blind                   // layer outside every open zone
	land                    // layer on an open zone, between its grooves
	breathing               // layer on a groove, or anywhere on an open zone without grooves
	gasketed                // open gasketed zone
)

// onLayer tells the grounds through which air creeps sideways.
func (g ground) onLayer() bool { return g == blind || g == land || g == breathing }

// held tells the grounds of open zones.
func (g ground) held() bool { return g == land || g == breathing || g == gasketed }

// region rasters the zones on the rows of the sweep's grid, with a ghost cell at each end of a row. A cell belongs to the area its centre is in, and to the first
// zone that claims it.
type region struct {
	grid  sweep.Grid // of the sweep, a cell wider on the left and on the right
	zones []job.Zone
	layer *job.Layer
	bound orb.Bound // of the layer: the smallest rectangle round all zones and blanks

	fringeMM float64 // how far beyond a groove's edge an exposed layer still breathes fully

	cuts []float64
}

func newRegion(grid sweep.Grid, stock sweep.Stock, j *job.Job, fringeMM float64) *region {
	r := &region{grid: grid, zones: j.Zones, layer: j.Layer, fringeMM: fringeMM}
	r.grid.OriginX -= grid.CellMM
	r.grid.NX += 2
	first := true
	grow := func(b orb.Bound) {
		if first {
			r.bound, first = b, false
			return
		}
		r.bound = r.bound.Union(b)
	}
	for _, blank := range stock.Blanks {
		grow(blank.Outline.Bound())
	}
	for _, zone := range j.Zones {
		grow(zone.Area.Bound())
	}
	return r
}

// rowCells is one row of the raster.
type rowCells struct {
	zone   []int32  // index of the zone, -1 for none
	ground []ground // below it
	leaky  []bool   // exposed here, the layer lets air into an open zone
	inside []bool   // the layer's rim runs round the cells inside
}

func newRowCells(n int) *rowCells {
	return &rowCells{
		zone: make([]int32, n), ground: make([]ground, n),
		leaky: make([]bool, n), inside: make([]bool, n),
	}
}

// fill rasters row iy.
func (r *region) fill(iy int, out *rowCells) {
	y := r.grid.OriginY + (float64(iy)+0.5)*r.grid.CellMM
	for ix := range out.zone {
		out.zone[ix] = -1
	}
	for i := len(r.zones) - 1; i >= 0; i-- {
		r.spans(r.zones[i].Area, y, func(ix int) { out.zone[ix] = int32(i) })
	}
	for ix := range out.zone {
		x := r.grid.OriginX + (float64(ix)+0.5)*r.grid.CellMM
		out.inside[ix] = r.layer != nil && x > r.bound.Min[0] && x < r.bound.Max[0] && y > r.bound.Min[1] && y < r.bound.Max[1]
		out.ground[ix], out.leaky[ix] = r.groundAt(out.zone[ix], out.inside[ix], x, y)
	}
}

func (r *region) groundAt(zone int32, inside bool, x, y float64) (ground, bool) {
	if zone < 0 {
		if inside {
			return blind, false
		}
		return noGround, false
	}
	z := &r.zones[zone]
	switch {
	case z.Seal == job.GasketSeal && z.Open:
		return gasketed, false
	case z.Seal == job.GasketSeal || r.layer == nil:
		return noGround, false
	case !z.Open:
		return blind, false
	case z.Groove == nil || blurred(*z.Groove, r.layer):
		return breathing, true
	}
	corner := z.Area.Bound().Min
	beside := math.Min(grooveDistance(x-corner[0], *z.Groove), grooveDistance(y-corner[1], *z.Groove))
	if beside <= 0 {
		return breathing, true
	}
	return land, beside <= r.fringeMM
}

// grooveDistance is how far a coordinate, counted from the zone's lowest corner, lies outside the nearest groove; negative within
// it. The first groove's middle is half a pitch from the corner.
func grooveDistance(s float64, g job.Groove) float64 {
	fromMiddle := math.Abs(math.Mod(math.Mod(s, g.PitchMM)+g.PitchMM, g.PitchMM) - g.PitchMM/2)
	return fromMiddle - g.WidthMM/2
}

// spans calls put for every cell of the row at y whose centre is in the polygon (even-odd rule, so that holes are out).
func (r *region) spans(polygon orb.Polygon, y float64, put func(ix int)) {
	r.cuts = r.cuts[:0]
	for _, ring := range polygon {
		for i := range ring {
			a, b := ring[i], ring[(i+1)%len(ring)]
			if (a[1] <= y) == (b[1] <= y) {
				continue
			}
			r.cuts = append(r.cuts, a[0]+(y-a[1])/(b[1]-a[1])*(b[0]-a[0]))
		}
	}
	sort.Float64s(r.cuts)
	for i := 0; i+1 < len(r.cuts); i += 2 {
		from := math.Ceil((r.cuts[i]-r.grid.OriginX)/r.grid.CellMM - 0.5)
		to := math.Ceil((r.cuts[i+1]-r.grid.OriginX)/r.grid.CellMM - 0.5)
		for ix := int(math.Max(from, 0)); ix < int(math.Min(to, float64(r.grid.NX))); ix++ {
			put(ix)
		}
	}
}

// beyondMM2 is the area of a zone that lies outside the sweep's grid, where no stock is.
func (r *region) beyondMM2(zone job.Zone) float64 {
	if len(zone.Area) == 0 {
		return 0
	}
	grid := orb.Bound{
		Min: orb.Point{r.grid.OriginX + r.grid.CellMM, r.grid.OriginY},
		Max: orb.Point{
			r.grid.OriginX + float64(r.grid.NX-1)*r.grid.CellMM,
			r.grid.OriginY + float64(r.grid.NY)*r.grid.CellMM,
		},
	}
	area := zone.Area.Clone()
	for i, ring := range area {
		if len(ring) > 0 && ring[0] != ring[len(ring)-1] {
			area[i] = append(ring, ring[0])
		}
	}
	if b := area.Bound(); grid.Contains(b.Min) && grid.Contains(b.Max) {
		return 0
	}
	whole := math.Abs(planar.Area(area))
	in := 0.0
	if part := clip.Polygon(grid, area.Clone()); part != nil {
		in = math.Abs(planar.Area(part))
	}
	return math.Max(0, whole-in)
}

// leakyShare is the part of a zone without stock that lets air in.
func (r *region) leakyShare(zone job.Zone) float64 {
	g := zone.Groove
	if g == nil || blurred(*g, r.layer) {
		return 1
	}
	dead := math.Max(0, g.PitchMM-g.WidthMM-2*r.fringeMM) / g.PitchMM
	return 1 - dead*dead
}
