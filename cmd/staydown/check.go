package main

import (
	"bytes"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"runtime"
	"slices"

	"github.com/spf13/pflag"
	"golang.org/x/term"

	"staydown/hold"
	"staydown/hold/job"
	"staydown/report"
)

// checkOptions are the flags of check.
type checkOptions struct {
	settings
	out        string
	format     string
	workers    int
	baseline   string
	quiet      bool
	noProgress bool
}

func checkFlags(f *pflag.FlagSet) *checkOptions {
	o := &checkOptions{}
	addAnalysisFlags(f, &o.settings)
	f.StringVarP(&o.out, "out", "o", "", "write results, pictures, reports and annotated programs into `DIR` (default: only the terminal)")
	f.StringVar(&o.format, "format", "text", "form of standard output: text, json, sarif or csv")
	f.IntVarP(&o.workers, "jobs", "j", runtime.NumCPU(), "programs that are analysed at once, at most `N`")
	f.StringVar(&o.baseline, "baseline", "", "earlier SARIF `FILE`; findings are then marked new, unchanged or absent")
	f.BoolVarP(&o.quiet, "quiet", "q", false, "findings only: no summary, no progress")
	f.BoolVar(&o.noProgress, "no-progress", false, "no progress bar")
	return o
}

func runCheck(args []string, s streams) int {
	f := newFlags("check", "PATH...", "Dry-runs programs or folders of programs and reports where a piece comes loose.\n"+
		"Exit status: 0 everything holds with the asked-for margin, 1 at least one error or warning, 2 wrong usage or\n"+
		"job file, 3 a program could not be analysed (the others still were); the highest one wins.", s)
	o := checkFlags(f)
	if status, done := parseFlags(f, args, s); done {
		return status
	}
	if f.NArg() == 0 {
		return misuse(s, "check needs at least one program or folder")
	}
	if !slices.Contains([]string{"text", "json", "sarif", "csv"}, o.format) {
		return misuse(s, "--format %q is none of text, json, sarif, csv", o.format)
	}
	if o.workers < 1 {
		return misuse(s, "--jobs %d is too few; give 1 or more", o.workers)
	}
	if p := o.settings.check(); p != nil {
		fmt.Fprintln(s.err, p)
		return p.status
	}
	var baseline []byte
	if o.baseline != "" {
		var err error
		if baseline, err = os.ReadFile(o.baseline); err != nil {
			fmt.Fprintln(s.err, readable(o.baseline, err))
			return exitUsage
		}
	}
	targets, problems := findTargets(f.Args(), o.out, programExtensionsOf(o.settings.setup))
	status := exitHeld
	for _, err := range problems {
		fmt.Fprintln(s.err, err)
		status = exitUnanalysed
	}
	return max(status, checkAll(targets, o, baseline, s))
}

// programExtensionsOf gives the endings of programs in a folder: from the job file that serves it, else the usual.
func programExtensionsOf(setup string) func(dir string) []string {
	known := map[string][]string{}
	return func(dir string) []string {
		if list, ok := known[dir]; ok {
			return list
		}
		list := programExtensions
		path := setup
		if path == "" {
			path, _ = findJobFile(filepath.Join(dir, jobFileName))
		}
		if path != "" {
			if data, err := os.ReadFile(path); err == nil {
				// A job file with errors is reported with the programs that need it.
				if j, err := job.Parse(path, data); err == nil && len(j.Machine.Extensions) > 0 {
					list = j.Machine.Extensions
				}
			}
		}
		known[dir] = list
		return list
	}
}

// outcome is what became of one target.
type outcome struct {
	target target
	run    *dryRun // nil when it could not be analysed
	result *hold.Result
	fail   *problem
	stack  []byte // of a panic in the analysis
}

// checkAll analyses the targets, at most o.workers at once, and reports them in order.
func checkAll(targets []target, o *checkOptions, baseline []byte, s streams) int {
	o.settings.jobs = max(1, runtime.NumCPU()/min(o.workers, max(1, len(targets))))
	bar := newProgress(len(targets), o, s)
	defer bar.finish()
	status := exitHeld
	var results []*hold.Result
	outcomes := analyseAll(targets, o)
	for out := range outcomes {
		bar.clear()
		if out.fail != nil {
			fmt.Fprintln(s.err, out.fail)
			status = max(status, out.fail.status)
		}
		status = max(status, statusOf(out.result))
		if o.format == "text" && out.fail == nil {
			if err := report.Text(s.out, out.result, report.TextOptions{Colour: colourful(s.out), Quiet: o.quiet}); err != nil {
				return max(status, outputBroken(s, err))
			}
		}
		if o.out != "" {
			if err := writeProgramOutputs(o.out, out); err != nil {
				fmt.Fprintln(s.err, err)
				return max(status, exitUsage)
			}
		}
		out.run = nil // the sweep's record is large and no longer needed
		results = append(results, out.result)
		bar.step()
	}
	if err := finishRun(results, targets, o, baseline, s.out); err != nil {
		return max(status, outputBroken(s, err))
	}
	return status
}

// statusOf is the exit status that a result calls for: notes do not make a run fail.
func statusOf(r *hold.Result) int {
	if r.Verdict != hold.Held {
		return exitFinding
	}
	for _, f := range r.Findings {
		if f.Level >= hold.LevelWarning {
			return exitFinding
		}
	}
	return exitHeld
}

// outputBroken reports that standard output or the output folder could not be written.
func outputBroken(s streams, err error) int {
	fmt.Fprintf(s.err, "staydown: output broke off: %v\n", unwrapPath(err))
	return exitUsage
}

// finishRun writes what concerns the whole run.
func finishRun(results []*hold.Result, targets []target, o *checkOptions, baseline []byte, stdout io.Writer) error {
	if o.format == "json" {
		return writeJSONList(stdout, results)
	}
	return nil
}

// writeJSONList writes the results as one JSON array.
func writeJSONList(w io.Writer, results []*hold.Result) error {
	var b bytes.Buffer
	b.WriteString("[")
	for i, r := range results {
		data, err := report.JSON(r)
		if err != nil {
			return err
		}
		if i > 0 {
			b.WriteString(",")
		}
		b.WriteString("\n")
		b.Write(bytes.TrimRight(data, "\n"))
	}
	b.WriteString("\n]\n")
	_, err := w.Write(b.Bytes())
	return err
}

// writeProgramOutputs writes every file that belongs to one program.
func writeProgramOutputs(dir string, out outcome) error {
	base := filepath.Join(dir, filepath.FromSlash(out.target.name))
	result, err := report.JSON(out.result)
	if err != nil {
		return err
	}
	files := []struct {
		name string
		data []byte
	}{{base + ".result.json", result}}
	if out.run != nil {
		var timeline bytes.Buffer
		if err := report.TimelinePNG(&timeline, out.result); err != nil {
			return err
		}
		files = append(files, struct {
			name string
			data []byte
		}{base + ".timeline.png", timeline.Bytes()})
	}
	for _, f := range files {
		if err := writeWhole(f.name, f.data); err != nil {
			return err
		}
	}
	return nil
}

// colourful tells whether w is a terminal whose user has not asked for no colour.
func colourful(w io.Writer) bool {
	if _, set := os.LookupEnv("NO_COLOR"); set {
		return false
	}
	file, ok := w.(*os.File)
	return ok && term.IsTerminal(int(file.Fd()))
}
