package main

import (
	"bytes"
	"cmp"
	"io"
	"path/filepath"
	"slices"

	"staydown/hold"
	"staydown/report"
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

// picture is an output file and the function of report that draws it.
type picture struct {
	suffix string
	draw   func(io.Writer, *hold.Result) error
}

func pictures() []picture {
	return []picture{
		{".timeline.png", report.TimelinePNG}, {".timeline.svg", report.TimelineSVG},
		{".plan.png", report.PlanPNG}, {".plan.svg", report.PlanSVG},
		{".pressure.png", report.PressurePNG},
	}
}

// suffixes lists all suffixes of a program's files, except that of the annotated copy. Files that a run does not write
// are removed, so that nothing outdated stays beside its results.
func suffixes() []string {
	all := []string{suffixResult, suffixOutlines, suffixPage, suffixSheet, suffixPanic}
	for _, p := range pictures() {
		all = append(all, p.suffix)
	}
	return all
}

// render makes the output files of an analyzed program, with the set-up sheet if asked for.
func render(d *dryRun, w want, sheet bool) ([]file, *problem) {
	if w < wantJSON {
		return nil, nil
	}
	r := d.analysis.Result
	failed := func(err error) *problem { return unanalysed(about(d.path, "its reports could not be made: %v", err)) }
	result, err := report.JSON(r)
	if err != nil {
		return nil, failed(err)
	}
	files := []file{{suffixResult, result}}
	if w < wantPlain {
		return files, nil
	}
	annotated, err := report.Annotate(d.src, r, report.AnnotateOptions{})
	if err != nil {
		return nil, failed(err)
	}
	outlines, err := report.GeoJSON(r)
	if err != nil {
		return nil, failed(err)
	}
	files = append(files, file{suffixAnnotated + filepath.Ext(d.path), annotated}, file{suffixOutlines, outlines})
	if sheet {
		var page bytes.Buffer
		if err := report.Sheet(&page, r); err != nil {
			return nil, failed(err)
		}
		files = append(files, file{suffixSheet, page.Bytes()})
	}
	if w < wantAll {
		return files, nil
	}
	for _, p := range pictures() {
		var b bytes.Buffer
		if err := p.draw(&b, r); err != nil {
			return nil, failed(err)
		}
		files = append(files, file{p.suffix, b.Bytes()})
	}
	var page bytes.Buffer
	if err := report.HTML(&page, r, d.src, workings(d)); err != nil {
		return nil, failed(err)
	}
	return append(files, file{suffixPage, page.Bytes()}), nil
}

// maxWorkings bounds the findings with a full calculation in the report page.
const maxWorkings = 100

// workings returns the full calculation at the first block of each risky finding; of too many, those with the least
// margin.
func workings(d *dryRun) []hold.Working {
	var risky []hold.Finding
	for _, f := range d.analysis.Result.Findings {
		if f.Risky() && f.Line > 0 {
			risky = append(risky, f)
		}
	}
	slices.SortStableFunc(risky, func(a, b hold.Finding) int { return cmp.Compare(a.Margin, b.Margin) })
	var lines []int
	for _, f := range risky {
		if len(lines) < maxWorkings && !slices.Contains(lines, f.Line) {
			lines = append(lines, f.Line)
		}
	}
	var out []hold.Working
	// A block that cuts nothing has no calculation on the page.
	all, errs := d.analysis.ExplainEach(lines)
	for i := range all {
		if errs[i] == nil {
			out = append(out, all[i])
		}
	}
	return out
}
