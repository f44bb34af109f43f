package main

import (
	"fmt"
	"io"
	"strings"

	"staydown/hold/job"
	"staydown/hold/result"
	"staydown/parse"
	"staydown/report/words"
)

// All messages have the GNU error form (GNU Coding Standards, "Formatting Error Messages", with a severity, as
// compilers do): FILE:LINE:COLUMN: error: MESSAGE, with line and column if known, and staydown: error: MESSAGE if no
// file is concerned. Editors jump to such lines.

// fault is an error that concerns a file or a place in it.
type fault struct {
	at   parse.Pos
	what string
}

// Error gives `file:line:column: what`.
func (f *fault) Error() string { return f.at.String() + ": " + f.what }

// about makes an error about a file.
func about(path, format string, args ...any) error {
	return &fault{parse.Pos{File: path}, fmt.Sprintf(format, args...)}
}

// ownName replaces the file name in a message about the command line or the run.
const ownName = "staydown"

// gnuForm writes one line for each error in err.
func gnuForm(err error) string {
	switch e := err.(type) {
	case *problem:
		return gnuForm(e.err)
	case interface{ Unwrap() []error }:
		var lines []string
		for _, one := range e.Unwrap() {
			lines = append(lines, gnuForm(one))
		}
		return strings.Join(lines, "\n")
	case job.Problem:
		return gnuLine(e.Pos.String(), result.LevelError, e.Message())
	case *fault:
		return gnuLine(e.at.String(), result.LevelError, e.what)
	}
	return gnuLine(ownName, result.LevelError, err.Error())
}

func gnuLine(place string, level result.Level, what string) string {
	return words.Visible(place + ": " + level.String() + ": " + what)
}

// complain writes an error to w.
func complain(w io.Writer, err error) { fmt.Fprintln(w, gnuForm(err)) }

// mention writes a note about the run to w.
func mention(w io.Writer, format string, args ...any) {
	fmt.Fprintln(w, gnuLine(ownName, result.LevelNote, fmt.Sprintf(format, args...)))
}
