package main

import (
	"bytes"
	"errors"
	"fmt"
	"path/filepath"
	"runtime"
	"strings"

	"github.com/spf13/pflag"

	"staydown/cmd/staydown/memory"
	"staydown/cmd/staydown/store"
	"staydown/hold"
	"staydown/hold/dryrun"
	"staydown/hold/job"
	"staydown/hold/outline"
	"staydown/hold/result"
	"staydown/parse"
	"staydown/parse/drawing"
	"staydown/report"
	"staydown/report/picture"
)

const outlineHelp = `Says of the parts of a drawing, before there is a program, which would hold on the table of its
job file, in one pass or with what care: a thin last pass, that with a skin, that with tabs. Nothing is ever called
held, for a drawing has no order, depth or feed; those are chosen, and listed as assumed.

DRAWING is DXF (ASCII, R12 to 2018), SVG, or GeoJSON as check writes it. Closed outlines are parts, those inside them
holes. Text, dimensions, dashed lines, duplicates, open lines and the page are left out and reported. A drawing that
does not say its unit is refused; name it with --units. The job file is found as for a program: DRAWING's own name with
.toml, staydown.toml in its folder and in folders above.

Example:
  staydown outline letters.dxf --units mm -o out

With -o DIR: NAME.outline.png (plan), NAME.outline.csv, NAME.outline.json.

Exit status: 0 everything would hold in one pass, 1 something needs care or would not hold, 2 wrong usage or job file,
3 the drawing could not be read; the highest one applies.`

// maxDrawingBytes bounds a drawing.
const maxDrawingBytes = 128 << 20

// outlineOptions are the flags of outline.
type outlineOptions struct {
	settings
	read    drawing.Options
	judge   outline.Options
	out     string
	program string
	format  string
	quiet   bool

	noProgress bool
}

func outlineFlags(f *pflag.FlagSet) *outlineOptions {
	o := &outlineOptions{judge: outline.Options{Tool: -1}}
	addJobFlags(f, &o.settings)
	f.Func("units", "unit `NAME` of a drawing that does not say it: mm, cm, m, inch, ft, px72, px90 or px96",
		func(name string) (err error) {
			o.read.Unit, err = drawing.UnitNamed(name)
			return err
		})
	f.Func("gap", "join ends of lines up to `LENGTH` apart (default 0.1mm)", lengthFlag(&o.read.GapMM))
	f.BoolVar(&o.read.WithoutFrame, "without-frame", false, "leave out the outline that holds all others")
	addToolFlag(f, &o.judge.Tool)
	f.Func("feed", "cut at feed `SPEED`, as in 1200mm/min (default: from the tool)", func(text string) (err error) {
		o.judge.FeedMMMin, err = job.Feed(text)
		return err
	})
	f.Func("pass", "cut no deeper than `LENGTH` in one pass (default: the whole thickness)",
		lengthFlag(&o.judge.Care.PassMM))
	f.Func("last-pass", "depth `LENGTH` of the thin last pass (default 0.5mm)", lengthFlag(&o.judge.Care.ClosingMM))
	f.Func("skin", "thickness `LENGTH` of the skin (default: the thinnest of use)", lengthFlag(&o.judge.Care.SkinMM))
	f.Func("tab-width", "width `LENGTH` of tabs (default 6mm)", lengthFlag(&o.judge.Care.TabWideMM))
	f.Func("tab-height", "height `LENGTH` of tabs (default 1.5mm, in thin stock a third of it)",
		lengthFlag(&o.judge.Care.TabHighMM))
	f.StringVarP(&o.out, "out", "o", "", "write plan, table and result into `DIR` (default: only the terminal)")
	f.StringVar(&o.program, "program", "", "write the generated dry program to `FILE`, for inspection")
	f.StringVar(&o.format, "format", "text", "`FORM` of standard output: text, json or csv")
	f.IntVarP(&o.settings.jobs, "jobs", "j", runtime.NumCPU(), "compute with at most `N` processors")
	f.BoolVar(&o.noProgress, "no-progress", false, "no progress on the terminal")
	f.BoolVarP(&o.quiet, "quiet", "q", false, "only what needs care or would not hold")
	return o
}

// lengthFlag reads a length above 0 with its unit, in mm.
func lengthFlag(to *float64) func(string) error {
	return func(text string) (err error) {
		*to, err = job.Length(text)
		return err
	}
}

