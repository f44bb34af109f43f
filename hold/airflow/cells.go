package airflow

import (
	"slices"

	"staydown/sweep"
)

// start is earlier than every moment of a program: what is exposed then was never covered.
const start sweep.Progress = -1

// support is the kind of what lies below a cell of the sweep.
type support uint8

const (
	noSupport support = iota // neither layer nor open gasketed zone: no vacuum, no leak
	blind                    // layer outside every open zone
	land                     // layer on an open zone, between its grooves
	breathing                // layer on a groove, or anywhere on an open zone without grooves
	gasketed                 // open gasketed zone
)

// onLayer tells the supports through which air creeps sideways.
func (g support) onLayer() bool { return g == blind || g == land || g == breathing }

// held tells the supports of open zones.
func (g support) held() bool { return g == land || g == breathing || g == gasketed }

// air is the grid of air cells with all that the sweep knows of them.
type air struct {
	grid   sweep.Grid // of the air cells
	m      int        // cells of the sweep along an air cell
	fineMM float64    // cell of the sweep

	groups    []group // in order of cell, then label, then support
	first     []int32 // groups[first[i]:first[i+1]] lie in cell i
	events    []event // in order of time, then group
	closures  []closure
	faceWidth []uint16 // width of each face under the stock, in cells of the sweep
	rim       []uint16 // per air cell: sides of layer without grooves towards grooves
	deepMM    []float32
	zone      []uint16 // index of the zone that the cell reaches into, from 1; 0 for none
	atRim     []bool   // the layer's open rim passes through or beside the cell

	exposure            // at the start
	byZone   []zoneArea // the same by zone, from 1; 0: in none
	edgeWays edgeWays   // at the start; kerfs left out
	drilled  []int      // moves that cut through going straight down only, rising
	breaches []Breach   // of the whole program, in order of time
}

// group is what the pieces of one label cover of one air cell, on one kind of support. Counts are in cells of the
// sweep.
type group struct {
	cell       int32
	label      int32
	support    support
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

// closure closes a stretch of the face between two air cells for flow under the stock. Face 2i is the east side of cell
// i, 2i+1 its north side.
type closure struct {
	at   sweep.Progress
	face int32
	n    int32
}

// apply changes a group by what an event gains or loses it.
func (g *group) apply(e *event) {
	g.area += e.area
	g.sumX += e.sumX
	g.sumY += e.sumY
	g.sides.add(e.sides, 1)
	g.seep += e.seep
}

// join takes another event of the same group into this one, at the earlier of both moments.
func (e *event) join(o *event) {
	e.at = min(e.at, o.at)
	e.area += o.area
	e.sumX += o.sumX
	e.sumY += o.sumY
	e.sides.add(o.sides, 1)
	e.leakMM2 += o.leakMM2
	e.orificeMM2 += o.orificeMM2
	e.seep += o.seep
}

// zoneArea is what lies open of one zone.
type zoneArea struct {
	leakMM2, orificeMM2 float64
	gasketSeepMM        float64 // of work that breathes on a gasketed zone: covered area over its height
}

// Breach is the moment and place at which a gasketed zone is opened.
type Breach struct {
	Zone string
	At   sweep.Progress
	X, Y float64 // mm
}

// wayOfCut tells how air gets in where the stock is cut through at a moment.
func (a *air) wayOfCut(at sweep.Progress) Way {
	if _, yes := slices.BinarySearch(a.drilled, at.Move()); yes {
		return Holes
	}
	return Kerfs
}
