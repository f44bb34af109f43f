package main

import (
	"bytes"
	"cmp"
	"io"
	"path/filepath"
	"slices"

	"staydown/hold/result"
	"staydown/report"
	"staydown/report/annotate"
	"staydown/report/page"
	"staydown/report/picture"
	"staydown/sweep/parallel"
)

// Suffixes of a program's files below the output folder.
const (
	suffixResult    = ".result.json"
	suffixOutlines  = ".outlines.geojson"
	suffixAnnotated = ".annotated" // and the program's own extension
	suffixPage      = ".report.html"
	suffixSheet     = ".sheet.html"
	suffixPanic     = ".panic.txt"
)

// drawn is an output file and the function that draws it.
type drawn struct {
	suffix string
	draw   func(io.Writer, *result.Result) error
}

func pictureFiles() []drawn {
	return []drawn{
		{".timeline.png", picture.TimelinePNG}, {".timeline.svg", picture.TimelineSVG},
		{".plan.png", picture.PlanPNG}, {".plan.svg", picture.PlanSVG},
		{".pressure.png", picture.PressurePNG},
	}
}

// suffixes lists all suffixes of a program's files, except that of the annotated copy. Files that a run does not write
// are removed, so that nothing outdated stays beside its results.
func suffixes() []string {
	all := []string{suffixResult, suffixOutlines, suffixPage, suffixSheet, suffixPanic}
	for _, p := range pictureFiles() {
		all = append(all, p.suffix)
	}
	return all
}

// rendering makes one output file of a program.
type rendering struct {
	suffix string
	write  func(io.Writer) error
}

// render makes the output files of an analyzed program side by side, with the set-up sheet if asked for.
func render(d *dryRun, w want, sheet bool, workers int) ([]file, *problem) {
	all := renderings(d, w, sheet)
	files, errs := make([]file, len(all)), make([]error, len(all))
	parallel.For(workers, len(all), func(_, i int) {
		var b bytes.Buffer
		errs[i] = all[i].write(&b)
		files[i] = file{all[i].suffix, b.Bytes()}
	})
	for _, err := range errs {
		if err != nil {
			return nil, unanalysed(about(d.path, "its reports could not be made: %v", err))
		}
	}
	return files, nil
}

// renderings lists the output files, those that take longest first.
func renderings(d *dryRun, w want, sheet bool) []rendering {
	r := d.analysis.Result
	bytesOf := func(data func() ([]byte, error)) func(io.Writer) error {
		return func(w io.Writer) error {
			b, err := data()
			if err == nil {
				_, err = w.Write(b)
			}
			return err
		}
	}
	var all []rendering
	if w >= wantAll {
		all = append(all, rendering{suffixPage, func(w io.Writer) error {
			return page.HTML(w, r, d.src,
				workings(d))
		}})
		for _, p := range pictureFiles() {
			all = append(all, rendering{p.suffix, func(w io.Writer) error { return p.draw(w, r) }})
		}
	}
	if w >= wantPlain {
		all = append(all, rendering{suffixAnnotated + filepath.Ext(d.path), bytesOf(func() ([]byte, error) {
			return annotate.Program(d.src, r, annotate.Options{})
		})}, rendering{suffixOutlines, bytesOf(func() ([]byte, error) { return report.GeoJSON(r) })})
		if sheet {
			all = append(all, rendering{suffixSheet, func(w io.Writer) error { return page.Sheet(w, r) }})
		}
	}
	if w >= wantJSON {
		all = append(all, rendering{suffixResult, bytesOf(func() ([]byte, error) { return report.JSON(r) })})
	}
	return all
}

// maxWorkings bounds the findings with a full calculation in the report page.
const maxWorkings = 100

// workings returns the full calculation at the first block of each risky finding; of too many, those with the least
// margin.
func workings(d *dryRun) []result.Working {
	var risky []result.Finding
	for _, f := range d.analysis.Result.Findings {
		if f.Risky() && f.Line > 0 {
			risky = append(risky, f)
		}
	}
	slices.SortStableFunc(risky, func(a, b result.Finding) int { return cmp.Compare(a.Margin, b.Margin) })
	var lines []int
	for _, f := range risky {
		if len(lines) < maxWorkings && !slices.Contains(lines, f.Line) {
			lines = append(lines, f.Line)
		}
	}
	var out []result.Working
	// A block that cuts nothing has no calculation on the page.
	all, errs := d.analysis.ExplainEach(lines)
	for i := range all {
		if errs[i] == nil {
			out = append(out, all[i])
		}
	}
	return out
}