func runOutline(args []string, s streams) int {
	f := newFlags("outline", "DRAWING", outlineHelp, s)
	o := outlineFlags(f)
	if status, done := parseFlags(f, args, s); done {
		return status
	}
	if f.NArg() != 1 {
		return misuse(s, "outline takes one drawing, not %d arguments", f.NArg())
	}
	if o.format != "text" && o.format != "json" && o.format != "csv" {
		return misuse(s, "--format %q is unknown; use text, json or csv", o.format)
	}
	if o.settings.jobs < 1 {
		return misuse(s, "--jobs %d is too few; use 1 or more", o.settings.jobs)
	}
	told := countDryRuns(o.noProgress, s)
	defer memory.BoundGarbage()()
	r, notes, p := judgeDrawing(f.Arg(0), o, told)
	told(0)
	if p == nil {
		p = o.write(f.Arg(0), r)
	}
	if p != nil {
		for _, n := range notes { // they may say why
			at := parse.Pos{File: filepath.ToSlash(f.Arg(0)), Line: n.Line}
			fmt.Fprintln(s.err, gnuLine(at.String(), result.LevelNote, n.Message))
		}
		complain(s.err, p)
		return p.status
	}
	if err := o.print(s, r); err != nil {
		return broken(s, err)
	}
	if r.Class != dryrun.WouldHold {
		return exitFinding
	}
	return exitHeld
}

// judgeDrawing reads a drawing and its job, and judges its parts. notes are those of the drawing; told hears of each
// dry run.
func judgeDrawing(path string, o *outlineOptions, told func(runs int)) (r *outline.Result, notes []drawing.Note,
	p *problem) {
	name := filepath.ToSlash(path)
	data, err := readRegular(path, maxDrawingBytes)
	if err != nil {
		return nil, nil, unanalysed(err)
	}
	j, p := readJob(path, o.settings)
	if p != nil {
		return nil, nil, p
	}
	blank := j.Stock.Blanks[0].Outline.Bound()
	o.read.BlankMM = [2]float64{blank.Max[0] - blank.Min[0], blank.Max[1] - blank.Min[1]}
	d, err := drawing.Read(name, data, o.read)
	var refused *drawing.Error
	if errors.As(err, &refused) {
		return nil, nil, unanalysed(&fault{refused.Pos, refused.Message})
	}
	if len(d.Parts) == 0 {
		return nil, d.Notes, unanalysed(about(name, "has no closed outlines, so there is nothing to judge"))
	}
	known, p := recordsFor(path, o.settings, j)
	if p != nil {
		return nil, nil, p
	}
	o.judge.Workers = o.settings.jobs
	runs := 0
	r, err = outline.Judge(d, j, o.judge, func(prog *parse.Program, j *job.Job,
		opt hold.Options) (*result.Result, error) {
		runs++
		told(runs)
		in := newSweepInput(j, prog)
		rec, p := in.run(prog, o.settings.jobs)
		if p != nil {
			return nil, p
		}
		opt.Workers, opt.Records, opt.Resweep = o.settings.jobs, known, in.over(prog, o.settings.jobs, nil)
		a, err := hold.Check(prog, rec, j, opt)
		if err != nil {
			return nil, unanalysed(err)
		}
		return a.Result, nil
	})
	switch {
	case errors.As(err, &p):
		return nil, d.Notes, unanalysed(about(name, "cannot be judged: %v", p.err))
	case err != nil:
		return nil, d.Notes, misused(about(name, "%v", err))
	}
	r.Path, r.SHA256 = name, store.Sum(data)
	return r, nil, nil
}

// write writes the files that were asked for.
func (o *outlineOptions) write(path string, r *outline.Result) *problem {
	if o.program != "" {
		if p := refuseOverwrite(path, o.program); p != nil {
			return p
		}
		if err := writeWhole(o.program, r.Program); err != nil {
			return misused(err)
		}
	}
	if o.out == "" {
		return nil
	}
	name := filepath.Join(o.out, strings.TrimSuffix(filepath.Base(path), filepath.Ext(path))+".outline")
	var plan, table bytes.Buffer
	result, err := report.OutlineJSON(r)
	if err := errors.Join(err, picture.OutlinePNG(&plan, r), report.OutlineCSV(&table, r)); err != nil {
		return unanalysed(about(path, "its reports could not be made: %v", err))
	}
	for _, f := range []file{{".png", plan.Bytes()}, {".csv", table.Bytes()}, {".json", result}} {
		if err := writeWhole(name+f.Suffix, f.Data); err != nil {
			return misused(err)
		}
	}
	return nil
}

// print writes the answer to standard output.
func (o *outlineOptions) print(s streams, r *outline.Result) error {
	switch o.format {
	case "json":
		data, err := report.OutlineJSON(r)
		if err == nil {
			_, err = s.out.Write(data)
		}
		return err
	case "csv":
		return report.OutlineCSV(s.out, r)
	}
	return report.OutlineText(s.out, r, report.TextOptions{Colour: colourful(s.out), Quiet: o.quiet})
}
