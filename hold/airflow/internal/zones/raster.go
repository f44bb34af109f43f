// Package zones tells what lies below each cell of the sweep: nothing, a blind layer, a land, a groove or an open
// gasketed zone.
//
//	. . . . . . . .    . outside the layer
//	. b b b b b b .    b blind: layer, no open zone
//	. b l g l g b .    l land
//	. b g g g g b .    g groove, or all of a zone without grooves
//	. b l g l g b .
//
// A cell belongs to the area its center is in, and to the first zone that claims it. It does not know what lies above.
package zones

import (
	"math"
	"slices"
	"sort"

	"github.com/paulmach/orb"
	"github.com/paulmach/orb/clip"
	"github.com/paulmach/orb/planar"

	"staydown/hold/airflow/internal/cells"
	"staydown/hold/airflow/internal/layer"
	"staydown/hold/job"
	"staydown/sweep"
)

// Raster rasters the zones on the rows of the sweep's grid, with a ghost cell at each end of a row. A cell belongs to
// the area its center is in, and to the first zone that claims it.
type Raster struct {
	grid  sweep.Grid // of the sweep, a cell wider on the left and on the right
	Zones []job.Zone
	layer *job.Layer
	bound orb.Bound // of the layer: the smallest rectangle round all zones and blanks

	fringeMM float64 // how far beyond a groove's edge an exposed layer still breathes fully

	insideFrom, insideTo int          // columns within the layer's rim
	rasters              []zoneRaster // of the zones
}

// New lays the zones on the grid of a sweep of a stock.
func New(grid sweep.Grid, stock sweep.Stock, j *job.Job, fringeMM float64) *Raster {
	r := &Raster{grid: grid, Zones: j.Zones, layer: j.Layer, fringeMM: fringeMM}
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
	x := func(ix int) float64 { return r.grid.OriginX + (float64(ix)+0.5)*r.grid.CellMM }
	r.insideFrom = sort.Search(r.grid.NX, func(ix int) bool { return x(ix) > r.bound.Min[0] })
	r.insideTo = sort.Search(r.grid.NX, func(ix int) bool { return x(ix) >= r.bound.Max[0] })
	ghosts := r.grid // with a ghost row below and above
	ghosts.OriginY -= grid.CellMM
	ghosts.NY += 2
	for i := range r.Zones {
		b := r.newZoneRaster(&r.Zones[i])
		b.spans = ghosts.Fill(r.Zones[i].Area)
		r.rasters = append(r.rasters, b)
	}
	return r
}

// Place is what lies below a cell.
type Place struct {
	Zone    int16 // index of the zone, -1 for none
	Support cells.Support
	Leaky   bool // exposed here, the layer lets air into an open zone
	Inside  bool // the layer's rim runs round the cells inside
}

// Row is one row of the raster.
type Row struct {
	Place   []Place
	Ends    []int32 // of the stretch of equal places that each is in
	painted []stretch
	next    []stretch // scratch
}

// stretch is a part of a row that is painted over those before it. Rows of the same stretches are alike.
type stretch struct {
	from, to int
	zone     int16 // -1: the layer outside the zones
	along    bool  // a groove runs along it
	leaky    bool  // all of it is
}

// Fill rasters row iy.
func (r *Raster) Fill(iy int, out *Row) {
	y := r.grid.OriginY + (float64(iy)+0.5)*r.grid.CellMM
	next := out.next[:0]
	if r.layer != nil && y > r.bound.Min[1] && y < r.bound.Max[1] {
		next = append(next, stretch{from: r.insideFrom, to: r.insideTo, zone: -1})
	}
	for i := len(r.Zones) - 1; i >= 0; i-- {
		b := &r.rasters[i]
		along, leaky := b.at(y, r.fringeMM)
		for _, s := range b.spans[iy+1] {
			next = append(next, stretch{int(s.From), int(s.To), int16(i), along, leaky})
		}
	}
	out.next = out.painted
	if out.painted != nil && slices.Equal(next, out.painted) {
		out.next = next
		return
	}
	out.painted = next
	for ix := range out.Place {
		out.Place[ix] = Place{Zone: -1}
	}
	for _, s := range out.painted {
		r.paint(s, out.Place)
	}
	n := len(out.Place)
	out.Ends = append(out.Ends[:0], make([]int32, n)...)
	for ix := n - 1; ix >= 0; ix-- {
		if out.Ends[ix] = int32(ix) + 1; ix+1 < n && out.Place[ix] == out.Place[ix+1] {
			out.Ends[ix] = out.Ends[ix+1]
		}
	}
}

