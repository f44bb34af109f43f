package machine

import (
	"fmt"
	"slices"

	"staydown/hold/job"
	"staydown/parse"
)

// HandStatements name the tools without a given hand that cut with the spindle counter-clockwise: they are assumed to
// be left-hand tools, since others would not cut.
func HandStatements(prog *parse.Program, j *job.Job) []string {
	seen := map[int32]bool{}
	var out []string
	for _, m := range prog.Moves.All() {
		if m.Spindle != parse.SpindleCounterclockwise || m.Kind == parse.Rapid || seen[int32(m.Tool)] {
			continue
		}
		seen[int32(m.Tool)] = true
		if t, ok := j.Tools[int(m.Tool)]; ok && t.Hand == job.AnyHand {
			out = append(out, fmt.Sprintf("tool %d cuts counter-clockwise (M4): assumed to be a left-hand tool (hand)",
				m.Tool))
		}
	}
	slices.Sort(out)
	return out
}
