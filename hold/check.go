package hold

import (
	"math"
	"runtime"
	"sync"
	"sync/atomic"

	"github.com/paulmach/orb"

	"staydown/hold/airflow"
	"staydown/hold/cutload"
	"staydown/hold/internal/airrun"
	"staydown/hold/internal/calibrate"
	"staydown/hold/internal/machine"
	"staydown/hold/internal/pieces"
	"staydown/hold/internal/steploads"
	"staydown/hold/internal/toolpath"
	"staydown/hold/job"
	"staydown/hold/records"
	"staydown/hold/result"
	"staydown/parse"
	"staydown/parse/units"
	"staydown/sweep"
)

// Shared keeps what several checks have in common, so that it is computed once: the air under the stock. The zero value
// is usable, by several checks at once.
type Shared = airrun.Shared

// Options are the options of Check. The zero value is usable.
type Options struct {
	Workers int     // goroutines at once; 0: one for each processor. Results do not depend on it
	Shared  *Shared // what checks of the same program and record have in common; nil: nothing
	// Records are what the shop has seen at the machine, each once; margins are weighted by them.
	Records []records.Record
	// Resweep sweeps the program once more over the same stock with its table side at another Z, mm. It is asked where
	// a sheet as thin or as thick as it may be turns skins into cuts or cuts into skins; nil: the program is at risk
	// where a skin may be lost, and skins that may stay are told as assumed.
	Resweep func(bottomMM float64) (*sweep.Record, error)
	// OtherLayers reads the job with other sheets in place of its layer, which are looked at as what to do; nil: none.
	OtherLayers func() []job.OtherLayer

	// What is not asked, and left out of the answer:

	NoRemedies bool    // findings name no remedies unless AddRemedies is called; their search takes a fifth of the time
	Figures    Figures // which of the operating figures of pump, alarm and gauge are computed
	NoPictures bool    // no kerf and no pressure fields, which only pictures show
	OnlyEnds   bool    // the timeline is told only at the ends of stretches over which the air is taken as constant
	OnlyCutOut bool    // not the stock itself, where what is asked is how the pieces fare that are cut out of it
	// OneSheet leaves out sheets so thin or thick that skins turn into cuts or cuts into skins, where what is asked is
	// only what else may hold a piece.
	OneSheet bool
	proof    bool // a run that only proves an action: verdict, margins and vacuum

	// What is bounded to save time, always so that margins come out no higher:

	// AllOpen solves the air twice, besides stops and switches: at the end of the first move that cuts through, and
	// with all cuts made, which counts from then on, so that no piece gains by its place in the order. The margin of a
	// piece that comes free last is the same.
	AllOpen bool
	// RareSheetsMove takes everything to move over sheets so thin or thick that are as rare as 1 in 50, and does not
	// sweep the program over them: low ends of margins come out no higher, chances no lower.
	RareSheetsMove bool
	// Copies lists, for each shape and way in which it is cut, points in the pieces that are copies of one another. Of
	// copies that are held alike only those held least are checked: the others take their margins over, less a little,
	// which are up to 11 % below their own. The chance that any piece moves counts those that are checked.
	Copies [][]orb.Point
}

// Figures tells which operating figures are computed.
type Figures uint8

const (
	AllFigures Figures = iota
	// neither the vacuum that no block must fall below nor the pump needed: their search takes long
	SetpointFigures
	NoFigures
)

// Analysis is a checked program with the data to explain any of its blocks.
type Analysis struct {
	Result *result.Result

	prog    *parse.Program
	rec     *sweep.Record
	job     *job.Job
	air     []epoch
	clock   toolpath.Clock
	loads   steploads.Model
	asked   float64      // of the low end of each margin
	enough  float64      // margin from which on the contact model's safe estimate will do
	units   units.System // of messages
	options Options
	workers int // goroutines at once

	tooWeak [][]*stretch // the stretches of each piece below the required margin

	clamps machine.Clamps
	power  *machine.Plan // what of the machine is on
	// something is cut without any vacuum, or with other zones open than the job says
	noVacuum, otherZones bool
	breaches             []airflow.Breach
	airAssumed           []string                 // by the model of the air
	nonsense             atomic.Bool              // some step's load made no sense
	held                 map[int]airrun.HeldRange // by id of the piece
	intervals            toolpath.Intervals       // between tool changes and stops
	least                map[int32]trial
	critical             map[int32][]trial // see noteCritical
	ranges               *ranges
	notSwept             [2]bool // a thinner, a thicker sheet on which skins or cuts turn, for want of Options.Resweep
	marks                marks
	bare                 []bareZone      // by zone
	wetFrom              sweep.Progress  // parts lie wet from then on
	keeping              sync.Mutex      // of the bodies of the epochs
	stepBoxes            []orb.Bound     // see newStepBoxes
	hung                 map[int][]int32 // hung pieces that a step touches besides those it lists
	rims                 [][]orb.Point   // hulls of the pieces

	plungeMMMin map[int32]float64 // see plungeFeeds

	copies     [][]int32         // see Options.Copies
	checkedFor map[int32][]int32 // by piece that is not checked in all epochs

	islands *pieces.Islands
	cutters pieces.Cutters
}

