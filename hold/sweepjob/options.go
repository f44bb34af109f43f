// Package sweepjob sweeps the stock of a job: it makes of a program and a job what the sweep has to know of them.
package sweepjob

import (
	"math"

	"staydown/hold/job"
	"staydown/parse"
	"staydown/sweep"
)

// askedCellBytes bounds the grid if the user chose its cell; otherwise the sweep chooses the cell within its own
// budget.
const askedCellBytes = 4 << 30

// Options are what of a job decides the sweep of a program, besides its tools and stock. Left out are the bounds
// of necks (see Neck), which go with the feeds, and the number of workers.
func Options(prog *parse.Program, j *job.Job) sweep.Options {
	opt := sweep.Options{CellMM: j.CellMM, WebMM: j.WebMM, KeepWebs: j.Stock.Porous(), Units: j.Units.Or(prog.Units)}
	if j.CellMM > 0 {
		// The user's cell is used as given; the worker limits the memory.
		opt.MemoryBytes = askedCellBytes
	}
	// The layer only bounds how deep below it a cut is followed.
	if j.Layer != nil && lowestZ(&prog.Moves) < j.Stock.BottomMM-j.Layer.ThicknessMM {
		opt.LayerMM = j.Layer.ThicknessMM
	}
	return opt
}

// Sweeper gives what sweeps the tools of a job through its stock with the table side at a Z, mm.
func Sweeper(prog *parse.Program, j *job.Job, opt sweep.Options) func(bottomMM float64) (*sweep.Record, error) {
	tools := make(map[int]sweep.Tool, len(j.Tools))
	for n, t := range j.Tools {
		tools[n] = t.Tool
	}
	return func(bottomMM float64) (*sweep.Record, error) {
		stock := j.Stock.Stock
		stock.BottomMM = bottomMM
		return sweep.Run(&prog.Moves, tools, stock, opt)
	}
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
