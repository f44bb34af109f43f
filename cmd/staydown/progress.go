package main

import (
	"os"

	"github.com/schollz/progressbar/v3"
	"golang.org/x/term"
)

// progress shows how far a run of several programs is, on a terminal only.
type progress struct{ bar *progressbar.ProgressBar }

func newProgress(programs int, o *checkOptions, s streams) progress {
	file, ok := s.err.(*os.File)
	if programs < 2 || o.quiet || o.noProgress || !ok || !term.IsTerminal(int(file.Fd())) {
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
		_ = p.bar.Add(1) // a broken terminal does not stop the analysis
	}
}

// clear makes room for lines of findings.
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
