package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"os/signal"
	"path/filepath"
	"runtime"
	"slices"
	"syscall"
	"time"

	"github.com/spf13/pflag"

	"staydown/cmd/staydown/memory"
	"staydown/cmd/staydown/store"
	"staydown/report"
)

// checkOptions are the flags of check. join uses those of standard output and of the output folder.
type checkOptions struct {
	settings
	out        string
	format     string
	workers    int
	memory     string
	limit      time.Duration
	baseline   string
	shard      string
	force      bool
	noPictures bool
	sheet      bool
	quiet      bool
	all        bool
	summary    bool
	noProgress bool
	watching   bool
	budget     int64 // bytes of memory for all workers together
}

// terse tells whether only results are printed, not what is told of the run.
func (o *checkOptions) terse() bool { return o.quiet || o.summary }

// want selects the output of each program.
func (o *checkOptions) want() want {
	switch {
	case o.out != "" && o.noPictures:
		return wantPlain
	case o.out != "":
		return wantAll
	case o.format == "json":
		return wantJSON
	case o.all || o.format != "text":
		return wantFindings
	}
	return wantVerdict
}

const checkHelp = `Dry-runs programs or folders of programs and reports where a piece comes loose.

Examples:
  staydown check panels.nc
  staydown check panels.nc lantern.ngc -o out
  staydown check shop -o night --baseline last/findings.sarif

In a folder, programs are found by file extension: those under [machine] extensions in the job file, else the common
ones. Each program is read with its own job file. One that cannot be analyzed (unreadable, over --limit, out of memory,
or the analysis crashed: see NAME.panic.txt) is reported as incomplete; the others continue.

With -o DIR, each file in DIR is written completely or not at all, and programs whose text, subprograms, job file and
flags are unchanged are not run again. A killed run resumes where it stopped. Ctrl-C stops a run: finished results are
kept, the rest counts as not analyzed (exit status 3). Only one run at a time may write to DIR.

To split a large run, --shard K/N checks part K of N. A program's content decides its part. Give each part its own DIR
and combine them with staydown join. Without --shard, and with more than one program, the variables of two schedulers
are used. SLURM_ARRAY_TASK_ID with _MIN, _STEP and _COUNT: arrays may start at any number but must not have gaps; the
first task is part 1. JOB_COMPLETION_INDEX counts from 0, so index 0 is part 1; it needs --shard auto/N because it does
not give N. Standard error says which part was chosen; --shard 1/1 checks everything.

Exit status: 0 everything holds with the required margin, 1 at least one error or warning, 2 wrong usage or job file,
3 a program could not be analyzed or results not written (the others were); the highest one applies.`

func checkFlags(f *pflag.FlagSet) *checkOptions {
	o := &checkOptions{}
	addAnalysisFlags(f, &o.settings)
	addOutputFlags(f, o)
	f.BoolVar(&o.noPictures, "no-pictures", false, "with -o: leave out pictures and HTML reports of single programs; "+
		"faster")
	f.BoolVar(&o.sheet, "sheet", false, "with -o: write NAME.sheet.html as well, a set-up sheet of one printed page")
	f.IntVarP(&o.workers, "jobs", "j", runtime.NumCPU(), "analyze at most `N` programs at once")
	f.StringVar(&o.memory, "memory", "", "memory `SIZE` for all programs together, as in 2GiB (default: three "+
		"quarters of what is free)")
	f.DurationVar(&o.limit, "limit", time.Hour, "time limit `TIME` for one program, as in 90s or 10m; 0 for none")
	f.StringVar(&o.shard, "shard", "", "check only part `K/N` of the programs, or auto/N: see above")
	f.BoolVar(&o.force, "force", false, "run every program again, even if unchanged")
	f.BoolVar(&o.noProgress, "no-progress", false, "no progress bar")
	f.BoolVar(&o.watching, "watch", false, "check again whenever a program or job file is saved, until Ctrl-C")
	return o
}

// addOutputFlags declares the output flags, which check and join share.
func addOutputFlags(f *pflag.FlagSet, o *checkOptions) {
	f.StringVarP(&o.out, "out", "o", "", "write results, pictures, reports and annotated programs into `DIR` "+
		"(default: only the terminal)")
	f.StringVar(&o.format, "format", "text", "`FORM` of standard output: text, json, sarif or csv")
	f.StringVar(&o.baseline, "baseline", "", "earlier SARIF `FILE`: mark findings as new, unchanged or absent")
	f.BoolVar(&o.all, "all", false, "every finding on its own with its remedy, and every assumption; else equal ones "+
		"are one line")
	f.BoolVarP(&o.quiet, "quiet", "q", false, "what to do and the findings only: no verdict line, no summary, no "+
		"progress")
	f.BoolVar(&o.summary, "summary", false, "only the closing table, as for the mail of a nightly run")
}

// readShared checks the flags that check and join share, and reads the baseline (nil for none).
func (o *checkOptions) readShared() (*report.Baseline, *problem) {
	if !slices.Contains([]string{"text", "json", "sarif", "csv"}, o.format) {
		return nil, misused(fmt.Errorf("--format %q is unknown; use text, json, sarif or csv", o.format))
	}
	if o.summary && o.format != "text" {
		return nil, misused(fmt.Errorf("--summary is a table of the text form; leave it out with --format %s",
			o.format))
	}
	if o.out == "-" {
		return nil, misused(errors.New("- is standard output, and the results are a folder of files; name one with " +
			"-o, or choose what to print with --format"))
	}
	if o.baseline == "" {
		return nil, nil
	}
	data, err := readRegular(o.baseline, maxProgramBytes)
	if err != nil {
		return nil, misused(err)
	}
	baseline, err := report.NewBaseline(data)
	if err != nil {
		return nil, misused(about(o.baseline, "%v", err))
	}
	return baseline, nil
}

