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

// start is earlier than every moment of a program: what is exposed then was never covered.
const start sweep.Progress = -1

// group is what the pieces of one label cover of one air cell, on one kind of ground. Counts are in cells of the sweep.
type group struct {
	cell       int32
	label      int32
	ground     ground
	area       int32
	sumX, sumY int32   // of the covered cells' offsets within the air cell
	sides              // towards what is exposed
	seep       float32 // of work that breathes: sum of covered area over height, mm
}

// event changes a group at a moment.
type event struct {
	at         sweep.Progress
	group      int32
	area       int32
	sumX, sumY int32
	sides              // gained or lost
	leakMM2    float32 // layer that is exposed, widened by how deep it is cut
	orificeMM2 float32 // opened straight into the chuck, geometric
	seep       float32 // gained or lost, mm
}

// parting closes a stretch of the face between two air cells for flow under the stock. Face 2i is the east side of cell
// i, 2i+1 its north side.
type parting struct {
	at   sweep.Progress
	face int32
	n    int32
}

// air is the grid of the field with all that the sweep knows of it.
type air struct {
	grid   sweep.Grid // of the air cells
	m      int        // cells of the sweep along an air cell
	fineMM float64    // cell of the sweep

	groups   []group // in order of cell, then label, then ground
	first    []int32 // groups[first[i]:first[i+1]] lie in cell i
	events   []event // in order of time, then group
	partings []parting
	contact  []uint16 // width of each face under the stock, in cells of the sweep
	rim      []uint16 // per air cell: sides of layer without grooves towards grooves
	deepMM   []float32
	zone     []uint16 // index of the zone that the cell reaches into, from 1; 0 for none
	atRim    []bool   // the layer's open rim passes through or beside the cell

	exposure            // at the start
	byZone   []zoneArea // the same by zone, from 1; 0: in none
	edgeWays edgeWays   // at the start; kerfs left out
	drilled  []int      // see source
	breaches []Breach   // of the whole program, in order of time
}

type gatherer struct {
	*air
	region *region
	opened []Breach // earliest per zone
}

// mostStripes is how many stripes the air rows are divided in. It does not depend on the machine, nor does any sum.
const mostStripes = 16

// gather reads the sweep in stripes of rows, and sorts what happens by air cell and time.
func gather(src source, j *job.Job, reg *region, m int) (*air, error) {
	slots, err := newSlots(src, m)
	if err != nil {
		return nil, err
	}
	across := func(fine int) int { return (fine + m - 1) / m }
	a := &air{
		grid: sweep.Grid{
			OriginX: src.grid.OriginX, OriginY: src.grid.OriginY, CellMM: float64(m) * src.grid.CellMM,
			NX: across(src.grid.NX), NY: across(src.grid.NY),
		},
		m: m, fineMM: src.grid.CellMM, edgeWays: edgeWays{}, drilled: src.drilled,
	}
	cells := a.grid.NX * a.grid.NY
	a.first = make([]int32, 1, cells+1)
	a.contact = make([]uint16, 2*cells)
	a.rim = make([]uint16, cells)
	a.deepMM = make([]float32, cells)
	a.zone = make([]uint16, cells)
	a.byZone = make([]zoneArea, len(j.Zones)+1)
	a.atRim = make([]bool, cells)
	g := &gatherer{air: a, region: reg}
	for _, zone := range j.Zones {
		g.opened = append(g.opened, Breach{Zone: zone.Name, At: sweep.Never})
	}
	rows := (a.grid.NY + mostStripes - 1) / mostStripes
	stripes := make([]*stripe, (a.grid.NY+rows-1)/rows)
	var work errgroup.Group
	work.SetLimit(runtime.GOMAXPROCS(0))
	for k := range stripes {
		work.Go(func() error {
			stripes[k] = newStripe(a, src, j, reg, slots)
			stripes[k].opened = slices.Clone(g.opened)
			stripes[k].run(k*rows, min((k+1)*rows, a.grid.NY))
			return nil
		})
	}
	if err := work.Wait(); err != nil {
		return nil, err
	}
	g.makeRoom(stripes)
	for k, b := range stripes {
		g.join(b)
		stripes[k] = nil
	}
	g.finish(j)
	return a, nil
}

// makeRoom takes the memory for what all stripes have found.
func (g *gatherer) makeRoom(stripes []*stripe) {
	groups, events, partings := 0, 0, 0
	for _, b := range stripes {
		groups, events, partings = groups+len(b.groups), events+len(b.events), partings+len(b.partings)
	}
	g.groups, g.events, g.partings = make([]group, 0, groups), make([]event, 0, events), make([]parting, 0, partings)
}

// join appends what a stripe has found.
func (g *gatherer) join(b *stripe) {
	before := int32(len(g.groups))
	g.groups = append(g.groups, b.groups...)
	for _, end := range b.ends {
		g.first = append(g.first, before+end)
	}
	for _, e := range b.events {
		e.group += before
		g.events = append(g.events, e)
	}
	g.partings = append(g.partings, b.partings...)
	for i, breach := range b.opened {
		if breach.At < g.opened[i].At {
			g.opened[i] = breach
		}
	}
	g.exposure.add(&b.exposure)
	for i, z := range b.byZone {
		g.byZone[i].leakMM2 += z.leakMM2
		g.byZone[i].orificeMM2 += z.orificeMM2
	}
	maps.Copy(g.edgeWays, b.edgeWays)
}

func (g *gatherer) finish(j *job.Job) {
	slices.SortFunc(g.events, func(a, b event) int {
		if a.at != b.at {
			return cmp.Compare(a.at, b.at)
		}
		return cmp.Compare(a.group, b.group)
	})
	slices.SortFunc(g.partings, func(a, b parting) int {
		return cmp.Or(cmp.Compare(a.at, b.at), cmp.Compare(a.face, b.face), cmp.Compare(a.n, b.n))
	})
	for i, zone := range j.Zones {
		beyond := g.region.beyondMM2(zone)
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
			leak := beyond * g.region.leakyShare(zone) * newSheetMM(j).share(i)
			g.leakMM2[Bare] += leak
			g.byZone[i+1].leakMM2 += leak
		}
	}
	for _, breach := range g.opened {
		if breach.At < sweep.Never {
			breach.At = max(breach.At, 0)
			g.breaches = append(g.breaches, breach)
		}
	}
	slices.SortStableFunc(g.breaches, func(a, b Breach) int { return cmp.Compare(a.At, b.At) })
}
