package main

import (
	"errors"
	"reflect"
	"runtime"
	"slices"

	"staydown/cmd/staydown/store"
	"staydown/hold"
	"staydown/hold/job"
	"staydown/hold/records"
	"staydown/hold/result"
	"staydown/sweep"
	"staydown/sweep/parallel"
)

// variation is a program checked with every combination of some values of its job.
//
//	combinations -> jobs -> those read alike -> those swept alike -> check, side by side
//
// What is shared is told by what reading, sweeping and the air are given (readOptions, sweepInput, hold.Shared), not by
// the names of keys: nothing else of a job reaches them, so a variant has the result of a check of its own.
type variation struct {
	path     string
	src      []byte
	settings settings
	keys     []string
	variants []variant // in the order of combinations, the last key fastest
}

// variant is one combination.
type variant struct {
	values []string // one for each key
	job    *job.Job
	result *result.Result // light
}

// newVariation reads the program and the job of every combination.
func newVariation(path string, keys []varied, s settings) (*variation, *problem) {
	v := &variation{path: path, settings: s}
	var p *problem
	if v.src, p = readProgram(path); p != nil {
		return nil, p
	}
	paths, p := jobPathsOf(path, s)
	if p != nil {
		return nil, p
	}
	files, p := readFiles(paths)
	if p != nil {
		return nil, p
	}
	for _, k := range keys {
		v.keys = append(v.keys, k.key)
	}
	// A value that is wrong is so in many combinations; each problem is told once.
	var faults []error
	told := map[string]bool{}
	for _, values := range combinations(keys) {
		j, p := v.jobWith(files, values)
		if p != nil && !told[p.Error()] {
			told[p.Error()] = true
			faults = append(faults, p)
		}
		v.variants = append(v.variants, variant{values: values, job: j})
	}
	if len(faults) > 0 {
		return nil, misused(errors.Join(faults...))
	}
	return v, nil
}

// combinations gives the cross product of the values, the last key fastest.
func combinations(keys []varied) [][]string {
	out := [][]string{nil}
	for _, k := range keys {
		var longer [][]string
		for _, values := range out {
			for _, one := range k.values {
				longer = append(longer, append(slices.Clip(values), one))
			}
		}
		out = longer
	}
	return out
}

// jobWith reads the job with the values over its files.
func (v *variation) jobWith(files []job.File, values []string) (*job.Job, *problem) {
	s := v.settings
	s.set = slices.Clip(s.set)
	for i, value := range values {
		s.set = append(s.set, v.keys[i]+"="+value)
	}
	files, p := withSet(files, s)
	if p != nil {
		return nil, p
	}
	return parseJob(files, s)
}

// run checks every variant and returns the exit status. Problems go to standard error.
func (v *variation) run(s streams) int {
	status := exitHeld
	all := make([]int, len(v.variants))
	for i := range all {
		all[i] = i
	}
	readAs := func(i int) any { return readOptions(v.path, v.variants[i].job, v.settings) }
	for _, alike := range groups(all, readAs) {
		d := &dryRun{path: v.path, src: v.src, job: v.variants[alike[0]].job}
		if p := d.read(v.settings); p != nil {
			status = max(status, v.fail(alike, p, s))
			continue
		}
		sweptAs := func(i int) any { return newSweepInput(v.variants[i].job, d.program) }
		for _, alike := range groups(alike, sweptAs) {
			rec, p := newSweepInput(v.variants[alike[0]].job, d.program).run(d.program, runtime.NumCPU())
			if p != nil {
				status = max(status, v.fail(alike, p, s))
				continue
			}
			status = max(status, v.check(d, rec, alike, s))
		}
	}
	return status
}

// groups sorts numbers by their keys: those with equal keys (reflect.DeepEqual) are one group. Groups stand in the
// order of their first number.
func groups(numbers []int, key func(i int) any) (out [][]int) {
	var keys []any
	for _, i := range numbers {
		k := key(i)
		at := slices.IndexFunc(keys, func(old any) bool { return reflect.DeepEqual(old, k) })
		if at < 0 {
			at = len(keys)
			keys, out = append(keys, k), append(out, nil)
		}
		out[at] = append(out[at], i)
	}
	return out
}

// check checks variants with one sweep, side by side.
func (v *variation) check(d *dryRun, rec *sweep.Record, numbers []int, s streams) int {
	atOnce := min(runtime.NumCPU(), len(numbers))
	problems := make([]*problem, len(numbers))
	workers := max(1, runtime.NumCPU()/atOnce)
	shared := &hold.Shared{}
	resweep := once(newSweepInput(v.variants[numbers[0]].job, d.program).over(d.program, workers, nil))
	parallel.For(atOnce, len(numbers), func(_, k int) {
		one := &v.variants[numbers[k]]
		var known []records.Record
		if known, problems[k] = recordsFor(v.path, v.settings, one.job); problems[k] != nil {
			return
		}
		a, err := hold.Check(d.program, rec, one.job, hold.Options{NoRemedies: true, NoPictures: true,
			Figures: hold.SetpointFigures, Shared: shared, Workers: workers, Records: known, Resweep: resweep})
		if err != nil {
			problems[k] = unanalysed(about(v.path, "%v", err))
			return
		}
		result := light(a.Result)
		one.result = &result
	})
	status := exitHeld
	for k, i := range numbers {
		switch {
		case problems[k] != nil:
			status = max(status, v.fail([]int{i}, problems[k], s))
		case v.variants[i].result.Verdict != result.Held:
			status = max(status, exitFinding)
		}
	}
	return status
}

// fail gives variants a result without an analysis.
func (v *variation) fail(numbers []int, p *problem, s streams) int {
	complain(s.err, p)
	for _, i := range numbers {
		v.variants[i].result = unanalysedResult(v.path, p.Error())
	}
	return p.status
}

// table is what a report shows.
func (v *variation) table() *result.Variants {
	t := &result.Variants{Program: v.path, SHA256: store.Sum(v.src), Keys: v.keys}
	for _, one := range v.variants {
		t.Rows = append(t.Rows, result.Variant{Values: one.values, Result: one.result})
	}
	return t
}
