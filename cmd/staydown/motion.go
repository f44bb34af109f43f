package main

import (
	"math"

	"staydown/hold"
	"staydown/hold/job"
	"staydown/parse"
	"staydown/sweep"
)

// readOptions is all of a job that reading a program depends on. OpenSub is left out.
func readOptions(path string, j *job.Job, s settings) parse.Options {
	opt := j.Reading(path)
	opt.Strict, opt.BlockDelete = s.strict, s.blockDelete
	return opt
}

// sweepInput is all that the sweep of a program depends on besides its moves. It is made of the job and stands in its
// place from then on, so that jobs with the same one have the same sweep.
type sweepInput struct {
	job     job.Job // tools, rapid rate and of the stock what it is, nothing else
	options sweep.Options
}

// askedCellBytes bounds the grid if the user chose its cell; otherwise the sweep chooses the cell within its own
// budget.
const askedCellBytes = 4 << 30

func newSweepInput(j *job.Job, program *parse.Program) sweepInput {
	in := sweepInput{
		job: job.Job{
			Tools:   j.Tools,
			Stock:   job.Stock{Stock: j.Stock.Stock, Material: j.Stock.Material},
			Machine: job.Machine{RapidMMMin: j.Machine.RapidMMMin},
		},
		options: sweep.Options{CellMM: j.CellMM, WebMM: j.WebMM, KeepWebs: j.Stock.Porous(),
			Units: j.Units.Or(program.Units)},
	}
	if j.CellMM > 0 {
		// The user's cell is used as given; the worker limits the memory.
		in.options.MemoryBytes = askedCellBytes
	}
	// The layer only bounds how deep below it a cut is followed.
	if j.Layer != nil && lowestZ(&program.Moves) < j.Stock.BottomMM-j.Layer.ThicknessMM {
		in.options.LayerMM = j.Layer.ThicknessMM
	}
	return in
}

// lowestZ is that of the tool's tip, mm; +Inf without moves.
func lowestZ(moves *parse.Moves) float64 {
	lowest := math.Inf(1)
	for i := range moves.Len() {
		m := moves.At(i)
		lowest = min(lowest, m.LowestZ())
	}
	return lowest
}

// over gives what sweeps the program again over the same stock with its table side at another Z.
func (in sweepInput) over(program *parse.Program, workers int) func(bottomMM float64) (*sweep.Record, error) {
	return func(bottomMM float64) (*sweep.Record, error) {
		lower := in
		lower.job.Stock.BottomMM = bottomMM
		rec, p := lower.run(program, workers)
		if p != nil {
			return nil, p
		}
		return rec, nil
	}
}

// run sweeps the tools through the stock on so many workers.
func (in sweepInput) run(program *parse.Program, workers int) (*sweep.Record, *problem) {
	tools := map[int]sweep.Tool{}
	for n, t := range in.job.Tools {
		tools[n] = t.Tool
	}
	opt := in.options
	opt.Neck, opt.Jobs = hold.Neck(program, &in.job), workers
	rec, err := sweep.Run(&program.Moves, tools, in.job.Stock.Stock, opt)
	if err != nil {
		return nil, unanalysed(placed(program.Name, err))
	}
	return rec, nil
}
