package hold

import (
	"slices"
	"sort"

	"staydown/sweep"
)

// pause is a moment at which the operator may read the gauge and set the alarm anew: a tool change or a program stop.
type pause struct {
	event Event
	line  int
	move  int // index of the first move after it
}

// maxPauses bounds the tool changes and stops that get intervals of their own. What comes after the last of them
// counts as one interval.
const maxPauses = 200

// pauses lists tool changes and stops in the order of the program. Its end is none.
func (a *Analysis) pauses() []pause {
	var out []pause
	for _, c := range a.prog.ToolCalls {
		out = append(out, pause{EventTool, c.Line, c.Move})
	}
	for _, s := range a.prog.Stops {
		if s.Code != "M2" && s.Code != "M30" {
			out = append(out, pause{EventStop, s.Line, s.Move})
		}
	}
	slices.SortStableFunc(out, func(p, q pause) int { return p.move - q.move })
	return out
}

// interval is the part of the program between two pauses, or between one and an end of the program.
type interval struct {
	move int // index of its first move
	line int // of the pause that begins it; of its first move for the first
}

// planIntervals cuts the program at its pauses.
func (a *Analysis) planIntervals() []interval {
	out := []interval{{}}
	if a.prog.Moves.Len() > 0 {
		out[0].line = int(a.prog.Moves.At(0).Line)
	}
	for _, p := range a.pauses() {
		switch {
		case p.move == out[len(out)-1].move:
			out[len(out)-1].line = p.line
		case p.move < a.prog.Moves.Len() && len(out) <= maxPauses:
			out = append(out, interval{p.move, p.line})
		}
	}
	return out
}

// intervalOf is the index of the interval to which a move belongs.
func (a *Analysis) intervalOf(move int) int {
	return sort.Search(len(a.intervals), func(i int) bool { return a.intervals[i].move > move }) - 1
}

// intervalAt is the index of the interval that ends with or after a moment.
func (a *Analysis) intervalAt(p sweep.Progress) int {
	return max(0, sort.Search(len(a.intervals), func(i int) bool { return sweep.Progress(a.intervals[i].move) >= p })-1)
}
