package main

import (
	"github.com/spf13/pflag"

	"staydown/hold/job"
)

// addAnalysisFlags declares the flags that every command shares that analyses a program.
func addAnalysisFlags(f *pflag.FlagSet, s *settings) {
	f.StringVarP(&s.setup, "setup", "s", "", "job `FILE` for every program (default: the program's own name with .toml, else staydown.toml in its folder or a folder above)")
	f.Float64Var(&s.margin, "margin", 0, "ask for margin `X` instead of the job file's")
	f.StringVar(&s.cell, "cell", "", "cell `LENGTH` of the grid, as in 0.25mm or 0.01in (default: from tools and stock)")
	f.BoolVar(&s.blockDelete, "block-delete", false, "leave out blocks that begin with a slash, as the machine's block delete switch does")
	f.BoolVar(&s.strict, "strict", false, "hold to the published RS-274 grammar instead of reading as posts write")
}

// check settles what the flags left open.
func (s *settings) check() *problem {
	if s.setup != "" {
		s.setup = tidy(s.setup)
	}
	if s.margin < 0 || s.margin != s.margin || s.margin > 1000 {
		return misused("staydown: --margin %g is out of range; give a factor above 0, as in --margin 2", s.margin)
	}
	if s.cell != "" {
		mm, err := job.LengthMM(s.cell)
		if err != nil {
			return misused("staydown: --cell: %v", err)
		}
		if mm <= 0 {
			return misused("staydown: --cell %s is too small; write a length above 0, as in --cell 0.5mm", s.cell)
		}
		s.cellMM = mm
	}
	return nil
}