func (r *Raster) paint(s stretch, out []Place) {
	if s.zone < 0 {
		for ix := s.from; ix < s.to; ix++ {
			out[ix].Support, out[ix].Inside = cells.Blind, true
		}
		return
	}
	b := &r.rasters[s.zone]
	for ix := s.from; ix < s.to; ix++ {
		p := &out[ix]
		p.Zone, p.Support, p.Leaky = s.zone, b.support, s.leaky
		switch {
		case s.along:
			p.Support = cells.Breathing
		case b.grooveMask != nil:
			p.Support, p.Leaky = b.grooveMask.support[ix], s.leaky || b.grooveMask.leaky[ix]
		}
	}
}

// zoneRaster is what lies below a zone.
type zoneRaster struct {
	bound       orb.Bound
	spans       [][]sweep.Span // by row, from the ghost row below the grid
	support     cells.Support  // everywhere, without grooves
	leaky       bool
	*grooveMask // nil without grooves
}

// grooveMask is what grooves along Y make of the columns of the grid; those along X come on top.
type grooveMask struct {
	job.Groove
	support []cells.Support
	leaky   []bool
}

func (r *Raster) newZoneRaster(z *job.Zone) zoneRaster {
	b := zoneRaster{bound: z.Area.Bound()}
	switch {
	case z.Seal == job.GasketSeal && z.Open:
		b.support = cells.Gasketed
	case z.Seal == job.GasketSeal || r.layer == nil:
		b.support = cells.NoSupport
	case !z.Open:
		b.support = cells.Blind
	case z.Groove == nil || layer.Blurred(*z.Groove, r.layer):
		b.support, b.leaky = cells.Breathing, true
	default:
		b.grooveMask = r.newGrooveMask(*z.Groove, b.bound.Min[0])
	}
	return b
}

func (r *Raster) newGrooveMask(g job.Groove, cornerX float64) *grooveMask {
	c := &grooveMask{Groove: g, support: make([]cells.Support, r.grid.NX), leaky: make([]bool, r.grid.NX)}
	for ix := range c.support {
		x := r.grid.OriginX + (float64(ix)+0.5)*r.grid.CellMM
		beside := GrooveDistance(x-cornerX, g)
		c.support[ix], c.leaky[ix] = cells.Land, beside <= math.Max(0, r.fringeMM)
		if beside <= 0 {
			c.support[ix] = cells.Breathing
		}
	}
	return c
}

// at tells whether a groove runs along the row at y, and whether all of the row is leaky.
func (b *zoneRaster) at(y, fringeMM float64) (along, leaky bool) {
	if b.grooveMask == nil {
		return false, b.leaky
	}
	beside := GrooveDistance(y-b.bound.Min[1], b.Groove)
	return beside <= 0, beside <= math.Max(0, fringeMM)
}

// GrooveDistance is how far a coordinate, counted from the zone's lowest corner, lies outside the nearest groove;
// negative within it. The first groove's middle is half a pitch from the corner.
func GrooveDistance(s float64, g job.Groove) float64 {
	fromMiddle := math.Abs(math.Mod(math.Mod(s, g.PitchMM)+g.PitchMM, g.PitchMM) - g.PitchMM/2)
	return fromMiddle - g.WidthMM/2
}

// BeyondMM2 is the area of a zone that lies outside the sweep's grid, where no stock is.
func (r *Raster) BeyondMM2(zone job.Zone) float64 {
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

// LeakyShare is the part of a zone without stock that lets air in.
func (r *Raster) LeakyShare(zone job.Zone) float64 {
	g := zone.Groove
	if g == nil || layer.Blurred(*g, r.layer) {
		return 1
	}
	dead := math.Max(0, g.PitchMM-g.WidthMM-2*r.fringeMM) / g.PitchMM
	return 1 - dead*dead
}
