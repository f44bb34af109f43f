package main

import (
	"context"
	"errors"
	"iter"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"time"

	"golang.org/x/sync/semaphore"

	"staydown/cmd/staydown/memory"
	"staydown/cmd/staydown/store"
	"staydown/hold/job"
	"staydown/hold/result"
	"staydown/report"
)

// outcome is the result of one target.
type outcome struct {
	target  target
	result  *result.Result // light; never nil
	lines   []lineText
	status  int    // of the problem; 0 for none
	message string // of the problem
	json    []byte // the result file, if it was asked for
	cached  bool
	aside   bool  // a path that cannot be read, not a program
	skipped bool  // the run was stopped before it
	broken  error // some of its files could not be written
	lost    bool  // the output folder is gone or full: nothing more can be written
}

// run analyses targets. It does not change once set up.
type run struct {
	opt    *checkOptions
	folder *store.Folder // nil without an output folder
	build  string
	digest string
	budget int64 // bytes of memory for all workers together
	atOnce int   // workers
	stay   bool  // the worker is kept for the next run
	// preview shows drafts of the answers; nil: none are asked for
	preview *preview
	// ask has one program analysed: runWorker, or a stand-in in tests.
	ask func(ctx context.Context, req request, limit time.Duration) (*answer, *failure)
}

// maxWaiting bounds the outcomes kept until those before them are printed.
const maxWaiting = 256

// all analyses targets, at most opt.workers at once and no more than fit into memory, and yields the outcomes in the
// order of the targets. When ctx ends, workers are killed and the remaining targets come back as skipped.
func (r *run) all(ctx context.Context, targets []target) iter.Seq[outcome] {
	return func(yield func(outcome) bool) {
		ctx, cancel := context.WithCancel(ctx)
		var tasks sync.WaitGroup
		defer tasks.Wait() // after cancel: no worker outlives the run
		defer cancel()
		ready := make([]chan outcome, len(targets))
		for i := range ready {
			ready[i] = make(chan outcome, 1)
		}
		window := make(chan struct{}, maxWaiting)
		tasks.Go(func() {
			slots := semaphore.NewWeighted(int64(r.opt.workers))
			free := semaphore.NewWeighted(r.budget)
			for i, t := range targets {
				select {
				case window <- struct{}{}:
				case <-ctx.Done():
				}
				if slots.Acquire(ctx, 1) != nil {
					ready[i] <- r.skip(t)
					continue
				}
				tasks.Go(func() {
					defer slots.Release(1)
					ready[i] <- r.one(ctx, t, free)
				})
			}
		})
		for i := range targets {
			out := <-ready[i]
			select {
			case <-window:
			default: // skipped targets hold no slot
			}
			if !yield(out) {
				return
			}
		}
	}
}

func (r *run) skip(t target) outcome {
	const why = "not analyzed: the run was stopped first; run the same command to resume"
	return outcome{target: t, result: unanalysedResult(t.path, why), status: exitUnanalysed, skipped: true}
}

// one returns the outcome of one target, from the output folder if its result there is current.
func (r *run) one(ctx context.Context, t target, free *semaphore.Weighted) outcome {
	if ctx.Err() != nil {
		return r.skip(t)
	}
	if r.folder != nil && !r.opt.force {
		if e, err := readEntry(r.folder, t.name); err == nil && e.current(t, r.build, r.digest, r.opt.settings) {
			if files, ok := e.files(r.folder); ok {
				out := e.outcome(files)
				out.cached = true
				return r.trim(out)
			}
		}
	}
	share := memory.Share(memory.Need(peekJob(t.path, r.opt.settings), r.opt.settings.cellMM, sizeOf(t.path)), r.budget,
		r.atOnce)
	a, broke := r.runLimited(ctx, share, t, free)
	if broke != nil && broke.overMemory && share < r.budget {
		a, broke = r.runLimited(ctx, r.budget, t, free)
	}
	if a == nil && broke == nil {
		return r.skip(t)
	}
	if broke != nil {
		a = &answer{Status: exitUnanalysed, Message: gnuForm(about(t.path, "%s; do not run the program: it was not "+
			"checked", broke.reason)), Fleeting: true}
		a.Result = *unanalysedResult(t.path, broke.reason)
		if data, err := report.JSON(&a.Result); err == nil && r.opt.want() >= wantJSON {
			a.Files = append(a.Files, file{suffixResult, data})
		}
		if len(broke.stack) > 0 {
			a.Files = append(a.Files, file{suffixPanic, broke.stack})
		}
	}
	out := outcome{target: t, result: &a.Result, lines: a.Lines, status: a.Status, message: a.Message}
	for _, f := range a.Files {
		if f.Suffix == suffixResult {
			out.json = f.Data
		}
	}
	if r.folder != nil {
		out.broken, out.lost = r.keep(t, a)
	}
	return r.trim(out)
}

