// Package cells holds the air cells and what happens in them: the words that the other rooms share.
//
//	sweep's cells   # covered  . cut      one air cell of 4 x 4 of them:
//
//	    # # # #                           one group for each label and kind of support, with its area, its first
//	    # # . .   <- side north           moments and its sides towards what is cut (here 3 north-south, 1 east-west
//	    # # . .                           and their corners);
//	    # # # #                           events change it in time, closures narrow its faces
//
// It does not know the layer's laws or pressure.
package cells

import (
	"slices"

	"staydown/sweep"
)

// Start is earlier than every moment of a program: what is exposed then was never covered.
const Start sweep.Progress = -1

// Support is the kind of what lies below a cell of the sweep.
type Support uint8

const (
	NoSupport Support = iota // neither layer nor open gasketed zone: no vacuum, no leak
	Blind                    // layer outside every open zone
	Land                     // layer on an open zone, between its grooves
	Breathing                // layer on a groove, or anywhere on an open zone without grooves
	Gasketed                 // open gasketed zone
)

// OnLayer tells the supports through which air creeps sideways.
func (g Support) OnLayer() bool { return g == Blind || g == Land || g == Breathing }

// Held tells the supports of open zones.
func (g Support) Held() bool { return g == Land || g == Breathing || g == Gasketed }

// Air is the grid of air cells with all that the sweep knows of them.
type Air struct {
	Grid   sweep.Grid // of the air cells
	Ratio  int        // cells of the sweep along an air cell
	FineMM float64    // cell of the sweep

	Groups    []Group // in order of cell, then label, then support
	First     []int32 // Groups[First[i]:First[i+1]] lie in cell i
	Events    []Event // in order of time, then group
	Closures  []Closure
	FaceWidth []uint16 // width of each face under the stock, in cells of the sweep
	Rim       []uint16 // per air cell: sides of layer without grooves towards grooves
	DeepMM    []float32
	Zone      []uint16 // index of the zone that the cell reaches into, from 1; 0 for none
	AtRim     []bool   // the layer's open rim passes through or beside the cell

	Exposure            // at the start
	ByZone   []ZoneArea // the same by zone, from 1; 0: in none
	EdgeWays EdgeWays   // at the start; kerfs left out
	Drilled  []int      // moves that cut through going straight down only, rising
	Breaches []Breach   // of the whole program, in order of time
}

// Group is what the pieces of one label cover of one air cell, on one kind of support. Counts are in cells of the
// sweep.
type Group struct {
	Cell       int32
	Label      int32
	Support    Support
	Area       int32
	SumX, SumY int32   // of the covered cells' offsets within the air cell
	Sides              // towards what is exposed
	Seep       float32 // of work that breathes: sum of covered area over height, mm
}

// Event changes a group at a moment.
type Event struct {
	At         sweep.Progress
	Group      int32
	Area       int32
	SumX, SumY int32
	Sides              // gained or lost
	LeakMM2    float32 // layer that is exposed, widened by how deep it is cut
	OrificeMM2 float32 // opened straight into the chuck, geometric
	Seep       float32 // gained or lost, mm
}

// Closure closes a stretch of the face between two air cells for flow under the stock. Face 2i is the east side of cell
// i, 2i+1 its north side.
type Closure struct {
	At   sweep.Progress
	Face int32
	N    int32
}

// Apply changes a group by what an event gains or loses it.
func (g *Group) Apply(e *Event) {
	g.Area += e.Area
	g.SumX += e.SumX
	g.SumY += e.SumY
	g.Sides.Add(e.Sides, 1)
	g.Seep += e.Seep
}

// Join takes another event of the same group into this one, at the earlier of both moments.
func (e *Event) Join(o *Event) {
	e.At = min(e.At, o.At)
	e.Area += o.Area
	e.SumX += o.SumX
	e.SumY += o.SumY
	e.Sides.Add(o.Sides, 1)
	e.LeakMM2 += o.LeakMM2
	e.OrificeMM2 += o.OrificeMM2
	e.Seep += o.Seep
}

// ZoneArea is what lies open of one zone.
type ZoneArea struct {
	Exposure
	GasketSeepMM float64 // of work that breathes on a gasketed zone: covered area over its height
}

// Breach is the moment and place at which a gasketed zone is opened.
type Breach struct {
	Zone string
	At   sweep.Progress
	X, Y float64 // mm
}

// WayOfCut tells how air gets in where the stock is cut through at a moment.
func (a *Air) WayOfCut(at sweep.Progress) Way {
	if _, yes := slices.BinarySearch(a.Drilled, at.Move()); yes {
		return Holes
	}
	return Kerfs
}
