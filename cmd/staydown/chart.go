package main

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"path/filepath"
	"runtime"
	"slices"
	"strconv"
	"strings"
	"sync"
	"sync/atomic"

	"github.com/spf13/pflag"

	"staydown/hold"
	"staydown/hold/chart"
	"staydown/hold/job"
	"staydown/hold/records"
	"staydown/hold/result"
	"staydown/parse"
	"staydown/report"
	"staydown/report/page"
	"staydown/report/picture"
	"staydown/sweep"
)

const chartHelp = `Draws what holds on the table of a job file, before there is a program: the smallest square, disc and 4:1 strip by
depth of the closing pass, a curve for each of several feeds. Every point is a generated program, dry-run and checked
like any other, with the part in the least favorable of a few places on grooves and zone edges.

Examples:
  staydown chart staydown.toml
  staydown chart panels.toml --material pmma --thickness 3mm --open-share 30 -o charts

With -o DIR: chart.png, chart.svg, chart.csv, and chart.html, a page to hang at the machine.

Exit status: 0 the chart was drawn, 2 wrong usage or job file.`

// chartOptions are the flags of chart.
type chartOptions struct {
	settings
	find       chart.Options
	out        string
	noProgress bool
}

func chartFlags(f *pflag.FlagSet) *chartOptions {
	o := &chartOptions{}
	o.find.Tool = -1
	addToolFlag(f, &o.find.Tool)
	f.Func("material", "cut material `NAME` instead of the job's", func(name string) error {
		return o.put("stock.material=" + strconv.Quote(name))
	})
	f.Func("thickness", "stock of thickness `LENGTH`, as in 3mm, instead of the job's", func(text string) (err error) {
		o.find.ThickMM, err = job.Length(text)
		return err
	})
	f.Func("feeds", "draw a curve for each of these feeds, `SPEEDS` as in \"600 mm/min; 1200 mm/min\" (default: "+
		"five, from the tool)", func(text string) (err error) {
		o.find.FeedsMMMin, err = readFeeds(text)
		return err
	})
	f.Func("open-share", "`PERCENT` of the sheet that is open already, 0 to 90 (default: what the job's blank "+
		"leaves bare)",
		func(text string) error {
			share, err := strconv.ParseFloat(strings.TrimSpace(strings.TrimSuffix(text, "%")), 64)
			if err != nil || !(share >= 0 && share <= 90) {
				return errors.New("write a percentage from 0 to 90, as in 30")
			}
			o.find.OpenShare = share / 100
			return nil
		})
	addValueFlags(f, &o.settings)
	addUnitsFlag(f, &o.settings)
	f.IntVarP(&o.find.Workers, "jobs", "j", runtime.NumCPU(), "check at most `N` programs at once")
	f.StringVarP(&o.out, "out", "o", "", "write picture, table and page into `DIR` (default: only the terminal)")
	f.BoolVar(&o.noProgress, "no-progress", false, "no progress on the terminal")
	return o
}

// maxFeeds bounds the curves of a chart: more cannot be told apart.
const maxFeeds = 6

func readFeeds(text string) (feeds []float64, err error) {
	for _, one := range job.Alternatives(text) {
		feed, err := job.Feed(one)
		if err != nil {
			return nil, err
		}
		feeds = append(feeds, feed)
	}
	slices.Sort(feeds)
	if feeds = slices.Compact(feeds); len(feeds) > maxFeeds {
		return nil, fmt.Errorf("these are more than %d feeds; give fewer", maxFeeds)
	}
	return feeds, nil
}