// runLimited has a program analysed by a worker that may use bytes of the memory that all workers share.
func (r *run) runLimited(ctx context.Context, bytes int64, t target, free *semaphore.Weighted) (*answer, *failure) {
	if free.Acquire(ctx, bytes) != nil {
		return nil, nil
	}
	defer free.Release(bytes)
	s := r.opt.settings
	var show func(*answer)
	if r.preview != nil {
		show = r.preview.show
	}
	return r.ask(ctx, request{
		Path: []byte(t.path), Setup: []byte(s.setup), Margin: s.margin, CellMM: s.cellMM, Strict: s.strict,
		BlockDelete: s.blockDelete, Set: s.set, Since: s.since,
		Jobs: s.jobs, Want: r.opt.want(), Sheet: r.opt.sheet, MemoryBytes: bytes,
		Stay: r.stay, Draft: show != nil, show: show,
	}, r.opt.limit)
}

// trim drops what the run does not print.
func (r *run) trim(out outcome) outcome {
	if r.opt.format != "json" {
		out.json = nil
	}
	return out
}

// keep writes the files of a program, removes outdated ones, and records the result. If a file cannot be written, there
// is no record either; lost means that nothing more can be written.
func (r *run) keep(t target, a *answer) (broken error, lost bool) {
	e := &entry{
		Build: r.build, Settings: r.digest, Path: t.path, Name: t.name, Inputs: a.Inputs,
		Status: a.Status, Message: a.Message, Fleeting: a.Fleeting, Result: a.Result, Lines: a.Lines,
	}
	var faults []error
	failed := func(name string, err error) (stop bool) {
		faults = append(faults, writable(filepath.Join(r.opt.out, name), err))
		return store.Full(err) || r.folder.Lost()
	}
	made := map[string]bool{}
	for _, f := range a.Files {
		name := t.name + f.Suffix
		if strings.HasPrefix(f.Suffix, suffixAnnotated) {
			name = annotatedName(t.name, t.path)
		}
		made[name] = true
		if err := r.folder.Write(name, f.Data); err != nil {
			if failed(name, err) {
				return errors.Join(faults...), true
			}
		}
		e.Files = append(e.Files, fileSum{name, store.Sum(f.Data)})
	}
	for _, name := range r.filesBefore(t) {
		if made[name] {
			continue
		}
		if err := r.folder.Remove(name); err != nil && !store.NameTooLong(err) && failed(name, err) {
			return errors.Join(faults...), true
		}
	}
	if len(faults) > 0 {
		return errors.Join(faults...), false
	}
	data, err := store.Pack(e)
	if err != nil {
		return about(t.path, "its record could not be made (%v)", err), false
	}
	if err := r.folder.Write(entryName(t.name), data); err != nil {
		lost = failed(entryName(t.name), err)
	}
	return errors.Join(faults...), lost
}

// filesBefore lists the files that a program may have below the output folder, including those of a program that had
// its name before.
func (r *run) filesBefore(t target) []string {
	names := fileNames(t)
	if e, err := readEntry(r.folder, t.name); err == nil && e.Path != t.path {
		names = append(names, fileNames(target{e.Path, e.Name})...)
	}
	return names
}

// annotatedName is NAME.annotated.EXT, also for a name that still has its extension.
func annotatedName(name, path string) string {
	ext := filepath.Ext(path)
	return strings.TrimSuffix(name, ext) + suffixAnnotated + ext
}

// fileNames lists the files that a program may have below the output folder.
func fileNames(t target) []string {
	names := []string{annotatedName(t.name, t.path)}
	for _, s := range suffixes() {
		names = append(names, t.name+s)
	}
	return names
}

func sizeOf(path string) int64 {
	info, err := os.Stat(path)
	if err != nil {
		return 0
	}
	return info.Size()
}

// peekJob reads the job of a program for what the run itself needs, its sizes. It returns nil if that fails; the
// analysis says why. It recovers because a panic on a hostile job file must not end the run.
func peekJob(program string, s settings) (j *job.Job) {
	defer func() {
		if recover() != nil {
			j = nil
		}
	}()
	files, p := readJobFiles(program, s)
	if p != nil {
		return nil
	}
	if j, err := job.ParseLayers(files...); err == nil {
		return j
	}
	return nil
}

// peekExtensions gives the endings of programs in a folder. A job file with errors is reported with the programs that
// need it, so here they are none; nor is a panic.
func peekExtensions(dir string, s settings) (out []string) {
	defer func() {
		if recover() != nil {
			out = job.DefaultExtensions()
		}
	}()
	files, p := readJobFiles(filepath.Join(dir, jobFileName), s)
	if p != nil {
		return job.DefaultExtensions()
	}
	return job.Extensions(files...)
}

// unanalysedResult is the result of a program without an analysis; reason may begin with the program's path.
func unanalysedResult(path, reason string) *result.Result {
	reason = strings.TrimPrefix(reason, path+": ")
	return result.Unanalysed(path, strings.ReplaceAll(reason, "\n", "; "))
}
