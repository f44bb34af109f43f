package hold

import (
	"fmt"
	"slices"
	"sort"

	"staydown/hold/airflow"
	"staydown/hold/contact"
	"staydown/hold/internal/airrun"
	"staydown/hold/internal/machine"
	"staydown/hold/internal/pieces"
	"staydown/hold/job"
	"staydown/sweep"
)

// maxExposureEpochs bounds the number of air solutions for kerfs that do not free a piece.
const maxExposureEpochs = 96

// epoch is a stretch of the program over which the air is taken as constant, with the cuts made by its end. Cuts only
// add leakage, so vacuum is never overstated.
type epoch struct {
	until     sweep.Progress
	firstStep int // steps [firstStep, lastStep) fall into the epoch
	lastStep  int
	interval  int     // to which they belong
	pieces    []int32 // pieces that the steps touch, in rising order

	noVacuum bool // the pump is off, or no zone is open
	leak     airflow.Leak
	state    airflow.State             // at the job's own pump
	patches  map[int32][]airflow.Patch // of the touched pieces
	friction map[int32]float64         // of the touched pieces on what they lie on
	held     airrun.HeldAreas
	leftMM2  map[int32]float64 // of the touched pieces that are milled away
	spared   map[int32]bool    // touched pieces that others are checked for

	least  map[int32]trial              // worst of each piece
	bodies map[bodyKey]*contact.Support // of the pieces with low margins
}

// epochOf is the index of the epoch that a step falls into.
func (a *Analysis) epochOf(step int) int {
	return sort.Search(len(a.air)-1, func(i int) bool { return step < a.air[i].lastStep })
}

// pump finds the working point of a job's pump at the leak of the epoch.
func (e *epoch) pump(j *job.Job) (err error) {
	pump := j.Pump
	if e.noVacuum {
		pump.Curve, pump.FlowM3h = nil, 0
	}
	if e.state, err = airflow.Operate(pump, j.AmbientPa, e.leak); err != nil {
		return fmt.Errorf("the pump's working point cannot be computed: %w", err)
	}
	return nil
}

// planEpochs divides the steps into epochs that end wherever a piece is freed or left hanging, at every tool change and
// stop, and often enough in between that no epoch adds more than a small share of the total kerf.
func planEpochs(a *Analysis) []epoch {
	rec := a.rec
	epochs := []epoch{{until: 0}}
	next := 0
	for _, at := range a.epochEnds() {
		e := epoch{until: at, firstStep: next, least: map[int32]trial{}}
		for next < rec.Steps.Len() && rec.Settled(rec.Steps.At(next)) <= at {
			next++
		}
		e.lastStep = next
		e.interval = a.intervals.At(at)
		if e.firstStep < e.lastStep {
			e.interval = a.intervals.Of(int(rec.Steps.At(e.lastStep - 1).Move))
		}
		e.pieces = a.touched(e.firstStep, e.lastStep)
		e.leftMM2 = a.islands.LeftOf(e.pieces, at)
		epochs = append(epochs, e)
	}
	return epochs
}

// epochEnds are the moments at which epochs end, in rising order.
func (a *Analysis) epochEnds() []sweep.Progress {
	rec := a.rec
	ends := a.firstOpening()
	if !a.options.AllOpen {
		ends = a.comingFree()
		ends = append(ends, a.exposureEnds(len(ends) > 0)...)
	}
	ends = append(ends, a.pauseEnds()...)
	ends = append(ends, a.betweenCuts(a.power.Switches())...) // before and after which something is cut
	ends = append(ends, a.islands.Ends()...)
	if a.wetFrom < sweep.Never {
		ends = append(ends, a.wetFrom)
	}
	if n := rec.Steps.Len(); n > 0 {
		ends = append(ends, rec.Settled(rec.Steps.At(n-1)))
	}
	slices.Sort(ends)
	return slices.Compact(ends)
}

// comingFree are the moments at which pieces come free or are left hanging.
func (a *Analysis) comingFree() (ends []sweep.Progress) {
	for i := range a.rec.Pieces {
		p := &a.rec.Pieces[i]
		if p.ComesFree() {
			ends = append(ends, p.Freed)
		}
		if p.Freed >= sweep.Never && p.HangsAt(p.Hung) {
			ends = append(ends, p.Hung)
		}
	}
	return ends
}

