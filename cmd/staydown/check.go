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
	quiet      bool
	noProgress bool
}

// want is what the options ask of each program.
func (o *checkOptions) want() want {
	switch {
	case o.out != "" && o.noPictures:
		return wantPlain
	case o.out != "":
		return wantAll
	case o.format == "json":
		return wantJSON
	}
	return wantFindings
}

const checkHelp = `Dry-runs programs or folders of programs and reports where a piece comes loose.

In a folder, programs are found by their endings: those that the job file lists under [machine] extensions, else the
usual ones. Each program is read with its own job file. One that cannot be analysed (unreadable, over --limit, over its
memory, or because the analysis broke off: then NAME.panic.txt tells where) is reported as incomplete; the others go on.

With -o DIR, files appear in DIR whole or not at all, and programs whose text, subprograms, job file and flags are
unchanged are not run again. A run that was killed goes on from where it was. Ctrl-C ends a run cleanly: what is done
is kept, the rest counts as not analysed (exit status 3). One run at a time may write to DIR.

A large run may be shared out: --shard K/N checks part K of N. The part of a program follows from its content. Give
each part a DIR of its own and put them together with staydown join. Without --shard, and when more than one program is
found, the variables of two schedulers are heeded. SLURM_ARRAY_TASK_ID with _MIN, _STEP and _COUNT: arrays may begin at
any number but must have no gaps; the first task is part 1. JOB_COMPLETION_INDEX: it counts from 0, so that index 0 is
part 1, and needs --shard auto/N because it does not tell N. What is taken from them is said on standard error;
--shard 1/1 checks everything.

Exit status: 0 everything holds with the asked-for margin, 1 at least one error or warning, 2 wrong usage or job file,
3 a program could not be analysed or results not written (the others still were); the highest one wins.`

func checkFlags(f *pflag.FlagSet) *checkOptions {
	o := &checkOptions{}
	addAnalysisFlags(f, &o.settings)
	addOutputFlags(f, o)
	f.BoolVar(&o.noPictures, "no-pictures", false, "with -o: no pictures and no HTML reports of single programs, "+
		"which takes less time")
	f.IntVarP(&o.workers, "jobs", "j", runtime.NumCPU(), "programs that are analysed at once, at most `N`")
	f.StringVar(&o.memory, "memory", "", "`SIZE` of the memory for all programs at once, as in 2GiB (default: three "+
		"quarters of what is free)")
	f.DurationVar(&o.limit, "limit", time.Hour, "longest `TIME` for one program, as in 90s or 10m; 0 for none")
	f.StringVar(&o.shard, "shard", "", "check part `K/N` of the programs only, or auto/N: see above")
	f.BoolVar(&o.force, "force", false, "run every program again, whatever the output folder holds")
	f.BoolVar(&o.noProgress, "no-progress", false, "no progress bar")
	return o
}

// addOutputFlags declares the flags of what comes out, which check and join share.
func addOutputFlags(f *pflag.FlagSet, o *checkOptions) {
	f.StringVarP(&o.out, "out", "o", "", "write results, pictures, reports and annotated programs into `DIR` "+
		"(default: only the terminal)")
	f.StringVar(&o.format, "format", "text", "`FORM` of standard output: text, json, sarif or csv")
	f.StringVar(&o.baseline, "baseline", "", "earlier SARIF `FILE`; findings are then marked new, unchanged or absent")
	f.BoolVarP(&o.quiet, "quiet", "q", false, "findings only: no summary, no progress")
}

// readShared checks the flags that check and join share, and reads the baseline (nil for none).
func (o *checkOptions) readShared() (*report.Baseline, *problem) {
	if !slices.Contains([]string{"text", "json", "sarif", "csv"}, o.format) {
		return nil, misused(fmt.Errorf("--format %q is none of text, json, sarif, csv", o.format))
	}
	if o.out == "-" {
		return nil, misused(errors.New("- is standard output, and the results are a folder of files; name one with -o, or " +
			"choose what to print with --format"))
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
	if o.workers < 1 {
		return misuse(s, "--jobs %d is too few; give 1 or more", o.workers)
	}
	if o.limit < 0 {
		return misuse(s, "--limit %v is below 0; give a time such as 10m, or 0 for none", o.limit)
	}
	baseline, p := o.readShared()
	if p != nil {
		complain(s.err, p)
		return p.status
	}
	r := &run{opt: o, budget: defaultBudget(), digest: o.digest(), ask: consult}
	if o.memory != "" {
		var err error
		if r.budget, err = parseBytes(o.memory); err != nil {
			return misuse(s, "--memory %v", err)
		}
	}
	all := findTargets(f.Args(), o.out, extensionsOf(o.settings))
	part, p := o.part(len(all.targets), s)
	if p != nil {
		complain(s.err, p)
		return p.status
	}
	work := makePlan(o, all, part)
	if mine := len(work.mine()); part.n > 1 && (mine == 0 || !o.quiet) {
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

// begin identifies this build and records what the run sets out to do.
func (r *run) begin(work *plan) *problem {
	var err error
	if r.build, err = identify(); err != nil {
		return unanalysed(
			errors.New("this program could not read itself to tell its results from those of other builds"))
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

// report runs the targets of a part and presents what comes of them. An interrupt ends the run cleanly; a second one at
// once.
func (r *run) report(work *plan, baseline *report.Baseline, s streams) int {
	targets := work.mine()
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	context.AfterFunc(ctx, stop)
	r.atOnce = min(r.opt.workers, max(1, len(targets)))
	r.opt.settings.jobs = max(1, runtime.NumCPU()/r.atOnce)
	p := &presenter{opt: r.opt, streams: s, baseline: baseline, bar: newProgress(len(targets), r.opt, s),
		said: saidAmong(len(targets))}
	p.leftOver = func(n int) string {
		return fmt.Sprintf("the run ended early: %d of %d programs were not analysed; run again to go on from here", n,
			len(targets))
	}
	p.takeAsides(work.Asides)
	runCtx, giveUp := context.WithCancel(ctx)
	defer giveUp()
	for out := range r.all(runCtx, targets) {
		if !p.take(out) {
			giveUp() // the rest comes back as skipped
		}
	}
	return p.finish(r.folder)
}

// part chooses the part of the run that this process does.
func (o *checkOptions) part(programs int, s streams) (shard, *problem) {
	getenv := os.Getenv
	if o.shard == "" && programs < 2 {
		return whole, nil // a single program is meant, whatever task of an array asks for it
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

// extensionsOf gives the endings of programs in a folder: from the job files that serve it, else the usual.
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
