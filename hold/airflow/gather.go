package airflow

import (
	"cmp"
	"maps"
	"runtime"
	"slices"

	"golang.org/x/sync/errgroup"

	"staydown/hold/job"
	"staydown/sweep"
)

// input is what all row bands read. In the air cells, which they share, each writes only at cells of its own.
type input struct {
	*air
	src   source
	zones *region
	layer *job.Layer
	work  *porousWork // nil for tight work
	sheet *sheetMM
	bins  *timeBins
}

// found is what a row band finds, in order of its air cells.
type found struct {
	groups   []group
	ends     []int32 // of the groups of each air cell
	events   []event
	closures []closure
	opened   []Breach // earliest per zone

	exposure            // at the start
	byZone   []zoneArea // the same by zone, from 1
	edgeWays edgeWays   // at the start
}

// mostBands is how many bands the air rows are divided in. It does not depend on the machine, nor does any sum.
const mostBands = 16

// gather reads the sweep in bands of rows, and sorts what happens by air cell and time.
func gather(src source, j *job.Job, zones *region, m int) (*air, error) {
	bins, err := newTimeBins(src, m)
	if err != nil {
		return nil, err
	}
	a := newAir(src, len(j.Zones), m)
	in := input{air: a, src: src, zones: zones, layer: j.Layer, work: newPorousWork(j, src.stock, src.floorMM),
		bins: bins}
	if j.Layer != nil {
		in.sheet = newSheetMM(j)
	}
	g := gatherer{air: a, zones: zones}
	for _, zone := range j.Zones {
		g.opened = append(g.opened, Breach{Zone: zone.Name, At: sweep.Never})
	}
	rows := (a.grid.NY + mostBands - 1) / mostBands
	bands := make([]*rowBand, (a.grid.NY+rows-1)/rows)
	var work errgroup.Group
	work.SetLimit(runtime.GOMAXPROCS(0))
	for k := range bands {
		work.Go(func() error {
			bands[k] = newRowBand(in, slices.Clone(g.opened))
			bands[k].run(k*rows, min((k+1)*rows, a.grid.NY))
			return nil
		})
	}
	if err := work.Wait(); err != nil {
		return nil, err
	}
	g.join(bands)
	g.sort()
	g.addBeyond(j)
	g.listBreaches()
	return a, nil
}

// newAir makes the air cells, of m by m cells of the sweep, that are still to be filled.
func newAir(src source, zones, m int) *air {
	across := func(fine int) int { return (fine + m - 1) / m }
	a := &air{
		grid: sweep.Grid{
			OriginX: src.grid.OriginX, OriginY: src.grid.OriginY, CellMM: float64(m) * src.grid.CellMM,
			NX: across(src.grid.NX), NY: across(src.grid.NY),
		},
		m: m, fineMM: src.grid.CellMM, edgeWays: edgeWays{}, drilled: src.drilled,
		byZone: make([]zoneArea, zones+1),
	}
	cells := a.grid.NX * a.grid.NY
	a.first = make([]int32, 1, cells+1)
	a.faceWidth = make([]uint16, 2*cells)
	a.rim = make([]uint16, cells)
	a.deepMM = make([]float32, cells)
	a.zone = make([]uint16, cells)
	a.atRim = make([]bool, cells)
	return a
}

// gatherer puts together what the row bands have found.
type gatherer struct {
	*air
	zones  *region
	opened []Breach // earliest per zone
}

// join appends what the bands have found, one after another.
func (g *gatherer) join(bands []*rowBand) {
	groups, events, closures := 0, 0, 0
	for _, b := range bands {
		out := &b.out
		groups, events, closures = groups+len(out.groups), events+len(out.events), closures+len(out.closures)
	}
	g.groups, g.events, g.closures = make([]group, 0, groups), make([]event, 0, events), make([]closure, 0, closures)
	for k := range bands {
		g.add(&bands[k].out)
		bands[k] = nil
	}
}

func (g *gatherer) add(out *found) {
	before := int32(len(g.groups))
	g.groups = append(g.groups, out.groups...)
	for _, end := range out.ends {
		g.first = append(g.first, before+end)
	}
	for _, e := range out.events {
		e.group += before
		g.events = append(g.events, e)
	}
	g.closures = append(g.closures, out.closures...)
	for i, breach := range out.opened {
		if breach.At < g.opened[i].At {
			g.opened[i] = breach
		}
	}
	g.exposure.add(&out.exposure)
	for i, z := range out.byZone {
		g.byZone[i].leakMM2 += z.leakMM2
		g.byZone[i].orificeMM2 += z.orificeMM2
	}
	maps.Copy(g.edgeWays, out.edgeWays)
}

// sort puts what happens in order of time.
func (g *gatherer) sort() {
	slices.SortFunc(g.events, func(a, b event) int {
		if a.at != b.at {
			return cmp.Compare(a.at, b.at)
		}
		return cmp.Compare(a.group, b.group)
	})
	slices.SortFunc(g.closures, func(a, b closure) int {
		return cmp.Or(cmp.Compare(a.at, b.at), cmp.Compare(a.face, b.face), cmp.Compare(a.n, b.n))
	})
}

// addBeyond counts what lies open of zones outside the grid of the sweep.
func (g *gatherer) addBeyond(j *job.Job) {
	for i, zone := range j.Zones {
		beyond := g.zones.beyondMM2(zone)
		switch {
		case !zone.Open || beyond == 0:
		case zone.Seal == job.GasketSeal:
			g.orificeMM2[Gaskets] += beyond
			g.byZone[i+1].orificeMM2 += beyond
			if g.opened[i].At > start {
				p := zone.Area.Bound().Center()
				g.opened[i] = Breach{Zone: zone.Name, At: start, X: p[0], Y: p[1]}
			}
		case j.Layer != nil:
			leak := beyond * g.zones.leakyShare(zone) * newSheetMM(j).share(i)
			g.leakMM2[Bare] += leak
			g.byZone[i+1].leakMM2 += leak
		}
	}
}

// listBreaches lists the zones that are opened in order of time.
func (g *gatherer) listBreaches() {
	for _, breach := range g.opened {
		if breach.At < sweep.Never {
			breach.At = max(breach.At, 0)
			g.breaches = append(g.breaches, breach)
		}
	}
	slices.SortStableFunc(g.breaches, func(a, b Breach) int { return cmp.Compare(a.At, b.At) })
}
