package job

import (
	"fmt"
	"sort"
	"strings"

	"staydown/parse"
)

// Problem is one thing that is wrong with a job file, or with a job file and a program together.
type Problem struct {
	Pos  parse.Pos
	Key  string // the key or table concerned; "" for the file as a whole
	What string // what is wrong
	Do   string // what to write instead; "" when What says it all
}

// Error gives `file:line:column: key: what; do`.
func (p Problem) Error() string {
	return fmt.Sprintf("%v: %s", p.Pos, p.Message())
}

// Message gives `key: what; do`, without the place.
func (p Problem) Message() string {
	var b strings.Builder
	if p.Key != "" {
		fmt.Fprintf(&b, "%s: ", p.Key)
	}
	b.WriteString(p.What)
	if p.Do != "" {
		fmt.Fprintf(&b, "; %s", p.Do)
	}
	return b.String()
}

// Errors is all that is wrong with a job file, in order of place.
type Errors []Problem

// Error gives one problem on each line.
func (e Errors) Error() string {
	lines := make([]string, len(e))
	for i, p := range e {
		lines[i] = p.Error()
	}
	return strings.Join(lines, "\n")
}

// Unwrap gives each problem on its own.
func (e Errors) Unwrap() []error {
	all := make([]error, len(e))
	for i, p := range e {
		all[i] = p
	}
	return all
}

// inOrder sorts the problems by file and place and drops those said twice of one place.
func (e Errors) inOrder(files []File) Errors {
	nth := map[string]int{}
	for i, f := range files {
		nth[f.Name] = i
	}
	sort.SliceStable(e, func(i, j int) bool {
		a, b := e[i].Pos, e[j].Pos
		if a.File != b.File {
			return nth[a.File] < nth[b.File]
		}
		if a.Line != b.Line {
			return a.Line < b.Line
		}
		return a.Col < b.Col
	})
	out := e[:0]
	for i, p := range e {
		if i > 0 && p == e[i-1] {
			continue
		}
		out = append(out, p)
	}
	return out
}
