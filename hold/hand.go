package hold

import (
	"fmt"
	"slices"

	"staydown/hold/job"
	"staydown/parse"
)

// handStatements names the tools without a given hand that cut with the spindle counter-clockwise: they are assumed to
// be left-hand tools, since others would not cut.
func (a *Analysis) handStatements() []string {
	seen := map[int32]bool{}
	var out []string
	for _, m := range a.prog.Moves.All() {
		if m.Spindle != parse.SpindleCounterclockwise || m.Kind == parse.Rapid || seen[int32(m.Tool)] {
			continue
		}
		seen[int32(m.Tool)] = true
		if t, ok := a.job.Tools[int(m.Tool)]; ok && t.Hand == job.AnyHand {
			out = append(out, fmt.Sprintf("tool %d cuts counter-clockwise (M4): assumed to be a left-hand tool (hand)",
				m.Tool))
		}
	}
	slices.Sort(out)
	return out
}
