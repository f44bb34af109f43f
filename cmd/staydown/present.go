package main

import (
	"bufio"
	"bytes"
	"cmp"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"

	"staydown/cmd/staydown/store"
	"staydown/hold/result"
	"staydown/report"
	"staydown/report/annotate"
	"staydown/report/page"
	"staydown/report/words"
)

// presenter prints the outcomes of a run in order: results on standard output in the chosen form, errors on standard
// error, and at the end the files of the whole run.
type presenter struct {
	opt      *checkOptions
	streams  streams
	bar      progress
	baseline *report.Baseline // nil for none
	leftOver func(n int) string

	status       int
	targets      []target
	results      []*result.Result
	lines        []annotate.Lines
	changes      []report.Comparison // of each target with the baseline
	left         []bool              // of each target: the run ended before its turn
	broken       []bool              // of each target: not all of its files could be written
	passed       []words.PassedOver
	cached       int
	skipped      int
	stdoutBroken bool            // standard output cannot be written any more
	begun        bool            // the JSON array
	said         map[string]bool // assumptions printed so far; nil for a run of one program
}

// presentAsides reports paths that are not programs; one that cannot be read counts as a program not analyzed.
func (p *presenter) presentAsides(asides []aside) {
	for _, a := range asides {
		if a.Failed {
			p.present(outcome{target: target{path: a.Path}, result: unanalysedResult(a.Path, a.Why),
				status:  exitUnanalysed,
				message: gnuForm(about(a.Path, "%s", a.Why)), aside: true})
			continue
		}
		p.passed = append(p.passed, words.PassedOver{Path: a.Path, Why: a.Why})
		if !p.opt.terse() {
			fmt.Fprintln(p.streams.err, gnuLine(a.Path, result.LevelNote, a.Why))
		}
	}
}

// present prints one outcome; false means that the run should stop.
func (p *presenter) present(out outcome) bool {
	p.bar.clear()
	p.targets = append(p.targets, out.target)
	p.results = append(p.results, out.result)
	lines := annotate.Lines{}
	for _, l := range out.lines {
		lines[l.Line] = l.Text
	}
	p.lines = append(p.lines, lines)
	if p.baseline != nil {
		p.changes = append(p.changes, p.baseline.Compare(out.result, lines))
	}
	p.left, p.broken = append(p.left, out.skipped), append(p.broken, out.broken != nil)
	p.status = max(p.status, out.status, statusOf(out.result))
	if out.cached {
		p.cached++
	}
	if out.skipped {
		p.skipped++
		return true
	}
	if out.message != "" {
		fmt.Fprintln(p.streams.err, out.message)
	}
	p.write(func(w io.Writer) error { return p.print(w, out) })
	if !out.aside {
		p.bar.step()
	}
	if out.broken != nil {
		complain(p.streams.err, out.broken)
		p.status = max(p.status, exitUnanalysed)
	}
	if out.lost {
		return false
	}
	return !p.stdoutBroken || p.opt.out != ""
}

// print writes one program to standard output.
func (p *presenter) print(w io.Writer, out outcome) error {
	switch {
	case p.opt.format == "json":
		return p.element(w, out)
	case p.opt.format != "text" || p.opt.summary:
		return nil
	case out.status == 0:
		o := p.textOptions()
		if p.baseline != nil {
			o.Compared = &p.changes[len(p.changes)-1]
		}
		return report.Text(w, out.result, o)
	case !p.opt.quiet && !out.aside:
		_, err := fmt.Fprintf(w, "%s: INCOMPLETE. The program could not be analyzed.\n",
			words.Visible(out.target.path))
		return err
	}
	return nil
}

// saidAmong makes the record of assumptions, so that several programs print each of them once.
func saidAmong(programs int) map[string]bool {
	if programs < 2 {
		return nil
	}
	return map[string]bool{}
}

func (p *presenter) textOptions() report.TextOptions {
	return report.TextOptions{Colour: colourful(p.streams.out), Quiet: p.opt.quiet, All: p.opt.all,
		Said: p.said}
}

// element writes one result of the JSON array.
func (p *presenter) element(w io.Writer, out outcome) error {
	data := out.json
	if data == nil {
		var err error
		if data, err = report.JSON(out.result); err != nil {
			return err
		}
	}
	lead := ",\n"
	if !p.begun {
		lead, p.begun = "[\n", true
	}
	_, err := fmt.Fprintf(w, "%s%s", lead, bytes.TrimRight(data, "\n"))
	return err
}

// write writes to standard output until that fails.
func (p *presenter) write(print func(io.Writer) error) {
	if p.stdoutBroken {
		return
	}
	w := bufio.NewWriter(p.streams.out)
	err := print(w)
	if err == nil {
		err = w.Flush()
	}
	if err == nil {
		return
	}
	p.stdoutBroken = true
	p.status = max(p.status, exitUnanalysed)
	what := whatBroke(err)
	if p.opt.out != "" {
		complain(p.streams.err, fmt.Errorf("standard output %s; the files in %s will be complete", what, p.opt.out))
	} else {
		complain(p.streams.err, fmt.Errorf("standard output %s; give -o DIR to keep the results in files", what))
	}
}

