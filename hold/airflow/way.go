package airflow

import (
	"slices"

	"github.com/paulmach/orb"
	"github.com/paulmach/orb/planar"

	"staydown/sweep"
)

// Way is where air gets into the chuck.
type Way uint8

const (
	Bare     Way = iota // the table beside the stock
	Rim                 // below the stock's rim
	Kerfs               // what the program cuts through
	Holes               // cut-outs of the stock, and what the tool cuts through going straight down only
	Work                // through the material
	LayerRim            // the layer's own rim
	Gaskets             // gasketed zones that are open
	WayCount
)

// Opening lets air in.
type Opening struct {
	ConductanceM3 float64 // of layer and work, see Leak
	OrificeMM2    float64
}

// exposure is what lies open, by way.
type exposure struct {
	leakMM2    [WayCount]float64 // of the layer, in the measure of field
	orificeMM2 [WayCount]float64 // geometric
}

func (e *exposure) add(o *exposure) {
	for way := range e.leakMM2 {
		e.leakMM2[way] += o.leakMM2[way]
		e.orificeMM2[way] += o.orificeMM2[way]
	}
}

// edgeWays is the length of a cell's edges, in cells of the sweep, towards all but kerfs.
type edgeWays map[int32]*[WayCount]float64

func (w edgeWays) add(cell int32, way Way, length float64) {
	if w[cell] == nil {
		w[cell] = new([WayCount]float64)
	}
	w[cell][way] += length
}

// wayOfStart tells how air gets in at a place where nothing ever lay.
func wayOfStart(stock sweep.Stock, x, y float64) Way {
	for _, blank := range stock.Blanks {
		for _, hole := range blank.Outline[min(1, len(blank.Outline)):] {
			if planar.RingContains(hole, orb.Point{x, y}) {
				return Holes
			}
		}
	}
	return Bare
}

// drilled lists the moves that cut through the stock going straight down only: what follows them is neither a cut
// sideways in the next move nor in the one after a pause.
func drilled(rec *sweep.Record) []int {
	var moves []int
	for i := range rec.Steps {
		s := &rec.Steps[i]
		const down = sweep.Plunge | sweep.Breakthrough
		if s.Flags&down != down {
			continue
		}
		sideways := false
		for k := i + 1; k < len(rec.Steps) && rec.Steps[k].Move <= s.Move+2; k++ {
			sideways = sideways || rec.Steps[k].Flags&(sweep.Plunge|sweep.Retract|sweep.Rub) == 0
		}
		if !sideways {
			moves = append(moves, int(s.Move))
		}
	}
	return slices.Compact(moves)
}

// wayOfCut tells how air gets in where the stock is cut through at a moment.
func (a *air) wayOfCut(at sweep.Progress) Way {
	if _, yes := slices.BinarySearch(a.drilled, at.Move()); yes {
		return Holes
	}
	return Kerfs
}