func runCheck(args []string, s streams) int {
	f := newFlags("check", "PATH...", checkHelp, s)
	o := checkFlags(f)
	if status, done := parseFlags(f, args, s); done {
		return status
	}
	if f.NArg() == 0 {
		return misuse(s, "check needs at least one program or folder")
	}
	if o.sheet && o.out == "" {
		return misuse(s, "--sheet writes a file beside the others; name their folder with -o")
	}
	if o.watching && o.format != "text" {
		return misuse(s, "--watch is for people; leave out --format %s", o.format)
	}
	if o.workers < 1 {
		return misuse(s, "--jobs %d is too few; use 1 or more", o.workers)
	}
	if o.limit < 0 {
		return misuse(s, "--limit %v is negative; use a time such as 10m, or 0 for none", o.limit)
	}
	baseline, p := o.readShared()
	if p != nil {
		complain(s.err, p)
		return p.status
	}
	if o.budget = memory.Budget(); o.memory != "" {
		var err error
		if o.budget, err = memory.Parse(o.memory); err != nil {
			return misuse(s, "--memory %v", err)
		}
	}
	if o.watching {
		return o.watch(f.Args(), baseline, s)
	}
	return o.once(f.Args(), baseline, s, nil)
}

// once checks the programs in paths and returns the exit status. stays, unless nil, is a worker that a single program
// is given to each time.
func (o *checkOptions) once(paths []string, baseline *report.Baseline, s streams, stays *worker) int {
	r := &run{opt: o, budget: o.budget, digest: o.digest(), ask: runWorker}
	all := findTargets(paths, o.out, extensionsOf(o.settings))
	if stays != nil && len(all.targets) == 1 {
		r.stay, r.ask = true, stays.ask
	}
	part, p := o.part(len(all.targets), s)
	if p != nil {
		complain(s.err, p)
		return p.status
	}
	work := makePlan(o, all, part)
	if mine := len(work.mine()); part.n > 1 && (mine == 0 || !o.terse()) {
		mention(s.err, "part %d of %d has %d of %d programs", part.k, part.n, mine, len(all.targets))
	}
	if o.out != "" {
		if r.folder, p = openFolder(o.out); p != nil {
			complain(s.err, p)
			return p.status
		}
		defer r.folder.Close()
		if p := r.begin(work); p != nil {
			complain(s.err, p)
			return p.status
		}
		if err := removeGone(r.folder, work.Targets, all.goneFrom, s.err); err != nil {
			complain(s.err, writable(o.out, err))
		}
	}
	return r.report(work, baseline, s)
}

// begin identifies this build and records the plan of the run.
func (r *run) begin(work *plan) *problem {
	var err error
	if r.build, err = buildDigest(); err != nil {
		return unanalysed(
			errors.New("staydown cannot read its own program file to tell its results from those of other builds"))
	}
	data, err := store.Pack(work)
	if err == nil {
		err = r.folder.Write(planName, data)
	}
	if err != nil {
		return unwritten(filepath.Join(r.opt.out, planName), err)
	}
	return nil
}

// report runs the targets of a part and presents their outcomes. An interrupt stops the run cleanly, a second one
// immediately.
func (r *run) report(work *plan, baseline *report.Baseline, s streams) int {
	targets := work.mine()
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	context.AfterFunc(ctx, stop)
	r.atOnce = min(r.opt.workers, max(1, len(targets)))
	r.opt.settings.jobs = max(1, runtime.NumCPU()/r.atOnce)
	r.preview = newPreview(len(targets), r.opt, s)
	p := &presenter{opt: r.opt, streams: s, baseline: baseline, bar: newProgress(len(targets), r.opt, s),
		said: saidAmong(len(targets))}
	p.leftOver = func(n int) string {
		return fmt.Sprintf("the run was stopped: %d of %d programs were not analyzed; run the same command to resume",
			n,
			len(targets))
	}
	p.presentAsides(work.Asides)
	runCtx, giveUp := context.WithCancel(ctx)
	defer giveUp()
	for out := range r.all(runCtx, targets) {
		r.preview.clear()
		if !p.present(out) {
			giveUp() // the remaining targets come back as skipped
		}
	}
	return p.finish(r.folder)
}

// part chooses the part of the run for this process.
func (o *checkOptions) part(programs int, s streams) (shard, *problem) {
	getenv := os.Getenv
	if o.shard == "" && programs < 2 {
		return wholeRun, nil // a single program is always meant, also in an array task
	}
	part, notice, p := chooseShard(o.shard, getenv)
	if notice != "" {
		mention(s.err, "%s", notice)
	}
	return part, p
}

// makePlan assigns every target to its part.
func makePlan(o *checkOptions, all found, part shard) *plan {
	w := &plan{Version: version, Settings: o.digest(), Shard: part.k, Shards: part.n, Asides: all.asides}
	for _, t := range all.targets {
		k := 1
		if part.n > 1 {
			k = shardOf(t.path, part.n)
		}
		w.Targets = append(w.Targets, planned{t.path, t.name, k})
	}
	return w
}

// mine lists the targets of this part.
func (w *plan) mine() []target {
	var out []target
	for _, t := range w.Targets {
		if t.Shard == w.Shard {
			out = append(out, target{t.Path, t.Name})
		}
	}
	return out
}

// extensionsOf returns the file extensions of programs in a folder: from its job files, else the common ones.
func extensionsOf(s settings) func(dir string) []string {
	known := map[string][]string{}
	return func(dir string) []string {
		list, ok := known[dir]
		if !ok {
			list = peekExtensions(dir, s)
			known[dir] = list
		}
		return list
	}
}
