package main

import (
	"errors"
	"fmt"
	"strconv"
	"time"

	"github.com/spf13/pflag"

	"staydown/hold/job"
	"staydown/parse/units"
)

// addAnalysisFlags declares the flags of every command that analyzes a program.
func addAnalysisFlags(f *pflag.FlagSet, s *settings) {
	addJobFlags(f, s)
	addUnitsFlag(f, s)
	f.BoolVar(&s.blockDelete, "block-delete", false, "skip blocks that begin with a slash, like the machine's "+
		"block delete switch")
	f.BoolVar(&s.strict, "strict", false, "accept only the published RS-274 grammar, not what posts commonly write")
}

// addUnitsFlag declares the flag of the units of reports.
func addUnitsFlag(f *pflag.FlagSet, s *settings) {
	f.Func("units", unitsUsage, systemFlag(func(system string, _ units.System) {
		s.set = append(s.set, "report.units="+system)
	}))
}

// systemFlag reads the name of a system of units.
func systemFlag(take func(name string, system units.System)) func(text string) error {
	return func(text string) error {
		system, ok := units.Named(text)
		if !ok {
			return errNoUnits
		}
		take(text, system)
		return nil
	}
}

// addJobFlags declares the flags of every command that finds the job of a program or drawing.
func addJobFlags(f *pflag.FlagSet, s *settings) {
	f.FuncP("setup", "s", "job `FILE` instead of PROGRAM.toml; what it leaves out comes from staydown.toml "+
		"in its folder and the folders above", func(path string) error {
		if path == "" {
			return errors.New("the name is empty; name a job file or leave the flag out")
		}
		s.setup = tidy(path)
		return nil
	})
	addValueFlags(f, s)
}

// addValueFlags declares the flags that give single values of a job, with the same limits as in a job file, and the
// first day of the records that count.
func addValueFlags(f *pflag.FlagSet, s *settings) {
	f.Func("margin", "require margin `X` instead of the job file's", func(text string) (err error) {
		s.margin, err = job.Margin(text)
		return err
	})
	f.Func("cell", "grid cell `LENGTH`, as in 0.25mm or 0.01in (default: from tools and stock)",
		func(text string) (err error) {
			s.cellMM, err = job.CellMM(text)
			return err
		})
	f.Func("set",
		"use `KEY=VALUE` over the job files, as in zone.A.open=false or pump.flow=\"60 m3/h\"; "+
			"may be given again", s.put)
	f.Func("since", "count only records of the shop from `DAY` on, as in 2026-05-04", func(text string) error {
		if _, err := time.Parse(time.DateOnly, text); err != nil {
			return errors.New("this is no day; write it as 2026-05-04")
		}
		s.since = text
		return nil
	})
}

// put adds a single value of the job, KEY=VALUE.
func (s *settings) put(text string) error {
	_, err := job.Set(append(s.set, text)...)
	if err == nil {
		s.set = append(s.set, text)
	}
	return err
}

// unitsUsage describes the flag of the units of reports.
const unitsUsage = "`SYSTEM` of all figures: metric or inch (default: [report] units of the job file, else that of " +
	"the program)"

var errNoUnits = errors.New("write metric or inch")

// addToolFlag names the tool that cuts where there is no program yet.
func addToolFlag(f *pflag.FlagSet, tool *int) {
	f.Func("tool", "number `N` of the tool in the job file (default: the first flat one)", func(text string) error {
		n, err := strconv.Atoi(text)
		if err != nil || n < 0 {
			return fmt.Errorf("%q is not the number of a tool; write a whole number from 0 on", text)
		}
		*tool = n
		return nil
	})
}