// finish prints the summary of the run, and writes its files into folder unless that is nil.
func (p *presenter) finish(folder *store.Folder) int {
	p.bar.finish()
	sarif, err := report.SARIF(p.results, p.lines, p.baseline, version)
	if err != nil {
		complain(p.streams.err, err)
		return max(p.status, exitUsage)
	}
	var csv bytes.Buffer
	if err := report.Summary(&csv, p.results, p.passed...); err != nil {
		complain(p.streams.err, fmt.Errorf("the summary could not be made (%w)", err))
		return max(p.status, exitUnanalysed)
	}
	p.write(func(w io.Writer) error {
		switch {
		case p.opt.format == "sarif":
			_, err = w.Write(sarif)
		case p.opt.format == "csv":
			_, err = w.Write(csv.Bytes())
		case p.opt.format == "json" && !p.begun:
			_, err = io.WriteString(w, "[]\n")
		case p.opt.format == "json":
			_, err = io.WriteString(w, "\n]\n")
		case p.opt.summary || (len(p.results) > 1 || p.baseline != nil) && !p.opt.quiet:
			if p.said != nil && !p.opt.summary {
				if err = report.TextCaution(w, p.textOptions()); err != nil {
					return err
				}
			}
			err = closingTable(w, p.results, p.changes, p.opt.all)
		}
		return err
	})
	if p.cached > 0 && !p.opt.terse() {
		mention(p.streams.err, "%d of %d programs are unchanged since the last run and were not run again (--force "+
			"reruns them)", p.cached, len(p.results))
	}
	if p.skipped > 0 {
		complain(p.streams.err, errors.New(p.leftOver(p.skipped)))
	}
	if folder == nil {
		return p.status
	}
	index, err := p.index(folder)
	if err != nil {
		complain(p.streams.err, fmt.Errorf("the index could not be made (%w)", err))
		return max(p.status, exitUnanalysed)
	}
	for _, f := range []struct {
		name string
		data []byte
	}{{"findings.sarif", sarif}, {"summary.csv", csv.Bytes()}, {"index.html", index}} {
		if err := folder.Write(f.name, f.data); err != nil {
			complain(p.streams.err, writable(filepath.Join(p.opt.out, f.name), err))
			p.status = max(p.status, exitUnanalysed)
		}
	}
	p.nameFirst(folder)
	return p.status
}

// nameFirst tells which file to open first: the page of a single program, else the index.
func (p *presenter) nameFirst(folder *store.Folder) {
	if p.opt.terse() || p.opt.format != "text" {
		return
	}
	name := "index.html"
	if len(p.targets) == 1 && folder.Has(p.targets[0].name+suffixPage) {
		name = p.targets[0].name + suffixPage
	}
	p.write(func(w io.Writer) error {
		_, err := fmt.Fprintf(w, "open %s first\n", words.Visible(filepath.ToSlash(filepath.Join(p.opt.out, name))))
		return err
	})
}

// index makes the page with links to the pages of the programs.
func (p *presenter) index(folder *store.Folder) ([]byte, error) {
	entries := make([]page.IndexEntry, len(p.results))
	for i, r := range p.results {
		t := p.targets[i]
		entries[i] = page.IndexEntry{Name: cmp.Or(t.name, t.path), Result: r, NoReport: t.name == "" || p.left[i] ||
			!folder.Has(t.name+suffixPage)}
		if p.broken[i] {
			entries[i].Remark = "some of its files could not be written"
		}
	}
	var b bytes.Buffer
	err := page.Index(&b, entries, p.passed...)
	return b.Bytes(), err
}

// statusOf is the exit status for a result: notes do not make a run fail.
func statusOf(r *result.Result) int {
	if r.Verdict != result.Held {
		return exitFinding
	}
	for _, f := range r.Findings {
		if f.Level >= result.LevelWarning {
			return exitFinding
		}
	}
	return exitHeld
}

// openFolder opens the output folder.
func openFolder(dir string) (*store.Folder, *problem) {
	folder, err := store.Open(dir)
	switch {
	case err == nil:
		return folder, nil
	case errors.Is(err, store.ErrBusy):
		return nil, misused(about(dir, "another staydown is writing there; wait until it ends, or choose another "+
			"folder with -o"))
	case errors.Is(err, fs.ErrNotExist):
		return nil, misused(about(dir, "cannot be created; check the path given with -o"))
	}
	return nil, unwritten(dir, err)
}

// colourful reports whether w is a terminal with colors and the user has not turned them off (no-color.org).
func colourful(w io.Writer) bool {
	if os.Getenv("NO_COLOR") != "" || os.Getenv("TERM") == "dumb" {
		return false
	}
	file, ok := w.(*os.File)
	return ok && showsColours(file)
}
