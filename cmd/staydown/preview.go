package main

import (
	"bytes"
	"fmt"
	"io"
	"os"
	"strings"
	"unicode/utf8"

	"golang.org/x/term"

	"staydown/report"
)

// preview shows the answer about one program on a terminal while its actions are still looked for. It is cut to the
// screen, so that it can be taken away again before the whole answer is printed.
type preview struct {
	to            io.Writer // standard error
	width, height int       // of the terminal, characters
	rows          int       // that are shown now
}

// newPreview gives nil where none is to be shown: nobody sees it, or the run has several programs and shows a bar.
func newPreview(programs int, o *checkOptions, s streams) *preview {
	file, ok := s.err.(*os.File)
	if programs != 1 || o.format != "text" || o.terse() || o.noProgress || !ok || !colourful(s.out) ||
		!colourful(file) {
		return nil
	}
	p := &preview{to: file, width: 80, height: 24}
	if width, height, err := term.GetSize(int(file.Fd())); err == nil && width > 0 && height > 0 {
		p.width, p.height = width, height
	}
	return p
}

// stillLooking is the last row of a preview.
const stillLooking = "... looking for what to do; each change is tried by a run of the whole program"

// show replaces what is shown by a draft of the answer. Errors of the terminal do not stop the analysis.
func (p *preview) show(draft *answer) {
	var text bytes.Buffer
	if report.Text(&text, &draft.Result, report.TextOptions{}) != nil {
		return
	}
	lines := strings.Split(strings.TrimRight(text.String(), "\n"), "\n")
	lines = append(lines[:min(len(lines), max(1, p.height-2))], stillLooking)
	var b strings.Builder
	for _, line := range lines {
		b.WriteString(cutTo(line, p.width-1) + "\n")
	}
	p.clear()
	_, _ = io.WriteString(p.to, b.String())
	p.rows = len(lines)
}

// clear takes away what is shown (ECMA-48, 8.3.22 and 8.3.39).
func (p *preview) clear() {
	if p != nil && p.rows > 0 {
		_, _ = fmt.Fprintf(p.to, "\x1b[%dA\x1b[J", p.rows)
		p.rows = 0
	}
}

// cutTo cuts a line to so many columns. A character beyond ASCII may take two.
func cutTo(line string, columns int) string {
	for i, r := range line {
		if columns--; r >= utf8.RuneSelf {
			columns--
		}
		if columns < 0 {
			return line[:i]
		}
	}
	return line
}
