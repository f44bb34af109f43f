package toolpath

import (
	"slices"
	"sort"

	"staydown/parse"
	"staydown/sweep"
)

// Pause is a moment at which the operator may read the gauge and set the alarm anew: a tool change or a program stop.
type Pause struct {
	Stop bool // else a tool change
	Line int
	Move int // index of the first move after it
}

// maxPauses bounds the tool changes and stops that get intervals of their own. What comes after the last of them
// counts as one interval.
const maxPauses = 200

// Pauses lists tool changes and stops in the order of the program. Its end is none.
func Pauses(prog *parse.Program) []Pause {
	var out []Pause
	for _, c := range prog.ToolCalls {
		out = append(out, Pause{Line: c.Line, Move: c.Move})
	}
	for _, s := range prog.Stops {
		if s.Code != "M2" && s.Code != "M30" {
			out = append(out, Pause{Stop: true, Line: s.Line, Move: s.Move})
		}
	}
	slices.SortStableFunc(out, func(p, q Pause) int { return p.Move - q.Move })
	return out
}

// Interval is the part of the program between two pauses, or between one and an end of the program.
type Interval struct {
	Move int // index of its first move
	Line int // of the pause that begins it; of its first move for the first
}

// Intervals are all of a program, in order.
type Intervals []Interval

// NewIntervals cuts the program at its pauses.
func NewIntervals(prog *parse.Program) Intervals {
	out := Intervals{{}}
	if prog.Moves.Len() > 0 {
		out[0].Line = int(prog.Moves.At(0).Line)
	}
	for _, p := range Pauses(prog) {
		switch {
		case p.Move == out[len(out)-1].Move:
			out[len(out)-1].Line = p.Line
		case p.Move < prog.Moves.Len() && len(out) <= maxPauses:
			out = append(out, Interval{p.Move, p.Line})
		}
	}
	return out
}

// Of is the index of the interval to which a move belongs.
func (in Intervals) Of(move int) int {
	return sort.Search(len(in), func(i int) bool { return in[i].Move > move }) - 1
}

// At is the index of the interval that ends with or after a moment.
func (in Intervals) At(p sweep.Progress) int {
	return max(0, sort.Search(len(in), func(i int) bool { return sweep.Progress(in[i].Move) >= p })-1)
}
