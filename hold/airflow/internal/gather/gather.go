// Package gather reads a sweep row by row and sorts what happens by air cell and time.
//
//	record -> rows of cells -> runs of one kind -> pairs of cells -> pending rows -> groups, events, closures
//
//	row band   ##########......####   two rows of fine cells at a time; each side and corner between two cells counts
//	           ####################   for the one whose row the band owns
//
// All that happens in one air cell within a time bin counts as happening at its earliest moment: cells are exposed
// early by no more than the time the tool takes to cross one. It does not know pressure.
package gather

import (
	"cmp"
	"maps"
	"runtime"
	"slices"

	"staydown/hold/airflow/internal/cells"
	"staydown/hold/airflow/internal/layer"
	"staydown/hold/airflow/internal/zones"
	"staydown/hold/job"
	"staydown/sweep"
	"staydown/sweep/parallel"
)

// input is what all row bands read. In the air cells, which they share, each writes only at cells of its own.
type input struct {
	*cells.Air
	src   Source
	zones *zones.Raster
	layer *job.Layer
	work  *layer.Work // nil for tight work
	sheet *layer.Sheet
	bins  *timeBins
}

// found is what a row band finds, in order of its air cells.
type found struct {
	groups   []cells.Group
	ends     []int32         // of the groups of each air cell
	events   [][]cells.Event // in blocks of eventBlock
	closures []cells.Closure
	opened   []cells.Breach // earliest per zone

	cells.Exposure                  // at the start
	byZone         []cells.ZoneArea // the same by zone, from 1
	edgeWays       cells.EdgeWays   // at the start
}

// eventBlock is how many events are kept together, so that none is moved as they become more.
const eventBlock = 1 << 12

func (f *found) addEvent(e *cells.Event) {
	last := len(f.events) - 1
	if last < 0 || len(f.events[last]) == eventBlock {
		f.events, last = append(f.events, make([]cells.Event, 0, eventBlock)), last+1
	}
	f.events[last] = append(f.events[last], *e)
}

func (f *found) countEvents() (n int) {
	for _, block := range f.events {
		n += len(block)
	}
	return n
}

// mostBands is how many bands the air rows are divided in. It does not depend on the machine, nor does any sum.
const mostBands = 16

// Cells reads the sweep in bands of rows, and sorts what happens by air cell and time.
func Cells(src Source, j *job.Job, zones *zones.Raster, m int) (*cells.Air, error) {
	s, err := surveyed(src, m, false)
	if err != nil {
		return nil, err
	}
	return newGatherer(src, j, zones, m).whole(src, j, s.byMove), nil
}

// newGatherer makes a gatherer of air cells that are still to be filled.
func newGatherer(src Source, j *job.Job, zones *zones.Raster, m int) *gatherer {
	g := &gatherer{Air: newAir(src, len(j.Zones), m), zones: zones}
	for _, zone := range j.Zones {
		g.opened = append(g.opened, cells.Breach{Zone: zone.Name, At: sweep.Never})
	}
	return g
}

// input is what the row bands read.
func (g *gatherer) input(src Source, j *job.Job, byMove []int32) input {
	in := input{Air: g.Air, src: src, zones: g.zones, layer: j.Layer, work: layer.NewWork(j, src.Stock, src.FloorMM),
		bins: newTimeBins(byMove, g.Ratio)}
	if j.Layer != nil {
		in.sheet = layer.NewSheet(j)
	}
	return in
}

// whole gathers all air cells.
func (g *gatherer) whole(src Source, j *job.Job, byMove []int32) *cells.Air {
	a, in := g.Air, g.input(src, j, byMove)
	rows := (a.Grid.NY + mostBands - 1) / mostBands
	bands := make([]*rowBand, (a.Grid.NY+rows-1)/rows)
	parallel.For(runtime.GOMAXPROCS(0), len(bands), func(_, k int) {
		bands[k] = newRowBand(in, slices.Clone(g.opened))
		bands[k].run(cells.Extent{Y0: k * rows, X1: a.Grid.NX, Y1: min((k+1)*rows, a.Grid.NY)})
	})
	g.join(bands)
	g.sort()
	g.addBeyond(j)
	g.listBreaches()
	return a
}