// Check computes the vacuum under every piece and the load on it for every step of the sweep, and reports where load
// exceeds hold.
//
// Margins are those of the worst place and rotor angle of each step, with the cuts made by the end of the step's epoch,
// so that vacuum is never overstated. It fails only if job and record do not match.
func Check(prog *parse.Program, rec *sweep.Record, j *job.Job, opt Options) (*Analysis, error) {
	j, err := calibrate.Job(j)
	if err != nil {
		return nil, err
	}
	a := newAnalysis(prog, rec, j, opt)
	low := newLowTrials(enough * a.asked)
	if err := a.solve(low.add); err != nil {
		return nil, err
	}
	if err := a.vary(); err != nil {
		return nil, err
	}
	runs, err := a.stretches(low)
	if err != nil {
		return nil, err
	}
	a.report(runs)
	if !opt.NoRemedies {
		a.AddRemedies()
	}
	a.Result.Records = a.recordStatements()
	a.Result.Assumed = a.assumed()
	a.Result.Decisive = a.decisive()
	return a, nil
}

// newAnalysis plans an analysis.
func newAnalysis(prog *parse.Program, rec *sweep.Record, j *job.Job, opt Options) *Analysis {
	a := &Analysis{
		prog: prog, rec: rec, job: j, asked: j.Limits.Margin, enough: enough * j.Limits.Margin,
		units: j.Units.Or(prog.Units), options: opt, workers: opt.Workers,
		loads: steploads.Model{Moves: &prog.Moves, Job: j, Cuts: cutload.NewCache(j.Stock.Material),
			BottomMM: rec.Stock.BottomMM},
		least: map[int32]trial{}, critical: map[int32][]trial{},
	}
	if a.workers <= 0 {
		a.workers = runtime.GOMAXPROCS(0)
	}
	a.clock = toolpath.NewClock(&prog.Moves)
	a.cutters = pieces.Cutters{Moves: &prog.Moves, Tools: j.Tools}
	a.wetFrom, _, _ = machine.Wetting(prog, j)
	a.power = machine.NewPlan(prog, j)
	a.clamps = machine.NewClamps(rec.Pieces, a.power, a.wetFrom)
	a.noVacuum, a.otherZones = a.power.Cutting(&rec.Steps)
	a.plungeMMMin = plungeFeeds(&prog.Moves)
	a.Result = &result.Result{
		Program: result.ProgramFacts{
			Path: prog.Name, SHA256: prog.SHA256, Lines: prog.Lines, Blocks: prog.Blocks,
			DurationS: prog.DurationS, CutLengthMM: prog.CutLengthMM,
		},
		Grid:   result.GridFacts{CellMM: rec.Grid.CellMM, NX: rec.Grid.NX, NY: rec.Grid.NY},
		Margin: a.asked, Units: a.units,
	}
	a.Result.Job = a.jobFacts()
	if !opt.NoPictures {
		a.Result.Kerf = pieces.Kerf(rec, &a.clock, a.workers)
	}
	return a
}

// solve computes the air epoch by epoch and, concurrently, the margins of the epochs already solved, which it shows one
// by one.
func (a *Analysis) solve(show func(trial)) error {
	a.stepBoxes = a.newStepBoxes()
	a.rims = a.newRims()
	a.hung = whileHung(a)
	a.findCopies()
	a.intervals = toolpath.NewIntervals(a.prog)
	a.islands = pieces.NewIslands(a.rec)
	a.air = planEpochs(a)
	a.marks = newMarks(a.sampleTimes())
	queue := newQueue(a.workers, a.sweepPart, func(t trial) {
		show(t)
		a.noteTrial(t)
	})
	var pictures map[int]bool
	if !a.options.NoPictures {
		pictures = pictureEpochs(len(a.air))
	}
	air := a.options.Shared.Run(a.airInput(pictures), a.rec)
	for i := range a.air {
		step, err := air.Step(i)
		if err == nil {
			err = a.solveEpoch(step, &a.air[i])
		}
		if err != nil {
			queue.abandon()
			return err
		}
		if step.Picture != nil {
			a.Result.Fields = append(a.Result.Fields, a.picture(step.Picture, &a.air[i]))
		}
		if err := queue.addEpoch(i, &a.air[i]); err != nil {
			return err
		}
		if i == len(a.air)-1 {
			a.breaches, a.held = step.Breaches, step.Pieces
		}
	}
	a.airAssumed = air.Assumed()
	return queue.drain()
}

// solveEpoch finds the working point of the pump at the end of an epoch, and keeps leak and pressure of the pieces
// touched in it.
func (a *Analysis) solveEpoch(air *airrun.Step, e *epoch) (err error) {
	_, vacuum := a.opened(e)
	e.noVacuum = !vacuum
	e.leak, e.patches = air.Leak, air.Patches
	if err = e.pump(a.job); err != nil {
		return err
	}
	e.friction = make(map[int32]float64, len(e.pieces))
	for _, id := range e.pieces {
		e.friction[id] = machine.Friction(a.job, e.patches[id], e.until > a.wetFrom, a.powerOf(e).Zones)
	}
	e.held = air.Held
	a.spareCopies(e)
	return nil
}

// picture is the pressure difference under the stock at the end of an epoch.
func (a *Analysis) picture(r *airrun.Raster, e *epoch) result.Field {
	f := result.Field{
		TimeS: a.clock.TimeS(e.until), OriginX: r.OriginX, OriginY: r.OriginY, CellMM: r.CellMM, NX: r.NX, NY: r.NY,
		KPa: make([]float32, len(r.W)),
	}
	for k, w := range r.W {
		f.KPa[k] = float32(math.NaN())
		if !math.IsNaN(w) {
			at := airflow.Patch{W: w}
			if r.Parts != nil {
				at.Part = r.Parts[k]
			}
			f.KPa[k] = float32(e.state.DifferencePa(a.job.AmbientPa, at) / 1000)
		}
	}
	return f
}