func runChart(args []string, s streams) int {
	f := newFlags("chart", "JOB", chartHelp, s)
	o := chartFlags(f)
	if status, done := parseFlags(f, args, s); done {
		return status
	}
	if f.NArg() != 1 {
		return misuse(s, "chart takes one job file, not %d arguments", f.NArg())
	}
	if o.find.Workers < 1 {
		return misuse(s, "--jobs %d is too few; use 1 or more", o.find.Workers)
	}
	path := tidy(f.Arg(0))
	o.setup = path
	j, p := readJob(path, o.settings)
	if p != nil {
		complain(s.err, p)
		return p.status
	}
	known, p := recordsFor(path, o.settings, j)
	if p != nil {
		complain(s.err, p)
		return p.status
	}
	o.find.Progress = countDryRuns(o.noProgress, s)
	r, err := chart.Find(j, o.find, newAlike(known, o.find.Workers).run)
	o.find.Progress(0)
	if err != nil {
		complain(s.err, about(path, "%v", err))
		return exitUsage
	}
	if p := o.write(r); p != nil {
		complain(s.err, p)
		return p.status
	}
	if err := report.ChartText(s.out, r); err != nil {
		return broken(s, err)
	}
	if o.out != "" {
		mention(s.err, "wrote chart.png, chart.svg, chart.csv and chart.html into %s", filepath.ToSlash(o.out))
	}
	return exitHeld
}

// alike runs the programs of a chart, with what the shop has seen and what their checks share.
type alike struct {
	known  []records.Record
	jobs   int // processors
	shared hold.Shared
	runs   atomic.Int32 // under way
	mu     sync.Mutex
	sweeps []*sharedSweep // the latest
}

func newAlike(known []records.Record, jobs int) *alike {
	return &alike{known: known, jobs: jobs, shared: hold.Shared{SameSheet: true}}
}

// mostSweeps are kept: the sizes of all shapes that are tried at one depth.
const mostSweeps = 24

// sharedSweep is the record of a program, and of it over sheets on which skins or cuts turn.
type sharedSweep struct {
	sha256  string
	rec     func() (*sweep.Record, *problem)
	resweep func(bottomMM float64) (*sweep.Record, error)
}

// sweep gives the sweep of a program, which is made when it is first asked for.
func (a *alike) sweep(prog *parse.Program, j *job.Job, workers int) *sharedSweep {
	a.mu.Lock()
	defer a.mu.Unlock()
	for _, s := range a.sweeps {
		if s.sha256 == prog.SHA256 {
			return s
		}
	}
	in := newSweepInput(j, prog)
	s := &sharedSweep{prog.SHA256, sync.OnceValues(func() (*sweep.Record, *problem) { return in.run(prog, workers) }),
		once(in.over(prog, workers, nil))}
	if len(a.sweeps) == mostSweeps {
		a.sweeps = slices.Delete(a.sweeps, 0, 1)
	}
	a.sweeps = append(a.sweeps, s)
	return s
}

// run checks programs on the record of one that differs in feed only: the sweep depends on it only in how large a join
// counts as a neck, for which the greatest feed is the safe one.
func (a *alike) run(d chart.DryRuns) ([]*result.Result, error) {
	workers := max(1, a.jobs/int(a.runs.Add(1))) // the last runs have all processors
	defer a.runs.Add(-1)
	s := a.sweep(d.Swept, d.Job, workers)
	rec, p := s.rec()
	if p != nil {
		return nil, p
	}
	results := make([]*result.Result, len(d.Programs))
	opt := hold.Options{Workers: workers, NoRemedies: true, Figures: hold.NoFigures, NoPictures: true, AllOpen: true,
		OnlyEnds: true, Shared: &a.shared, Records: a.known, Resweep: s.resweep, RareSheetsMove: true}
	for i, prog := range d.Programs {
		opt.OnlyCutOut = !d.Sheet || prog.SHA256 != d.Swept.SHA256
		checked, err := hold.Check(prog, rec, d.Job, opt)
		if err != nil {
			return nil, err
		}
		results[i] = checked.Result
	}
	return results, nil
}

// write writes the files of a chart.
func (o *chartOptions) write(r *chart.Result) *problem {
	if o.out == "" {
		return nil
	}
	for _, file := range []struct {
		name string
		draw func(io.Writer, *chart.Result) error
	}{{"chart.png", picture.ChartPNG}, {"chart.svg", picture.ChartSVG}, {"chart.csv", report.ChartCSV},
		{"chart.html", page.ChartHTML}} {
		var b bytes.Buffer
		if err := file.draw(&b, r); err != nil {
			return unanalysed(about(o.out, "%s could not be made: %v", file.name, err))
		}
		if err := writeWhole(filepath.Join(o.out, file.name), b.Bytes()); err != nil {
			return misused(err)
		}
	}
	return nil
}
