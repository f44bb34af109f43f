package main

import (
	"fmt"
	"os"

	"github.com/schollz/progressbar/v3"
	"golang.org/x/term"
)

// progress is the progress bar of a run of several programs, shown on a terminal only.
type progress struct{ bar *progressbar.ProgressBar }

func newProgress(programs int, o *checkOptions, s streams) progress {
	file, ok := s.err.(*os.File)
	if programs < 2 || o.terse() || o.noProgress || !ok || !term.IsTerminal(int(file.Fd())) {
		return progress{}
	}
	return progress{progressbar.NewOptions(programs,
		progressbar.OptionSetWriter(file),
		progressbar.OptionSetDescription("programs"),
		progressbar.OptionShowCount(),
		progressbar.OptionSetPredictTime(true),
		progressbar.OptionClearOnFinish(),
		progressbar.OptionFullWidth(),
	)}
}

func (p progress) step() {
	if p.bar != nil {
		_ = p.bar.Add(1) // a terminal that fails does not stop the analysis
	}
}

// clear removes the bar before findings are printed.
func (p progress) clear() {
	if p.bar != nil {
		_ = p.bar.Clear()
	}
}

func (p progress) finish() {
	if p.bar != nil {
		_ = p.bar.Finish()
	}
}

// countDryRuns gives what shows the number of dry runs on a terminal; 0 removes it.
func countDryRuns(off bool, s streams) func(runs int) {
	file, ok := s.err.(*os.File)
	if off || !ok || !term.IsTerminal(int(file.Fd())) {
		return func(int) {}
	}
	return func(runs int) {
		if runs == 0 {
			fmt.Fprint(file, "\r                          \r")
			return
		}
		fmt.Fprintf(file, "\rdry runs: %d", runs)
	}
}