// firstOpening is the end of the first move that cuts through, mostly a plunge; nil: none does.
func (a *Analysis) firstOpening() []sweep.Progress {
	for _, s := range a.rec.Steps.All() {
		if pieces.OpenedMM2(s) > 0 {
			return []sweep.Progress{sweep.Progress(s.Move + 1)}
		}
	}
	return nil
}

// exposureEnds are the moments before steps that would add more than a small share of the total kerf to their epoch;
// where no others end, the first cut through is one as well.
func (a *Analysis) exposureEnds(others bool) (ends []sweep.Progress) {
	var opened float64
	for _, s := range a.rec.Steps.All() {
		opened += pieces.OpenedMM2(s)
	}
	share, sum := opened/maxExposureEpochs, 0.0
	for _, s := range a.rec.Steps.All() {
		area := pieces.OpenedMM2(s)
		if area == 0 {
			continue
		}
		if sum == 0 && len(ends) == 0 && !others || sum+area > share {
			ends = append(ends, s.Begin())
			sum = 0
		}
		sum += area
	}
	return ends
}

// pauseEnds returns the moments of the tool changes and stops with cuts before and after them.
func (a *Analysis) pauseEnds() []sweep.Progress {
	var moves []int
	for _, in := range a.intervals[1:] {
		moves = append(moves, in.Move)
	}
	return a.betweenCuts(moves)
}

// betweenCuts gives the moments of those moves, in rising order, before which something has been cut since the last one
// and behind which something is cut.
func (a *Analysis) betweenCuts(moves []int) []sweep.Progress {
	var ends []sweep.Progress
	cutBefore := 0 // steps before the move
	for _, move := range moves {
		next := sort.Search(a.rec.Steps.Len(), func(i int) bool { return int(a.rec.Steps.At(i).Move) >= move })
		if next > cutBefore && next < a.rec.Steps.Len() {
			ends = append(ends, sweep.Progress(move))
		}
		cutBefore = next
	}
	return ends
}

// touched lists the pieces that steps [from, to) touch, in rising order.
func (a *Analysis) touched(from, to int) []int32 {
	var ids []int32
	for step := from; step < to; step++ {
		for _, id := range a.touchedIn(step) {
			if at, found := slices.BinarySearch(ids, id); !found {
				ids = slices.Insert(ids, at, id)
			}
		}
	}
	return ids
}

// powerOf is what is on in an epoch: at its first cut, or at the next one where nothing is cut in it. Epochs end where
// something is switched between cuts.
func (a *Analysis) powerOf(e *epoch) *machine.Power {
	if a.rec.Steps.Len() == 0 {
		return a.power.At(0)
	}
	return a.power.At(int(a.rec.Steps.At(min(e.firstStep, a.rec.Steps.Len()-1)).Move))
}

// opened tells which zones are open in an epoch, as far as the air is concerned, and whether any vacuum is drawn at
// all; without any, the air is that of the zones that the job says are open.
func (a *Analysis) opened(e *epoch) (zones []bool, vacuum bool) {
	on := a.powerOf(e)
	if !on.Vacuum() {
		return machine.OpenZones(a.job), false
	}
	return on.Zones, true
}

// airInput lists what the analysis asks of the air.
func (a *Analysis) airInput(pictures map[int]bool) airrun.Input {
	in := airrun.Input{Job: job.Job{Stock: a.job.Stock, Layer: a.job.Layer, Zones: a.job.Zones, Units: a.units}}
	var all []int32
	for i := range a.rec.Pieces {
		all = append(all, int32(a.rec.Pieces[i].ID))
	}
	for i := range a.air {
		e := &a.air[i]
		open, _ := a.opened(e)
		pieces := e.pieces
		if a.options.Shared != nil && a.options.AllOpen {
			pieces = all // so that programs in which one hangs from another moment on share the air
		}
		in.Epochs = append(in.Epochs, airrun.Epoch{Until: e.until, Pieces: pieces, Open: open, Picture: pictures[i]})
	}
	return in
}

// weakest is the epoch of least vacuum, the first if there are several.
func (a *Analysis) weakest() *epoch {
	weakest := &a.air[0]
	for i := range a.air {
		if e := &a.air[i]; e.state.VacuumPa() < weakest.state.VacuumPa() {
			weakest = e
		}
	}
	return weakest
}
