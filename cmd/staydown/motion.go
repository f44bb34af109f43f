package main

import (
	"staydown/hold/job"
	"staydown/hold/sweepjob"
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

func newSweepInput(j *job.Job, program *parse.Program) sweepInput {
	return sweepInput{
		job: job.Job{
			Tools:   j.Tools,
			Stock:   job.Stock{Stock: j.Stock.Stock, Material: j.Stock.Material},
			Machine: job.Machine{RapidMMMin: j.Machine.RapidMMMin},
		},
		options: sweepjob.Options(program, j),
	}
}

// over gives what sweeps the program again over the same stock with its table side at another Z. What is kept of an
// earlier sweep is used.
func (in sweepInput) over(program *parse.Program, workers int,
	known *kept) func(bottomMM float64) (*sweep.Record, error) {
	return func(bottomMM float64) (*sweep.Record, error) {
		lower := in
		lower.job.Stock.BottomMM = bottomMM
		rec, p := known.sweep(lower, program, workers)
		if p != nil {
			return nil, p
		}
		return rec, nil
	}
}

// run sweeps the tools through the stock on so many workers.
func (in sweepInput) run(program *parse.Program, workers int) (*sweep.Record, *problem) {
	opt := in.options
	opt.Neck, opt.Jobs = sweepjob.Neck(program, &in.job), workers
	rec, err := sweepjob.Sweeper(program, &in.job, opt)(in.job.Stock.BottomMM)
	if err != nil {
		return nil, unanalysed(placed(program.Name, err))
	}
	return rec, nil
}