// newAir makes the air cells, of m by m cells of the sweep, that are still to be filled.
func newAir(src Source, zones, m int) *cells.Air {
	across := func(fine int) int { return (fine + m - 1) / m }
	a := &cells.Air{
		Grid: sweep.Grid{
			OriginX: src.Grid.OriginX, OriginY: src.Grid.OriginY, CellMM: float64(m) * src.Grid.CellMM,
			NX: across(src.Grid.NX), NY: across(src.Grid.NY),
		},
		Ratio: m, FineMM: src.Grid.CellMM, EdgeWays: cells.EdgeWays{}, Drilled: src.Drilled,
		ByZone: make([]cells.ZoneArea, zones+1),
	}
	cells := a.Grid.NX * a.Grid.NY
	a.First = make([]int32, 1, cells+1)
	a.FaceWidth = make([]uint16, 2*cells)
	a.Rim = make([]uint16, cells)
	a.DeepMM = make([]float32, cells)
	a.Zone = make([]uint16, cells)
	a.AtRim = make([]bool, cells)
	return a
}

// gatherer puts together what the row bands have found.
type gatherer struct {
	*cells.Air
	zones  *zones.Raster
	opened []cells.Breach // earliest per zone
}

// join appends what the bands have found, one after another.
func (g *gatherer) join(bands []*rowBand) {
	groups, events, closures := 0, 0, 0
	for _, b := range bands {
		out := &b.out
		groups, events, closures = groups+len(out.groups), events+out.countEvents(), closures+len(out.closures)
	}
	g.makeRoom(groups, events, closures)
	for k := range bands {
		g.add(&bands[k].out)
		bands[k] = nil
	}
}

func (g *gatherer) makeRoom(groups, events, closures int) {
	g.Groups, g.Events, g.Closures = make([]cells.Group, 0, groups), make([]cells.Event, 0, events),
		make([]cells.Closure, 0, closures)
}

func (g *gatherer) add(out *found) {
	before := int32(len(g.Groups))
	g.Groups = append(g.Groups, out.groups...)
	for _, end := range out.ends {
		g.First = append(g.First, before+end)
	}
	g.addHappening(out, func(group int32) int32 { return before + group })
	g.Exposure.Add(&out.Exposure)
	for i, z := range out.byZone {
		g.ByZone[i].Add(&z.Exposure)
	}
	maps.Copy(g.EdgeWays, out.edgeWays)
}

// addHappening adds what happens in the course of the program; listed tells where a group came to lie.
func (g *gatherer) addHappening(out *found, listed func(group int32) int32) {
	for _, block := range out.events {
		for _, e := range block {
			e.Group = listed(e.Group)
			g.Events = append(g.Events, e)
		}
	}
	g.Closures = append(g.Closures, out.closures...)
	for i, breach := range out.opened {
		if breach.At < g.opened[i].At {
			g.opened[i] = breach
		}
	}
}

// sort puts what happens in order of time.
func (g *gatherer) sort() {
	sorts := [...]func(){
		func() {
			slices.SortFunc(g.Events, func(a, b cells.Event) int {
				if a.At != b.At {
					return cmp.Compare(a.At, b.At)
				}
				return cmp.Compare(a.Group, b.Group)
			})
		},
		func() {
			slices.SortFunc(g.Closures, func(a, b cells.Closure) int {
				if a.At != b.At {
					return cmp.Compare(a.At, b.At)
				}
				return cmp.Or(cmp.Compare(a.Face, b.Face), cmp.Compare(a.N, b.N))
			})
		},
	}
	parallel.For(runtime.GOMAXPROCS(0), len(sorts), func(_, k int) { sorts[k]() })
}

// addBeyond counts what lies open of zones outside the grid of the sweep.
func (g *gatherer) addBeyond(j *job.Job) {
	for i, zone := range j.Zones {
		beyond := g.zones.BeyondMM2(zone)
		switch {
		case !zone.Open || beyond == 0:
		case zone.Seal == job.GasketSeal:
			g.OrificeMM2[cells.Gaskets] += beyond
			g.ByZone[i+1].OrificeMM2[cells.Gaskets] += beyond
			if g.opened[i].At > cells.Start {
				p := zone.Area.Bound().Center()
				g.opened[i] = cells.Breach{Zone: zone.Name, At: cells.Start, X: p[0], Y: p[1]}
			}
		case j.Layer != nil && !zone.Covered:
			leak := beyond * g.zones.LeakyShare(zone) * layer.NewSheet(j).Share(i)
			g.LeakMM2[cells.Bare] += leak
			g.ByZone[i+1].LeakMM2[cells.Bare] += leak
		}
	}
}

// listBreaches lists the zones that are opened in order of time.
func (g *gatherer) listBreaches() {
	for _, breach := range g.opened {
		if breach.At < sweep.Never {
			breach.At = max(breach.At, 0)
			g.Breaches = append(g.Breaches, breach)
		}
	}
	slices.SortStableFunc(g.Breaches, func(a, b cells.Breach) int { return cmp.Compare(a.At, b.At) })
}
