package job

import (
	"fmt"

	"staydown/parse"
)

// MissingTools reports every tool that the program calls and the job does not describe, each at the block of its first
// call. A program that feeds before its first tool change cuts with tool 0, the one in the spindle at the start.
func (j *Job) MissingTools(p *parse.Program) []Problem {
	var out []Problem
	seen := map[int]bool{}
	report := func(n, line int, what string) {
		if _, ok := j.Tools[n]; ok || seen[n] {
			return
		}
		seen[n] = true
		out = append(out, Problem{
			Pos:  parse.Pos{File: p.Name, Line: line},
			What: what,
			Do: fmt.Sprintf("write a [[tool]] with number = %d, shape, diameter, flutes and helix into %s", n,
				j.file()),
		})
	}
	for i := range p.Moves.Len() {
		m := p.Moves.At(i)
		if m.Tool == 0 && (m.Kind == parse.Feed || m.Kind == parse.Arc) {
			report(0, int(m.Line), "feeds before any tool change, and the job does not say which tool is in the "+
				"spindle (tool 0)")
			break
		}
	}
	for _, c := range p.ToolCalls {
		if c.Tool == 0 {
			continue // an empty spindle; if it cuts, that was reported above
		}
		report(c.Tool, c.Line, fmt.Sprintf("calls tool %d, which the job does not describe", c.Tool))
	}
	return out
}

func (j *Job) file() string {
	if j.Path == "" {
		return "the job file"
	}
	return j.Path
}
