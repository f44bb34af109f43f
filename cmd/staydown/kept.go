package main

import (
	"reflect"

	"staydown/hold"
	"staydown/hold/sweepjob"
	"staydown/parse"
	"staydown/sweep"
)

// kept is what a worker keeps of the last analysis of its program for the next one: what the tool takes away, which
// goes with its path and not with feeds and speeds, and the air under the stock. Nothing of it changes an answer.
type kept struct {
	sweeps []*keptSweep
	shared hold.Shared
}

// keptSweep is a sweep with what it was made of.
type keptSweep struct {
	program *parse.Program
	input   sweepInput
	record  *sweep.Record
	used    bool // by the analysis under way
}

// air is that of earlier analyses; nil where nothing is kept.
func (k *kept) air() *hold.Shared {
	if k == nil {
		return nil
	}
	return &k.shared
}

// sweep gives the record of a program: the kept one where nothing that decides it has changed, with its joins found
// anew where only the forces have, else a new one.
func (k *kept) sweep(in sweepInput, program *parse.Program, workers int) (*sweep.Record, *problem) {
	if k == nil {
		return in.run(program, workers)
	}
	for _, old := range k.sweeps {
		if !reflect.DeepEqual(old.input.cuts(), in.cuts()) || !samePath(&old.program.Moves, &program.Moves) {
			continue
		}
		if !reflect.DeepEqual(old.input, in) || !sameFeeds(&old.program.Moves, &program.Moves) {
			old.record = old.record.Rejoined(sweepjob.Neck(program, &in.job))
		}
		old.program, old.input, old.used = program, in, true
		return old.record, nil
	}
	in.options.KeepJoins = true
	rec, p := in.run(program, workers)
	in.options.KeepJoins = false
	if p == nil {
		k.sweeps = append(k.sweeps, &keptSweep{program, in, rec, true})
	}
	return rec, p
}

// cuts is what of the input decides what the tool takes away: all but the figures of the material and the cutting
// edges, which decide the forces on what still joins a piece.
func (in sweepInput) cuts() any {
	tools := make(map[int]sweep.Tool, len(in.job.Tools))
	for n, t := range in.job.Tools {
		tools[n] = t.Tool
	}
	return struct {
		tools   map[int]sweep.Tool
		stock   sweep.Stock
		options sweep.Options
	}{tools, in.job.Stock.Stock, in.options}
}

// samePath tells whether the tools of two programs go the same way. Lines may differ: the sweep names them in errors
// alone.
func samePath(a, b *parse.Moves) bool {
	if a.Len() != b.Len() {
		return false
	}
	for i := range a.Len() {
		m, n := a.At(i), b.At(i)
		m.Line, m.Sub, m.Spindle, m.FeedMMMin, m.RPM, m.DurationS = n.Line, n.Sub, n.Spindle, n.FeedMMMin, n.RPM,
			n.DurationS
		if m != n {
			return false
		}
	}
	return true
}

// sameFeeds tells whether programs that go the same way do so with the same feeds and speeds.
func sameFeeds(a, b *parse.Moves) bool {
	for i := range a.Len() {
		m, n := a.At(i), b.At(i)
		if m.FeedMMMin != n.FeedMMMin || m.RPM != n.RPM || m.Spindle != n.Spindle {
			return false
		}
	}
	return true
}

// dropUnused forgets what the last analysis did not use.
func (k *kept) dropUnused() {
	if k == nil {
		return
	}
	var used []*keptSweep
	for _, s := range k.sweeps {
		if s.used {
			s.used, used = false, append(used, s)
		}
	}
	k.sweeps = used
	k.shared.DropUnused()
}
